"""A simulated class: claims about real scores whose right flags are known beforehand.

`python -m tests.simulated` draws claims from the corpora's own note tables (and, for the demo
piece, from music21), works out by the contract's section 3 which flag each deserves, asks the
checker, and counts where the two differ. What draws and judges imports nothing of `analysis`
(an import contract): `music`, `page`, `runs`, `judging`, `expecting`, `drawing`, `kinds`. Only
`asking` and `speed` know the checker.
"""
