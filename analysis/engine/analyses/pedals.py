"""Pedals: a note held or repeated through changing harmony.

A line's run of attacks of one pitch class is a pedal if the chords change over it at least twice
and one of them, a beat long, does not hold the note. In the bass it is one also without such a
chord, if it lasts twice as long and the chords change three times (the standing on the dominant
with its six-four). A common tone of an inner part is none. Lines that hold the same note together
are one pedal. The length comes from the settings, the rest is common practice without source.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from analysis.engine.analyses.attacks import NONE, attacks, memo
from analysis.engine.analyses.harmony import Harmony, harmony
from analysis.engine.analyses.harmony_names import Chord
from analysis.engine.analyses.key_route import key_at
from analysis.engine.analyses.spans import heads
from analysis.engine.analyses.speech import (
    bar_at,
    finding,
    listed,
    names,
    part_values,
    span,
)
from analysis.engine.model import Bar, Evidence, Finding, NoteArray, ScoreTable
from analysis.engine.pitch import Pitch, spelled
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "pedal.foreign": (
            "{place}: {degree} on {pitch} in {parts}, {how}, through {chords}; {foreign} does not "
            "contain the note."
        ),
        "pedal.stands": "{place}: {degree} on {pitch} in {parts}, {how}, under {chords}.",
    }
)

#: changes of chord over the note, and over one that is never foreign
CHANGES = 2
CHANGES_STANDING = 3
#: how much longer (x pedal_min_bars) a bass must stand that is never foreign
STANDING = 2.0
#: how much longer a pedal must be that is not in the bass
ABOVE = 1.5
#: share of a pedal another line's run must cover to belong to it
TOGETHER = 0.8
#: share of the slices with the note lowest, for a pedal in the bass
LOWEST = 0.7
#: told of one movement, the longest first
MOST = 12
#: chords are judged, so pedals are
SURE, SURE_STANDING = 0.85, 0.7
_NAMED = 3  # chords named in the sentence


@dataclass(frozen=True, slots=True)
class Run:
    """Attacks of one pitch class in one line, over ``start <= t < end`` (ticks)."""

    line: int
    pc: int
    start: int
    end: int
    rows: NoteArray


@dataclass(frozen=True, slots=True)
class Pedal:
    """A pedal and the lines that have it; `foreign` is the first chord without the note."""

    runs: tuple[Run, ...]
    chords: tuple[Chord, ...]
    foreign: Chord | None
    bass: bool

    @property
    def start(self) -> int:
        return self.runs[0].start

    @property
    def end(self) -> int:
        return self.runs[0].end


def pedals(table: ScoreTable, settings: Settings) -> tuple[Pedal, ...]:
    """All pedals of a table, by time; the first run of each is the longest."""
    return memo(table, f"_pedals-{hash(settings)}", lambda: _pedals(table, settings))


def find_pedals(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "pedal": the note, who has it, and what changes over it."""
    found = []
    for movement in table.movements:
        start, end = table.bars[movement.first_bar].start, table.bars[movement.last_bar].end
        here = [p for p in pedals(table, settings) if start <= p.start < end]
        here.sort(key=lambda p: p.start - p.end)
        found += [_finding(table, p, settings) for p in here[:MOST]]
    return sorted(found, key=lambda f: f.start)


def _pedals(table: ScoreTable, settings: Settings) -> tuple[Pedal, ...]:
    by_note: dict[int, list[Run]] = defaultdict(list)
    for line in heads(table):
        for run in note_runs(table, line, settings):
            by_note[run.pc].append(run)
    known = harmony(table)
    found = []
    for runs in by_note.values():
        for near in _overlapping(runs):
            for group in _groups(near):
                pedal = _pedal(table, known, group, settings)
                if pedal is not None:
                    found.append(pedal)
    return tuple(sorted(found, key=lambda p: (p.start, -p.end, p.runs[0].pc)))


def note_runs(table: ScoreTable, line: int, settings: Settings) -> Iterator[Run]:
    """Long enough runs of one pitch class, in the top or the bottom notes of a line."""
    grid = attacks(table)
    at = np.flatnonzero(grid.attacked[line])
    if not len(at):
        return
    layers = grid.layers[line]
    low = np.where(layers == NONE, 999, layers).min(axis=0)[at]
    seen: set[tuple[int, int]] = set()
    gap = grid.onset[at][1:] - grid.end[line][at][:-1]
    apart = (gap > grid.bar_length[at][:-1]) | (grid.movement[at][1:] != grid.movement[at][:-1])
    for series in (low, layers[0][at]):
        pc = series % 12
        firsts = np.flatnonzero(np.r_[True, (pc[1:] != pc[:-1]) | apart])
        ends = np.maximum.reduceat(grid.end[line][at], firsts)
        starts = grid.onset[at[firsts]]
        least = settings.pedal_min_bars * grid.bar_length[at[firsts]]
        lasts = np.r_[firsts[1:], len(at)] - 1
        for k in np.flatnonzero(ends - starts >= least).tolist():
            start, end, note = int(starts[k]), int(ends[k]), int(pc[firsts[k]])
            if (start, note) in seen:
                continue
            seen.add((start, note))
            rows = grid.between(line, start, int(grid.onset[at[lasts[k]]]) + 1)
            yield Run(line, note, start, end, rows[rows["pitch"] % 12 == note])


def _overlapping(runs: Sequence[Run]) -> Iterator[list[Run]]:
    """Runs that hang together in time: only among these is anything compared."""
    near: list[Run] = []
    until = 0
    for run in sorted(runs, key=lambda r: r.start):
        if near and run.start >= until:
            yield near
            near = []
        near.append(run)
        until = max(until, run.end)
    if near:
        yield near


def _groups(runs: Sequence[Run]) -> list[list[Run]]:
    """Runs at one time, the longest first; shorter ones that cover too little stand apart."""
    waiting = sorted(runs, key=lambda r: (r.start - r.end, r.start, r.line))
    groups: list[list[Run]] = []
    for run in waiting:
        for group in groups:
            main = group[0]
            shared = min(run.end, main.end) - max(run.start, main.start)
            if shared >= TOGETHER * (main.end - main.start):
                group.append(run)
                break
            if shared >= TOGETHER * (run.end - run.start):
                break  # a part of a pedal already told
        else:
            groups.append([run])
    return groups


def _pedal(
    table: ScoreTable, known: Harmony, runs: Sequence[Run], settings: Settings
) -> Pedal | None:
    main = runs[0]
    bar = table.bars[bar_at(table, main.start)]
    chords = chords_over(table, known, main)
    changes = sum(is_change(a, b) for a, b in pairwise(chords))
    if changes < CHANGES:
        return None
    foreign = next((c for c in chords if main.pc not in c.classes), None)
    i, j = np.searchsorted(known.edges, (main.start, main.end))
    lowest = known.bass[i:j][known.bass[i:j] >= 0]
    bass = bool(len(lowest)) and float(np.mean(lowest % 12 == main.pc)) >= LOWEST
    least = settings.pedal_min_bars * bar.length
    if not bass and main.end - main.start < ABOVE * least:
        return None
    if foreign is None:
        long = main.end - main.start >= STANDING * least
        if not (bass and long and changes >= CHANGES_STANDING):
            return None
    lines = sorted({r.line: r for r in reversed(runs)}.values(), key=lambda r: r.line)
    ordered = [main, *(r for r in lines if r.line != main.line)]
    return Pedal(tuple(ordered), tuple(chords), foreign, bass)


def chords_over(table: ScoreTable, known: Harmony, run: Run) -> list[Chord]:
    """The chords, of a beat or more, in which a run's note sounds."""
    bar = table.bars[bar_at(table, run.start)]
    inside = known.between(run.start, run.end)
    return [c for c in inside if c.named and _sounds_in(run, c, bar)]


def is_change(one: Chord, other: Chord) -> bool:
    """Whether the harmony changes between two chords; an inversion is no change."""
    return (one.root, one.quality) != (other.root, other.quality)


def _sounds_in(run: Run, chord: Chord, bar: Bar) -> bool:
    """Whether the note sounds in the chord, for half a beat at least, and the chord for a beat."""
    start, end = max(run.start, chord.start), min(run.end, chord.end)
    if end - start < bar.beat_ticks:
        return False
    onset, stop = run.rows["onset"], run.rows["onset"] + run.rows["duration"]
    both = np.minimum(stop, end) - np.maximum(onset, start)
    return int(both.max()) >= bar.beat_ticks // 2


def _finding(table: ScoreTable, pedal: Pedal, settings: Settings) -> Finding:
    main = pedal.runs[0]
    lines = sorted(r.line for r in pedal.runs)
    words = harmony(table).spelling
    pitches = {(int(r["pitch"]), int(r["step"]), int(r["alter"]), int(r["octave"]))
               for run in pedal.runs for r in run.rows}  # fmt: skip
    _, step, alter, octave = min(pitches)
    one = len({p for p, *_ in pitches}) == 1
    chords = list(dict.fromkeys(words.words(c) for c in pedal.chords))
    some = chords if len(chords) <= _NAMED else [*chords[:_NAMED], "others"]
    said = listed(some)
    sure = SURE if pedal.foreign is not None else SURE_STANDING
    if pedal.foreign is not None:
        sure *= 0.6 + 0.4 * min(pedal.foreign.confidence / 0.7, 1.0)
    return finding(
        table,
        {
            "kind": "pedal",
            "parts": part_values(table, lines),
            "pitch": Pitch(step, alter, octave).name if one else spelled(step, alter),
        },
        start=main.start,
        end=main.end,
        lines=lines,
        evidence=[Evidence(ids=tuple(table.note_ids(r.rows))) for r in pedal.runs],
        template="pedal.stands" if pedal.foreign is None else "pedal.foreign",
        params={
            "place": span(table, main.start, main.end),
            "degree": _degree(table, pedal, settings),
            "pitch": Pitch(step, alter, octave).name if one else spelled(step, alter),
            "parts": names(table, lines),
            "how": "held" if _held(table, main) else "repeated",
            "chords": said,
            "foreign": words.words(pedal.foreign) if pedal.foreign else "",
        },
        confidence=sure,
    )


def _held(table: ScoreTable, run: Run) -> bool:
    """Its notes last for a bar or longer on the average."""
    length = table.bars[bar_at(table, run.start)].length
    return float(run.rows["duration"].mean()) >= length


def _degree(table: ScoreTable, pedal: Pedal, settings: Settings) -> str:
    """ "a dominant pedal in the bass", "an inner or upper pedal"."""
    home = key_at(table, settings, bar_at(table, pedal.start))
    above = (pedal.runs[0].pc - home.key.tonic) % 12 if home else -1
    word = {0: "tonic ", 7: "dominant "}.get(above, "")
    return f"a {word}pedal in the bass" if pedal.bass else f"a {word}pedal above the bass"
