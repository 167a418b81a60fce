"""Names of notes in a sentence: "b flat", "f#", "a6"."""

from __future__ import annotations

import re

#: A "b" apart may be a flat, but not after "a": "a B minor chord".
PITCH = r"(?P<pitch>[a-h])(?P<sign>[\s-]?(?:flat|sharp|#)|-?b(?![a-z])|(?<!\ba) b(?![a-z]))?(?P<octave>\d)?"
#: The root of a chord: a digit after it is no octave.
ROOT = PITCH[: -len(r"(?P<octave>\d)?")] + r"(?P<octave>(?!))?"
#: Surely a note and no word, since the octave is said.
PITCH_WITH_OCTAVE = PITCH[:-1]

#: "d''" and "fis'": the strokes count octaves from middle C on. A capital with a stroke is a section.
_STROKES = re.compile(
    r"(?<![\w'’])([a-h])(is|es|s|[#♯b♭]|[ -]?(?:sharp|flat)\b ?)?((?:['’′]|″){1,5})(?![\w'’′″])"
)
_STROKE_SIGN = {"is": "#", "es": "b", "s": "b", "#": "#", "♯": "#", "b": "b", "♭": "b",
                "sharp": "#", "flat": "b"}  # fmt: skip

_SIGN = {"flat": "b", "b": "b", "sharp": "#", "#": "#"}


def called(match: re.Match[str]) -> str:
    """The note of a match of `PITCH` as statements write it."""
    letter = {"h": "b"}.get(match["pitch"], match["pitch"])
    sign = _SIGN.get((match["sign"] or "").strip(" -"), "")
    return f"{letter.upper()}{sign}{match['octave'] or ''}"


def with_octaves(text: str) -> str:
    """Notes with strokes as letters with octave numbers: "d''" is D5, "h" is B."""

    def named(match: re.Match[str]) -> str:
        letter = {"h": "b"}.get(match[1], match[1]).upper()
        sign = _STROKE_SIGN.get((match[2] or "").strip(" -"), "")
        octave = 3 + len(match[3].replace("″", "''"))
        return f"{letter}{sign}{octave}"

    return _STROKES.sub(named, text)
