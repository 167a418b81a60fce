"""Twenty-five observations of a good student, each with its right flag and wrong versions.

The list is `tests/data/observations/` (its README tells the shape), written down with the flags to
expect before the checker was asked; the places are in the demo piece and in `pieces`, excerpts of
an invented serenade. `python -m tests.observations` prints what the checker says.
"""
