"""Changes to a text table that leave the music the same, or move it as a whole."""

import re

from ..tables import midi

NAMES = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
_PITCH = re.compile(r"[A-G](?:b{1,2}|#{1,2})?-?\d")


def transposed(lines, semitones):
    """All lines so many semitones higher; spelling is not kept."""

    def moved(found):
        number = midi(found[0]) + semitones
        return f"{NAMES[number % 12]}{number // 12 - 1}"

    return {name: _PITCH.sub(moved, text) for name, text in lines.items()}


def with_a_silent_part(lines):
    return {**lines, "Trb": "r"}


def reordered(lines):
    return dict(reversed(list(lines.items())))


def ties_split(lines):
    """Every half note as two tied crotchets."""
    return {
        name: re.sub(r"(" + _PITCH.pattern + r") h\b", r"\1~ q \1 q", text)
        for name, text in lines.items()
    }
