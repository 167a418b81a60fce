"""Which notes a short score keeps, bar by bar, and which lines it leaves out.

* the melody: the line that leads, its highest note where it has several;
* second tunes: lines with a countermelody, an answer, or a melody beside the leading one;
* the bass: the lowest of the others, where it is low;
* the inner parts: all the rest.

A line that adds nothing (each of its notes meets a note of another line at one distance in
octaves) is left out and told. Of lines that go together in octaves the one nearest to the
middle stands for all. Drums are left out; unpitched strokes, graces and cues have no place.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from analysis.engine.analyses.layers import leading_lines
from analysis.engine.describe.page import Passage
from analysis.engine.describe.reading import SAID, Reading
from analysis.engine.model import Finding, NoteFlag

MELODY, TUNE, INNER, BASS = "melody", "tune", "inner", "bass"
STAVES = (MELODY, TUNE, INNER, BASS)
#: share of a line's notes in a bar that must meet another's for it to add nothing
MET = 0.9
#: a note that lasts longer than so many times the note it meets is held: it adds something
LONGER = 2
#: middle of what two hands hold; a bass lies below middle C in the mean
MIDDLE, LOW = 57.0, 60.0
#: middle of the bass staff
BASS_MIDDLE = 50.0
#: share of the bars from which second tunes have a staff of their own
TUNES = 0.25
#: semitones by which the line that stood for others in the bar before is preferred
STAY = 5.0


@dataclass(frozen=True, slots=True)
class Picked:
    """A note of the table. `row`: index into `ScoreTable.notes`; times in ticks.

    `start` is its onset, or the passage's first tick where it is `held` into the passage.
    """

    row: int
    line: int
    pitch: int
    start: int
    end: int
    held: bool


@dataclass(frozen=True, slots=True)
class Left:
    """A line that is left out of a bar, because it goes with `kept` at `octaves` above it."""

    bar: int
    line: int
    kept: int
    octaves: int


@dataclass
class Picks:
    """`notes`: (bar index, staff, line) to notes; `lead`: leading line by bar index, -1: none."""

    notes: dict[tuple[int, str, int], list[Picked]] = field(default_factory=dict)
    lead: dict[int, int] = field(default_factory=dict)
    left: list[Left] = field(default_factory=list)
    graces: bool = False
    bass: Picked | None = None  # the last one


def pick(p: Passage, findings: Sequence[Finding]) -> Picks:
    """Choose the notes of a passage."""
    reading = Reading(p, findings)
    found = Picks()
    bars = _by_bar(p, found)
    main = leading_lines(p.table, p.movement)
    before: set[int] = set()
    for (told, _), bar in zip(reading.leaders(), p.bars, strict=True):
        at = bar - p.movement.first_bar
        lead = told if told >= 0 else int(main[at]) if at < len(main) else -1
        found.lead[bar] = lead
        before = _bar(p, reading, found, bar, bars.get(bar, {}), before)
    tunes = {bar for bar, staff, _ in found.notes if staff == TUNE}
    if len(tunes) < TUNES * len(p.bars):  # not worth a staff
        found.notes = {
            (bar, INNER if staff == TUNE else staff, line): notes
            for (bar, staff, line), notes in found.notes.items()
        }
    return found


def _by_bar(p: Passage, found: Picks) -> dict[int, dict[int, list[Picked]]]:
    """Pitched notes by the bar in which they begin and by line; held ones in the first bar."""
    start, end = p.table.bars[p.first].start, p.table.bars[p.last].end
    rows = p.table.notes
    usable = (rows["pitch"] >= 0) & ((rows["flags"] & NoteFlag.CUE) == 0)
    usable &= (rows["onset"] < end) & (rows["onset"] + rows["duration"] >= start)
    graces = (rows["flags"] & NoteFlag.GRACE) != 0
    found.graces = bool((usable & graces & (rows["onset"] >= start)).any())
    usable &= ~graces & (rows["onset"] + rows["duration"] > start) & (rows["duration"] > 0)
    bars: dict[int, dict[int, list[Picked]]] = defaultdict(lambda: defaultdict(list))
    for k in np.flatnonzero(usable).tolist():
        row = rows[k]
        onset, line = int(row["onset"]), int(row["line"])
        if p.table.lines[line].family == "percussion":
            continue
        until = min(onset + int(row["duration"]), end)
        note = Picked(k, line, int(row["pitch"]), max(onset, start), until, onset < start)
        bars[max(int(row["bar"]), p.first)][line].append(note)
    return bars


def _bar(
    p: Passage,
    reading: Reading,
    found: Picks,
    bar: int,
    notes: dict[int, list[Picked]],
    before: set[int],
) -> set[int]:
    """Sort one bar's lines onto the staves; gives the lines that stand for others."""
    lead = found.lead[bar]
    rest = dict(notes)
    if lead in rest:
        found.notes[bar, MELODY, lead] = _top(rest.pop(lead))
        _leave(found, bar, lead, found.notes[bar, MELODY, lead], rest)
    _bass(p, reading, found, bar, rest, before)
    groups = _groups(rest, before)
    for group in groups:
        tune = _has(reading, group[0], bar, "countermelody", "answer", "melody")
        _keep(found, bar, TUNE if tune else INNER, group[0], group, rest)
    return {line for (b, _, line) in found.notes if b == bar}


def _bass(
    p: Passage,
    reading: Reading,
    found: Picks,
    bar: int,
    rest: dict[int, list[Picked]],
    before: set[int],
) -> None:
    """Take the bass out of `rest`: the lowest line, or who has the same where it lies better."""
    if not rest:
        return
    low = min(rest, key=lambda k: (_mean(rest[k]), k))
    is_bass = _mean(rest[low]) < LOW or _has(reading, low, bar, "bass line", "pedal")
    if not is_bass or _held_below(p, found.bass, bar, rest[low]):
        return
    same = [k for k in rest if adds_nothing(rest[k], rest[low]) is not None
            and adds_nothing(rest[low], rest[k]) is not None]  # fmt: skip
    line = min(same, key=lambda k: _rank(rest, k, before, BASS_MIDDLE))
    notes = rest.pop(line)
    found.notes[bar, BASS, line] = notes
    found.bass = notes[-1]
    _leave(found, bar, line, notes, rest)


def _held_below(p: Passage, bass: Picked | None, bar: int, notes: list[Picked]) -> bool:
    """Whether a bass of an earlier bar goes on under (most of) this one and all its notes."""
    middle = p.table.bars[bar].start + p.table.bars[bar].length // 2
    return bass is not None and bass.end > middle and bass.pitch <= min(n.pitch for n in notes)


def _top(notes: list[Picked]) -> list[Picked]:
    best: dict[int, Picked] = {}
    for note in notes:
        if note.start not in best or note.pitch > best[note.start].pitch:
            best[note.start] = note
    return [best[start] for start in sorted(best)]


def _mean(notes: list[Picked]) -> float:
    return sum(n.pitch for n in notes) / len(notes)


def _has(reading: Reading, line: int, bar: int, *roles: str) -> bool:
    jobs = reading.roles.get((line, bar), {})
    return any(jobs.get(role, 0.0) >= SAID for role in roles)


def _leave(
    found: Picks, bar: int, kept: int, notes: list[Picked], rest: dict[int, list[Picked]]
) -> None:
    """Take out of `rest` the lines that add nothing to `notes`."""
    for line in list(rest):
        octaves = adds_nothing(rest[line], notes)
        if octaves is not None:
            del rest[line]
            found.left.append(Left(bar, line, kept, octaves))


def adds_nothing(notes: list[Picked], to: list[Picked]) -> int | None:
    """Octaves above `to` at which (nearly) all of `notes` meet its notes; None if they do not."""
    there: dict[int, list[Picked]] = defaultdict(list)
    for note in to:
        there[note.start].append(note)
    distances: Counter[int] = Counter()
    for note in notes:
        octaves = {(note.pitch - other.pitch) // 12 for other in there.get(note.start, ())
                   if (note.pitch - other.pitch) % 12 == 0
                   and note.end - note.start <= LONGER * (other.end - other.start)}  # fmt: skip
        distances.update(octaves)
    if not distances:
        return None
    best = max(distances, key=lambda d: (distances[d], -abs(d)))
    return best if distances[best] >= MET * len(notes) else None


def _groups(rest: dict[int, list[Picked]], before: set[int]) -> list[list[int]]:
    """Lines that go together in octaves; the first stands for the others, which add nothing."""
    groups: list[list[int]] = []
    for line in sorted(rest, key=lambda k: _rank(rest, k, before, MIDDLE)):
        for group in groups:
            if adds_nothing(rest[line], rest[group[0]]) is not None:
                group.append(line)
                break
        else:
            groups.append([line])
    return groups


def _rank(
    rest: dict[int, list[Picked]], line: int, before: set[int], near: float
) -> tuple[int, float, int]:
    """More notes first, then near to a pitch, or the one that stood for others before."""
    stay = STAY if line in before else 0.0
    return -len(rest[line]), abs(_mean(rest[line]) - near) - stay, line


def _keep(
    found: Picks, bar: int, staff: str, line: int, group: list[int], rest: dict[int, list[Picked]]
) -> None:
    """One line of a group on its staff, the others left out at their distance from it."""
    found.notes[bar, staff, line] = rest[line]
    for other in group:
        octaves = adds_nothing(rest[other], rest[line]) if other != line else None
        if octaves is not None:
            found.left.append(Left(bar, other, line, octaves))
