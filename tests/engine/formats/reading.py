"""Files of other formats through the gate and the reader, as multisets of notes."""

from __future__ import annotations

import warnings
from collections import Counter
from fractions import Fraction
from pathlib import Path
from typing import Any

import music21

from analysis.engine.gate import Admitted, admit
from analysis.engine.model import TICKS, ScoreTable
from analysis.engine.reader import read

#: part, onset and duration in quarters, sounding key
Sound = tuple[int, Fraction, Fraction, int]
MUSIC21 = Path(music21.__file__).parent


def let_in(data: bytes | str, name: str) -> Admitted:
    return admit(data.encode() if isinstance(data, str) else data, name)


def table_of(admitted: Admitted) -> ScoreTable:
    """The note table without any interpretation of labels."""
    return read(admitted.canonical, trust_labels=False)


def sounds(table: ScoreTable, *, graces: bool = True) -> Counter[Sound]:
    """Every note of a table, ties joined."""
    return Counter(
        (
            int(row["part"]),
            Fraction(int(row["onset"]), TICKS),
            Fraction(int(row["duration"]), TICKS),
            int(row["pitch"]),
        )
        for row in table.notes
        if graces or row["duration"]
    )


def music21_score(path: Path, kind: str) -> Any:
    from music21 import converter

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return converter.parse(path, format=kind, forceSource=True, storePickle=False)


def music21_attacks(score: Any) -> Counter[tuple[Fraction, int]]:
    """Onset and sounding key of every attack as music21 reads them; graces left out."""
    found: Counter[tuple[Fraction, int]] = Counter()
    for part in score.parts:
        for element in part.flatten().notes:
            if element.duration.isGrace or "ChordSymbol" in element.classes:
                continue
            for note in getattr(element, "notes", (element,)):
                tied = note.tie is not None and note.tie.type in ("stop", "continue")
                if not tied and hasattr(note, "pitch"):
                    onset = Fraction(element.getOffsetInHierarchy(part)).limit_denominator(96)
                    found[onset, round(note.pitch.ps)] += 1
    return found


def attacks(table: ScoreTable) -> Counter[tuple[Fraction, int]]:
    return Counter({}) + Counter(
        (onset, pitch)
        for (_, onset, length, pitch), count in sounds(table).items()
        for _ in range(count)
        if length and pitch >= 0
    )


def share(a: Counter[Any], b: Counter[Any]) -> float:
    """What both have in common, of the larger of the two."""
    return (a & b).total() / max(a.total(), b.total(), 1)
