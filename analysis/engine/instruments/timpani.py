"""Kettledrums: what a pair is tuned to, and what tuning words mean.

Ranges of the two classical drums and the tuning by key: Grove, Dictionary of
Music and Musicians, vol. 1 (1879), "Drum"; Johnstone, Instruments of the
Modern Symphony Orchestra (1917), p. 50.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from analysis.engine.pitch import Language, NoteName, midi, parse_note_name, plain

#: Sounding MIDI numbers of the two drums of a classical pair.
LARGE = (midi("F2"), midi("C3"))
SMALL = (midi("Bb2"), midi("F3"))

Relation = Literal["dominant below", "dominant above"]


@dataclass(frozen=True, slots=True)
class Tuning:
    """A pair of drums, sounding MIDI numbers, large drum first."""

    large: int
    small: int
    relation: Relation


def tunings(tonic: int) -> tuple[Tuning, ...]:
    """Ways to tune tonic and dominant (pitch class `tonic`) on a classical pair."""
    dominant = (tonic + 7) % 12
    found = []
    for large in range(LARGE[0], LARGE[1] + 1):
        for small in range(SMALL[0], SMALL[1] + 1):
            if (large % 12, small % 12) == (dominant, tonic) and small - large == 5:
                found.append(Tuning(large, small, "dominant below"))
            elif (large % 12, small % 12) == (tonic, dominant) and small - large == 7:
                found.append(Tuning(large, small, "dominant above"))
    return tuple(found)


def on_a_pair(pitch: int) -> bool:
    """Whether a classical pair has a drum for this sounding pitch."""
    return LARGE[0] <= pitch <= LARGE[1] or SMALL[0] <= pitch <= SMALL[1]


#: A small "e" joins ("Do e Sol"), a capital one is a note ("B, D, E").
_SPLIT = re.compile(r"[,/+&-]|(?<=\s)(?:and|und|et|e|ed|u\.?)(?=\s)")


def tuning_notes(words: str, language: Language | None = None) -> tuple[NoteName, ...]:
    """Notes of tuning words: "in Es-B", "in C and G", "C, G", "en ut sol".

    "B" beside a note that makes it a fourth or fifth of B flat is B flat
    ("in E flat and B"); otherwise `language` decides as everywhere.

    >>> [n.name for n in tuning_notes("in Es-B")]
    ['Eb', 'Bb']
    """
    text = re.sub(r"-(?=flat|sharp)", " ", words.replace("–", "-"), flags=re.IGNORECASE)
    text = re.sub(r"^\s*(?:in|en)\b|\.", " ", text, flags=re.IGNORECASE)
    pieces = [p.strip() for p in _SPLIT.split(text) if plain(p).strip()]
    if len(pieces) == 1 and parse_note_name(pieces[0], language) is None:
        pieces = pieces[0].split()
    notes = [parse_note_name(p, language) for p in pieces]
    if not notes or any(n is None for n in notes):
        return ()
    known = [n for n in notes if n is not None]
    return tuple(_settle_b(n, known) for n in known)


def retuned_to(words: str) -> tuple[NoteName, ...]:
    """Notes that "muta" words give a drum.

    >>> [n.name for n in retuned_to("La muta in Sol")]
    ['G']
    """
    found = re.search(r"\b(?:in|en|nach)\b.*", words, flags=re.IGNORECASE)
    return tuning_notes(found[0]) if found else ()


def _settle_b(note: NoteName, among: list[NoteName]) -> NoteName:
    if not note.german_b:
        return note
    others = [n.pc for n in among if not n.german_b]
    flat = any((10 - pc) % 12 in (5, 7) for pc in others)
    natural = any((11 - pc) % 12 in (5, 7) for pc in others)
    if flat == natural:
        return note
    return NoteName(6, -1 if flat else 0, german_b=True)


def sounding_pair(notes: tuple[NoteName, ...]) -> tuple[int, int] | None:
    """Two named notes as drums of a classical pair, low first; None if they do not fit."""
    if len(notes) != 2:
        return None
    classes = {n.pc for n in notes}
    for large in range(LARGE[0], LARGE[1] + 1):
        for small in range(max(large + 1, SMALL[0]), SMALL[1] + 1):
            if {large % 12, small % 12} == classes:
                return large, small
    return None


def old_notation_shift(notes: tuple[NoteName, ...]) -> int | None:
    """Semitones from written C3 and G2 to the named drums; None if no single shift does it.

    Old parts write tonic and dominant as C3 and G2 whatever the tuning. With
    the dominant above (G, A, A flat ...) the two notes move by different
    intervals, and no transposition of the whole part is right.
    """
    pair = sounding_pair(notes)
    if pair is None or pair[1] - pair[0] != 5:
        return None
    return pair[1] - midi("C3")
