"""Findings and words of returns: the same passage again, who is added, who has left, and where.

How a return is known: `returns`.
"""

from __future__ import annotations

from typing import Any

from analysis.engine import places
from analysis.engine.analyses.attacks import attacks
from analysis.engine.analyses.returns import Return, differences, returns
from analysis.engine.analyses.speech import finding, part_values, place, some_names
from analysis.engine.model import Evidence, Finding, ScoreTable
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "comparison.return": "{place} come again in {place2}{level}{tune}{added}{left}.",
        "comparison.same": "{place} come again in {place2}, with the same parts{level}.",
    }
)

#: confidence of a passage with the fewest alike bars, and of one that is alike throughout
PARTLY, WHOLLY = 0.75, 0.95
#: lines named before the rest is counted
NAMED = 4
#: most returns told of one movement, the longest first
MOST = 24
_LEVELS = (
    "", "a semitone", "a tone", "a minor third", "a major third", "a fourth", "a tritone",
)  # fmt: skip


def find_comparisons(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "comparison": `bars` and `bars2`, who is `added` there, who has `left`.

    Parameters
    ----------
    table : ScoreTable
    settings : Settings
        `return_bars`: fewest bars of a passage.

    Returns
    -------
    list of Finding
        At the first place of each pair; `added` and `left` as `returns.differences` says.
        Confidence rises with the share of bars that are alike; judged, not measured.
    """
    found: list[Finding] = []
    for movement in table.movements:
        inside = [
            r
            for r in returns(table, settings)
            if movement.first_bar <= r.first <= movement.last_bar
        ]
        told = sorted(inside, key=lambda r: (-r.length, r.first))[:MOST]
        found += [_finding(table, one) for one in sorted(told, key=lambda r: r.first + r.later)]
    return found


def _finding(table: ScoreTable, one: Return) -> Finding:
    second = one.first + one.later, one.last + one.later
    added, left = differences(table, (one.first, one.last), second)
    value: dict[str, Any] = {
        "kind": "comparison",
        "parts": [],
        "bars2": places.place_of(table, *second),
        "added": part_values(table, added),
        "left": part_values(table, left),
    }
    changed = bool(added or left or one.tune != one.tune2)
    params = {
        "place": place(table, one.first, one.last),
        "place2": place(table, *second),
        "again": list(second),  # bar indices
        "level": _level(one.shift),
        "tune": _tune(table, one),
        "added": f"; added: {_named(table, added)}" if added else "",
        "left": f"; left out: {_named(table, left)}" if left else "",
    }
    lines = dict.fromkeys((*one.tune, *one.tune2, *added, *left))
    return finding(
        table,
        value,
        start=table.bars[one.first].start,
        end=table.bars[one.last].end,
        lines=list(lines),
        evidence=[
            Evidence(ids=tuple(ids))
            for tune, first, last in (
                (one.tune, one.first, one.last),
                (one.tune2, *second),
            )
            if (ids := _notes(table, tune, first, last))
        ],
        template="comparison.return" if changed else "comparison.same",
        params=params,
        confidence=PARTLY + (WHOLLY - PARTLY) * max(0.0, one.share * 2.5 - 1.5),
    )


def _notes(table: ScoreTable, tune: tuple[int, ...], first: int, last: int) -> list[str]:
    if not tune:
        return []
    start, end = table.bars[first].start, table.bars[last].end
    return table.note_ids(attacks(table).between(tune[0], start, end))


def _level(shift: int) -> str:
    if not shift:
        return ""
    return f", {_LEVELS[abs(shift)]} {'higher' if shift > 0 else 'lower'}"


def _tune(table: ScoreTable, one: Return) -> str:
    """Where what is alike lies, if the leading lines are others."""
    before, now = set(one.tune), set(one.tune2)
    if before == now or not before or not now:
        return ""
    if not before & now:
        return f"; what {_named(table, one.tune)} had is now with {_named(table, one.tune2)}"
    words = [
        f"{_named(table, sorted(lines))} {verb}"
        for lines, verb in (
            (
                now - before,
                "joins the same line" if len(now - before) == 1 else "join the same line",
            ),
            (before - now, "has another" if len(before - now) == 1 else "have another"),
        )
        if lines
    ]
    return "; " + ", ".join(words)


def _named(table: ScoreTable, lines: list[int] | tuple[int, ...]) -> str:
    return some_names(table, lines, NAMED)
