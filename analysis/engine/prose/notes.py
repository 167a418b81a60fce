"""Names of notes in a sentence: "b flat", "f#", "a6"."""

from __future__ import annotations

import re

#: A "b" apart may be a flat, but not after "a": "a B minor chord".
PITCH = r"(?P<pitch>[a-h])(?P<sign>[\s-]?(?:flat|sharp|#)|-?b(?![a-z])|(?<!\ba) b(?![a-z]))?(?P<octave>\d)?"
#: The root of a chord: a digit after it is no octave.
ROOT = PITCH[: -len(r"(?P<octave>\d)?")] + r"(?P<octave>(?!))?"
#: Surely a note and no word, since the octave is said.
PITCH_WITH_OCTAVE = PITCH[:-1]

_SIGN = {"flat": "b", "b": "b", "sharp": "#", "#": "#"}


def called(match: re.Match[str]) -> str:
    """The note of a match of `PITCH` as statements write it."""
    letter = {"h": "b"}.get(match["pitch"], match["pitch"])
    sign = _SIGN.get((match["sign"] or "").strip(" -"), "")
    return f"{letter.upper()}{sign}{match['octave'] or ''}"
