"""Risk against coverage of statements on roles, keys and routes, on the open corpora's answers.

`python -m tests.risk` makes statements of the answers (true) and of plausible others (false), asks
the checker with the works left out of all training, and writes `docs/risk.md` and `docs/risk.svg`.
"""
