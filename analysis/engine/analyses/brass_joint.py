"""Why the horn goes with a line here and not there: only these of its notes are open.

Looked for are passages in which a natural horn or trumpet takes nearly all its notes from another
line, attack by attack at one octave distance, and leaves out just those notes of it that lie in its
range and are no open tones. At least four notes taken, on two pitches or more, two left out because
they are not open, half of the line's notes taken, two bars; notes left out although they were open,
or for being too high or low, spoil it. Common practice, no source for the numbers; that
the tube is the reason is an inference, so the confidence is that of a judgement.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from analysis.engine.analyses.attacks import Attacks, BoolArray, IntArray, attacks
from analysis.engine.analyses.natural_brass import natural, player
from analysis.engine.analyses.open_tones import Crooked
from analysis.engine.analyses.segments import find_breaks
from analysis.engine.analyses.speech import finding, listed, names, part_value, span
from analysis.engine.instruments import brass
from analysis.engine.model import Evidence, Finding, NoteArray, ScoreTable
from analysis.engine.pitch import Pitch
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "open-tones.joint": (
            "{place}: {parts} (crook {crook}) goes with {line} on {pitches} but leaves out "
            "{missing}: only the former are open there."
        ),
    }
)

LEAST_TAKEN, LEAST_LEFT, LEAST_BARS = 4, 2, 2.0
#: different notes taken: one note struck again and again says nothing of a line
LEAST_NOTES = 2
LEAST_SHARE = 0.5  # of the line's notes
#: open notes left out and notes of its own, against those taken
MOST_OTHER = 0.2
CONFIDENCE = 0.8
MOST = 8  # of one movement, the longest first


@dataclass(frozen=True, slots=True)
class Joint:
    """`brass` takes `taken` of the notes of `line` and leaves `left`."""

    brass: Crooked
    line: int
    octaves: int
    start: int
    end: int
    taken: NoteArray
    left: NoteArray


def find_joint(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "open-tones" that explain where a horn goes with a line."""
    found: list[Joint] = []
    for here in natural(table, settings):
        found += _best(list(_joints(table, here)))
    out = []
    for movement in table.movements:
        start, end = table.bars[movement.first_bar].start, table.bars[movement.last_bar].end
        mine = [j for j in _alone(found) if start <= j.start < end]
        mine.sort(key=lambda j: j.start - j.end)
        out += [_finding(table, j) for j in mine[:MOST]]
    return sorted(out, key=lambda f: f.start)


def _joints(table: ScoreTable, here: Crooked) -> Iterator[Joint]:
    grid = attacks(table)
    own = grid.attacked[here.line]
    inside = (grid.bar >= here.first) & (grid.bar <= here.last)
    if not (own & inside).any():
        return
    tones = brass.open_tones(here.instrument, here.crook, doubtful=True)
    usual = brass.usual_partials(here.instrument, here.crook, player(table, here.line))
    low, high = (brass.printed(partial, here.crook) for partial in usual)
    open_ = np.isin(grid.top[here.line], list(tones))
    closed = np.array([low <= p <= high and p not in tones for p in range(256)])
    families = {line.index: line.family for line in table.lines}
    for line in range(len(table.lines)):
        if families[line] in ("brass", "percussion") or not grid.attacked[line].any():
            continue
        for octaves, met in grid.meets(here.line, line).items():
            met = met & inside & open_
            if int(met.sum()) >= LEAST_TAKEN:
                yield from _with(table, grid, here, line, octaves, met, closed)


def _with(
    table: ScoreTable,
    grid: Attacks,
    here: Crooked,
    line: int,
    octaves: int,
    met: BoolArray,
    gaps: BoolArray,
) -> Iterator[Joint]:
    true = brass.open_tones(here.instrument, here.crook)
    own, theirs = grid.attacked[here.line], grid.attacked[line]
    inside = (grid.bar >= here.first) & (grid.bar <= here.last)
    events = np.flatnonzero((own | theirs) & inside)
    taken = met[events]
    wanted = grid.top[line][events] + 12 * octaves
    closed = theirs[events] & gaps[np.clip(wanted, 0, 255)] & ~own[events]
    alone = own[events] & ~taken
    spared = ~taken & ~alone & ~closed
    breaks = find_breaks(grid, events, (line,))
    for i, j in _passages(taken, alone, spared, breaks):
        kept = np.flatnonzero(taken[i : j + 1]) + i
        if len(kept) < LEAST_TAKEN or int(closed[i : j + 1].sum()) < LEAST_LEFT:
            continue
        first, last = int(kept[0]), int(kept[-1])
        if int((alone | spared)[first : last + 1].sum()) > MOST_OTHER * len(kept):
            continue
        left = np.flatnonzero(closed[first : last + 1]) + first
        start = int(grid.onset[events[first]])
        end = int(grid.end[line][events[last]] or grid.end[here.line][events[last]])
        long = end - start >= LEAST_BARS * int(grid.bar_length[events[first]])
        of_line = int(theirs[events[first : last + 1]].sum())
        rows = grid.notes_at(here.line, grid.onset[events[kept]])
        notes = len(np.unique(rows["pitch"][np.isin(rows["pitch"], list(true))]))
        if len(left) < LEAST_LEFT or not long or notes < LEAST_NOTES:
            continue
        if len(kept) < LEAST_SHARE * of_line:
            continue
        yield Joint(
            here,
            line,
            octaves,
            start,
            end,
            rows,
            _tops(grid, line, grid.onset[events[left]]),
        )


def _passages(
    taken: BoolArray, alone: BoolArray, spared: BoolArray, breaks: BoolArray
) -> list[tuple[int, int]]:
    """Stretches with enough notes taken, cut where the horn goes its own way.

    It does so with two notes of its own, or by leaving out two open ones, in a row.
    """
    if not len(taken):
        return []
    bad = alone | spared
    off = bad & np.r_[False, bad[:-1]]
    begins = np.flatnonzero(np.r_[True, off[1:] | off[:-1] | breaks[1:]])
    enough = np.add.reduceat(taken, begins, dtype=np.int64) >= LEAST_TAKEN
    ends = np.r_[begins[1:], len(taken)] - 1
    return list(zip(begins[enough].tolist(), ends[enough].tolist(), strict=True))


def _tops(grid: Attacks, line: int, onsets: IntArray) -> NoteArray:
    """The highest note of a line at each onset."""
    rows = grid.notes_at(line, onsets)
    rows = rows[np.lexsort((-rows["pitch"].astype(np.int64), rows["onset"]))]
    found: NoteArray = rows[np.unique(rows["onset"], return_index=True)[1]]
    return found


def _best(joints: Sequence[Joint]) -> list[Joint]:
    """Of those that overlap in time the one with most notes taken."""
    kept: list[Joint] = []
    for joint in sorted(joints, key=lambda j: (-len(j.taken), j.start, j.line)):
        if all(joint.end <= k.start or joint.start >= k.end for k in kept):
            kept.append(joint)
    return kept


def _alone(joints: Sequence[Joint]) -> list[Joint]:
    """One of a pair that does the same is told, the first of them."""
    kept: list[Joint] = []
    for joint in joints:
        same = any(
            k.line == joint.line
            and k.start == joint.start
            and k.end == joint.end
            and k.brass.crook == joint.brass.crook
            for k in kept
        )
        if not same:
            kept.append(joint)
    return kept


def _finding(table: ScoreTable, joint: Joint) -> Finding:
    here = joint.brass
    true = brass.open_tones(here.instrument, here.crook)
    pitches = _names(joint.taken[np.isin(joint.taken["pitch"], list(true))], 0)
    missing = _names(joint.left, joint.octaves)
    return finding(
        table,
        {
            "kind": "open-tones",
            "parts": [part_value(table, here.line)],
            "crook": here.crook.name,
            "pitches": pitches,
            "missing": missing,
        },
        start=joint.start,
        end=joint.end,
        lines=[here.line, joint.line],
        evidence=[
            Evidence(ids=tuple(table.note_ids(joint.taken))),
            Evidence(ids=tuple(table.note_ids(joint.left))),
        ],
        template="open-tones.joint",
        params={
            "place": span(table, joint.start, joint.end),
            "parts": names(table, [here.line]),
            "crook": here.crook.words,
            "line": names(table, [joint.line]),
            "pitches": listed(pitches),
            "missing": listed(missing),
        },
        confidence=CONFIDENCE,
    )


def _names(rows: NoteArray, octaves: int) -> list[str]:
    """Names of the pitches, each once, from low to high."""
    rows = rows[np.argsort(rows["pitch"], kind="stable")]
    return list(
        dict.fromkeys(
            Pitch(int(r["step"]), int(r["alter"]), int(r["octave"]) + octaves).name for r in rows
        )
    )
