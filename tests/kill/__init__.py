"""Random SIGKILLs of web, worker and broker under load: `python -m tests.kill`."""
