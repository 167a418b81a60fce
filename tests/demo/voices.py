"""Lines of the piece as a teacher of part-writing follows them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations, pairwise

from tests.demo.scores import Movement, Note

#: A run of so many notes at octaves or in unison is a doubling, not a fault.
DOUBLING = 4
STRINGS = ("Violino I", "Violino II", "Viola", "Violoncello", "Contrabbasso")
NATURAL = ("Corno", "Tromb")


@dataclass(frozen=True)
class Step:
    """Two lines move at once from one pair of notes to the next."""

    first: tuple[Note, Note]
    then: tuple[Note, Note]

    @property
    def at(self) -> Fraction:
        return self.first[0].at

    def parallel(self) -> int | None:
        """0 for octaves and unisons, 7 for fifths, None for anything else."""
        moves = [b.sounding - a.sounding for a, b in zip(self.first, self.then, strict=True)]
        if 0 in moves or (moves[0] > 0) != (moves[1] > 0):
            return None
        gaps = {abs(a.sounding - b.sounding) % 12 for a, b in (self.first, self.then)}
        return gaps.pop() if gaps in ({0}, {7}) else None


@dataclass(frozen=True)
class Fault:
    bar: str
    beat: Fraction  # in quarters from 1
    what: str
    lines: tuple[str, str]


def lines(movement: Movement) -> dict[str, list[Note]]:
    """One line a part; of chords the top and the bottom note. The drums are no voice."""
    found = {}
    for label, part in movement.parts.items():
        if label.startswith("Timpani"):
            continue
        at: dict[Fraction, list[Note]] = {}
        for note in part.notes:
            at.setdefault(note.at, []).append(note)
        chords = [at[t] for t in sorted(at)]
        found[label] = [max(c, key=lambda n: n.sounding) for c in chords]
        if any(len(c) > 1 for c in chords):
            found[f"{label} low"] = [min(c, key=lambda n: n.sounding) for c in chords]
    return found


def steps(one: list[Note], two: list[Note]) -> Iterator[Step]:
    """Where both lines go on at the same moments, without a rest between."""
    other = {a.at: (a, b) for a, b in pairwise(two)}
    for a, b in pairwise(one):
        pair = other.get(a.at)
        if pair is None or pair[1].at != b.at:
            continue
        if a.at + a.length == b.at and pair[0].at + pair[0].length == b.at:
            yield Step((a, pair[0]), (b, pair[1]))


def runs(one: list[Note], two: list[Note]) -> Iterator[tuple[int, list[Step]]]:
    """Unbroken stretches of parallel octaves (0) or fifths (7).

    A repeated note does not break a stretch of octaves.
    """
    kind, run = None, []
    for step in steps(one, two):
        now = step.parallel()
        held = all(a.sounding == b.sounding for a, b in zip(step.first, step.then, strict=True))
        if run and kind == 0 and held and run[-1].then[0] is step.first[0]:
            run.append(step)
            continue
        if run and (now != kind or run[-1].then[0] is not step.first[0]):
            yield kind, run
            run = []
        if now is not None:
            kind = now
            run.append(step)
    if run:
        yield kind, run


def family(name: str) -> str:
    if name.startswith(STRINGS):
        return "strings"
    return "brass" if name.startswith(NATURAL) else "wood"


def real_pair(movement: Movement, names: tuple[str, str], step: Step) -> bool:
    """Whether octaves between these two would be heard as one voice lost.

    In a tutti the winds double the strings and change their partner freely; horns and
    trumpets have few notes and share them. Real parts are: the strings among themselves,
    any line against the bass, and the winds among themselves where the strings rest.
    """
    kinds = {family(n) for n in names}
    if "brass" in kinds:
        return False
    if kinds == {"strings"}:
        return set(names) != {"Violoncello", "Contrabbasso"}
    sounding = [
        n
        for label, part in movement.parts.items()
        if not label.startswith("Timpani")
        for n in part.chord_at(step.at)
    ]
    lowest = min(n.sounding for n in sounding)
    against_bass = any((n.sounding - lowest) % 12 == 0 and n.sounding < 60 for n in step.first)
    alone = not any(movement.parts[s].chord_at(step.at) for s in STRINGS)
    return against_bass or alone


def doubles_the_bass(name: str) -> bool:
    """The low parts share one bass line and join or leave it at will."""
    return name.startswith(("Fagotto", "Violoncello", "Contrabbasso"))


def faults(movement: Movement) -> list[Fault]:
    found = []
    for names in combinations(lines(movement), 2):
        if names[1] == f"{names[0]} low":
            continue
        voices = [lines(movement)[n] for n in names]
        for kind, run in runs(*voices):
            notes = len(run) + 1
            if kind == 0 and (
                notes >= DOUBLING
                or all(doubles_the_bass(n) for n in names)
                or not real_pair(movement, names, run[0])
            ):
                continue
            bar = run[0].first[0].bar
            beat = run[0].at - movement.starts[bar] + 1
            what = "octaves" if kind == 0 else "fifths"
            found.append(Fault(movement.labels[bar], beat, what, names))
    return found
