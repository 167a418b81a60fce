"""Names for keys of a keyboard: the spelling nearest to the key that holds."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

_NAMES = "FCGDAEB"
_SEMITONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


def spelled(key: int, fifths: int, *, minor: bool) -> tuple[str, int, int]:
    """Letter, alteration and octave of a key number.

    Of the names of a tone the one is taken that lies, on the line of fifths,
    between four below and seven above the major tonic (three below and eight
    above in minor, for its leading note): common practice, no source.
    """
    low = fifths - (3 if minor else 4)
    tone = low + (key * 7 - low) % 12
    letter = _NAMES[(tone + 1) % 7]
    alter = (tone + 1) // 7
    return letter, alter, (key - alter - _SEMITONES[letter]) // 12 - 1


def likely_fifths(keys: Iterable[int]) -> int:
    """The key signature that needs the fewest accidentals for these keys."""
    weights = Counter(k % 12 for k in keys)

    def inside(fifths: int) -> int:
        return sum(weights[(t * 7) % 12] for t in range(fifths - 1, fifths + 6))

    return max(range(-6, 7), key=lambda f: (inside(f), -abs(f)))
