"""Which side a part takes: the family, or for violas the part, that it goes with.

Told of parts that stand between: those that go with another family than their own, bassoons and
horns also with their own, violas with second violins or cellos. In every bar in which the part
plays it is counted with whom it shares

* its notes (pitch): somebody of the family attacks the same pitch classes (`weave.doubled`);
* its rhythm: somebody of the family attacks at the same times, with two attacks or more in the bar
  (`weave.rhythm`);
* its job (role): somebody of the family has the same job, where it is clear (`layers.jobs`).

Stretches of play with one side join. Units are bars; thresholds below are common practice, without
a printed source. Shares are counted; "sides with" is a word for a majority, so the confidence is
the share itself.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from analysis.engine.analyses.attacks import BoolArray, IntArray, attacks
from analysis.engine.analyses.course_facts import desks, stretches
from analysis.engine.analyses.layers import jobs
from analysis.engine.analyses.role_words import NONE
from analysis.engine.analyses.spans import heads
from analysis.engine.analyses.speech import PartValue, finding, names, part_value, place
from analysis.engine.analyses.weave import Weave, weave
from analysis.engine.model import Evidence, Finding, Movement, ScoreTable
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "sides-with.pitch": (
            "{place}: {parts} sides with {side}: it shares their notes in {bars} it plays."
        ),
        "sides-with.rhythm": (
            "{place}: {parts} sides with {side} by rhythm, not by notes, in {bars} it plays."
        ),
        "sides-with.role": (
            "{place}: {parts} sides with {side} by its job, not by notes or rhythm, in "
            "{bars} it plays."
        ),
    }
)

By = Literal["pitch", "rhythm", "role"]
WAYS: tuple[By, ...] = ("pitch", "rhythm", "role")

#: fewest bars of play that show a side
BARS = 8
#: share of the bars by which the next side must lie behind
MARGIN = 0.25
#: attacks a bar from which a common rhythm means something
STRUCK = 2
#: a job is a judgement: what its share is worth
JUDGED = 0.85
#: instruments that stand between families even where they go with their own
BETWEEN = frozenset({"bassoon", "horn", "contrabassoon"})
#: families that are no side to take
NO_SIDE = frozenset({"unknown", "percussion"})
SHOWN = 40


@dataclass(frozen=True, slots=True)
class Side:
    """`line` goes with `side` (a family, or a line's index) in `met` of its `of` bars."""

    line: int
    side: str | int
    by: By
    first: int
    last: int
    met: int
    of: int


def find_sides(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "sides-with".

    Parameters
    ----------
    table : ScoreTable
    settings : Settings
        ``sides_share``.

    Returns
    -------
    list of Finding
        ``value["side"]``: a family's name, or a PART; ``by``: the first of pitch, rhythm and role
        that shows it.
    """
    found = []
    for movement in table.movements:
        for line in heads(table):
            found += [_finding(table, side) for side in sides(table, movement, line, settings)]
    return found


def sides(table: ScoreTable, movement: Movement, line: int, settings: Settings) -> list[Side]:
    """The sides one line takes in a movement, by place."""
    candidates = _candidates(table, line)
    if not candidates:
        return []
    woven = weave(table, movement)
    plays = woven.count[line] > 0
    if plays.sum() < BARS:
        return []
    counts = {by: _with_whom(table, movement, woven, line, candidates, by) for by in WAYS}
    found: list[Side] = []
    first = movement.first_bar
    bars = np.zeros(len(table.bars), dtype=bool)
    bars[first : movement.last_bar + 1] = plays
    goes_on = False
    for a, b in stretches(table, bars):
        one = _side(candidates, counts, plays, a - first, b - first + 1, settings)
        if one is None:
            goes_on = False
            continue
        side = Side(line, one[0], one[1], a, b, one[2], one[3])
        if goes_on and (found[-1].side, found[-1].by) == (side.side, side.by):
            old = found.pop()
            side = replace(side, first=old.first, met=old.met + side.met, of=old.of + side.of)
        found.append(side)
        goes_on = True
    return [s for s in found if s.of >= BARS and _is_told(table, s)]


def goes_with(
    table: ScoreTable, movement: Movement, line: int, lines: list[int], by: By
) -> tuple[BoolArray, BoolArray]:
    """Bars of a movement in which `line` plays, and those in which it goes with one of `lines`.

    Players of its own desk are left out. Shape (bars,), counted from the movement's first bar.
    """
    woven = weave(table, movement)
    plays: BoolArray = woven.count[line] > 0
    desk = desks(table)
    others = [k for k in lines if desk[k] != desk[line]]
    if not others:
        return plays, np.zeros(len(plays), dtype=bool)
    return plays, _with_whom(table, movement, woven, line, {0: others}, by, struck=1)[0] & plays


def _is_told(table: ScoreTable, side: Side) -> bool:
    """Another family, or the own one of an instrument that stands between; jobs of those alone."""
    own = table.lines[side.line]
    between = own.instrument in {*BETWEEN, "viola"}
    return between or (side.side != own.family and side.by != "role")


def _candidates(table: ScoreTable, line: int) -> dict[str | int, list[int]]:
    """Sides the line may take, with their lines; players of its own desk are none."""
    own, desk = table.lines[line], desks(table)
    if own.family in NO_SIDE or (own.family == "strings" and own.instrument != "viola"):
        return {}  # others join the strings, and not the other way round
    found: dict[str | int, list[int]] = {}
    for other in table.lines:
        if desk[other.index] == desk[line] or other.family in NO_SIDE:
            continue
        if own.instrument == "viola":
            if other.instrument in {"violin", "cello"} and other.index in heads(table):
                found.setdefault(other.index, []).append(other.index)
        else:
            found.setdefault(other.family, []).append(other.index)
    return found


def _with_whom(
    table: ScoreTable,
    movement: Movement,
    woven: Weave,
    line: int,
    candidates: dict[str | int, list[int]],
    by: By,
    struck: int = STRUCK,
) -> dict[str | int, BoolArray]:
    """For each side the bars in which the line goes with somebody of it.

    `struck`: attacks a bar from which a common rhythm counts.
    """
    out: dict[str | int, BoolArray] = {}
    word: IntArray = jobs(table, movement)[0]
    for side, lines in candidates.items():
        if by == "pitch":
            bars: BoolArray = np.logical_or.reduce(woven.doubled[:, line, lines], axis=1)
        elif by == "rhythm":
            bars = np.logical_or.reduce(woven.rhythm[:, line, lines], axis=1)
            bars = bars & (woven.count[line] >= struck)
        else:
            same = (word[lines] == word[line][None, :]) & (word[line] != NONE)[None, :]
            bars = np.logical_or.reduce(same, axis=0)
        out[side] = bars
    return out


def _side(
    candidates: dict[str | int, list[int]],
    counts: dict[By, dict[str | int, BoolArray]],
    plays: BoolArray,
    low: int,
    high: int,
    settings: Settings,
) -> tuple[str | int, By, int, int] | None:
    """The side of a stretch of bars (of the movement): side, by, met, of; None if unclear."""
    of = int(plays[low:high].sum())
    for by in WAYS:
        met = {
            side: int((counts[by][side][low:high] & plays[low:high]).sum()) for side in candidates
        }
        ranked = sorted(met, key=lambda side: (-met[side], str(side)))
        if met[ranked[0]] < settings.sides_share * of:
            continue
        following = met[ranked[1]] if len(ranked) > 1 else 0
        clear = met[ranked[0]] - following >= MARGIN * of
        return (ranked[0], by, met[ranked[0]], of) if clear else None
    return None


def _finding(table: ScoreTable, side: Side) -> Finding:
    start, end = table.bars[side.first].start, table.bars[side.last].end
    family = isinstance(side.side, str)
    value: PartValue = str(side.side) if family else part_value(table, int(side.side))
    rows = attacks(table).between(side.line, start, end)
    share = side.met / side.of * (JUDGED if side.by == "role" else 1.0)
    return finding(
        table,
        {
            "kind": "sides-with",
            "parts": [part_value(table, side.line)],
            "side": value,
            "by": side.by,
        },
        start=start,
        end=end,
        bars=(side.first, side.last),
        lines=[side.line] if family else [side.line, int(side.side)],
        evidence=[Evidence(ids=tuple(table.note_ids(rows[:SHOWN])))],
        template=f"sides-with.{side.by}",
        params={
            "place": place(table, side.first, side.last),
            "parts": names(table, [side.line]),
            "side": f"the {value}" if family else names(table, [int(side.side)]),
            "met": side.met,
            "of": side.of,
            "bars": f"all {side.of} bars"
            if side.met == side.of
            else f"{side.met} of the {side.of} bars",
        },
        confidence=min(share, 1.0),
    )
