"""One staff's notes as chords in at most two voices.

In a bar, lines with the same rhythm make one strand of chords, each pitch class once. Two
strands are two voices; of more, those with the most to tell stay. A note is never longer than it
sounds; it is shorter where the next of its voice begins.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Sequence, Set
from dataclasses import dataclass

from analysis.engine.reduce.pick import MIDDLE, Picked

VOICES = 2
CHORD = 5  # notes of one hand


@dataclass(slots=True)
class Chord:
    """Notes that begin and end together; ticks. `lines`: all that have one of its pitch classes."""

    start: int
    end: int
    notes: list[Picked]
    lines: frozenset[int]
    voice: int = 1


Strand = list[Chord]


def strands(
    lines: dict[int, list[Picked]], there: Set[tuple[int, int]] = frozenset()
) -> list[Strand]:
    """At most two strands of a bar, the higher one first.

    Parameters
    ----------
    lines : dict
        Line to its notes of the bar.
    there : set of (tick, pitch class)
        What the bass has: a chord leaves it out, if something else is left of it.
    """
    made = _alike(lines, key=lambda notes: tuple(sorted({(n.start, n.end) for n in notes})))
    if len(made) > VOICES:
        made = _alike(lines, key=lambda notes: tuple(sorted({n.start for n in notes})))
    chords = sorted((_chords(notes, there) for notes in made), key=_telling, reverse=True)
    return sorted(chords[:VOICES], key=_height, reverse=True)


def _alike(
    lines: dict[int, list[Picked]], key: Callable[[list[Picked]], Hashable]
) -> list[list[Picked]]:
    groups: dict[Hashable, list[Picked]] = defaultdict(list)
    for notes in lines.values():
        groups[key(notes)] += notes
    return list(groups.values())


def _chords(notes: list[Picked], there: Set[tuple[int, int]]) -> Strand:
    """By onset; each pitch class once, the one nearest to the middle; as long as the shortest."""
    at: dict[int, list[Picked]] = defaultdict(list)
    for note in notes:
        at[note.start].append(note)
    made = []
    for start in sorted(at):
        heads: dict[int, Picked] = {}
        for note in sorted(at[start], key=lambda n: (abs(n.pitch - MIDDLE), n.row)):
            heads.setdefault(note.pitch % 12, note)
        own = [n for n in heads.values() if (start, n.pitch % 12) not in there]
        chosen = sorted((own or list(heads.values()))[:CHORD], key=lambda n: n.pitch)
        lines = frozenset(n.line for n in at[start] if n.pitch % 12 in heads)
        made.append(Chord(start, min(n.end for n in chosen), chosen, lines))
    return made


def _telling(strand: Strand) -> tuple[int, int, int]:
    """More pitch classes first, then more attacks, then the longer sound."""
    classes = {n.pitch % 12 for chord in strand for n in chord.notes}
    return len(classes), len(strand), sum(c.end - c.start for c in strand)


def _height(strand: Strand) -> float:
    pitches = [n.pitch for chord in strand for n in chord.notes]
    return sum(pitches) / len(pitches)


def arrange(bars: Sequence[list[Strand]]) -> list[Chord]:
    """Strands of bar after bar as the chords of two voices, none over another of its voice.

    Where a voice still holds a note, the other one is taken if it is free.
    """
    last: list[Chord | None] = [None] * VOICES
    found: list[Chord] = []
    for made in bars:
        for strand, voice in zip(made, _voices(made, last), strict=True):
            for chord in strand:
                before = last[voice]
                if before is not None and before.end > chord.start:
                    before.end = chord.start
                chord.voice = voice + 1
                last[voice] = chord
                found.append(chord)
    return [c for c in found if c.end > c.start]


def _voices(made: list[Strand], last: list[Chord | None]) -> tuple[int, ...]:
    """The order of voices that cuts least off what is held; the natural one first."""

    def cut(voices: tuple[int, ...]) -> int:
        lost = 0
        for strand, voice in zip(made, voices, strict=True):
            before = last[voice]
            lost += max(0, before.end - strand[0].start) if before is not None else 0
        return lost

    ways = [(0,), (1,)] if len(made) == 1 else [(0, 1), (1, 0)]
    return min(ways, key=cut) if made else ()
