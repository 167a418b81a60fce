"""One room for each kind of statement: its turns of phrase."""
