"""Starting everything on one machine: `python -m config.run demo` or `serve`."""
