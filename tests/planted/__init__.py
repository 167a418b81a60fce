"""Planted statements: small scores and claims about them, by a hand that has not seen the rules.

`python -m tests.planted [KIND ...]` reads `tests/data/planted/<kind>.json` (its README tells the
shape) and prints, for each kind, how often the flags agree with what was expected.
"""
