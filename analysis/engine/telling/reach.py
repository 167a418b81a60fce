"""Where a finding lies, and which findings speak of the bars a tutor chose."""

from __future__ import annotations

from collections.abc import Iterable

from analysis.engine.model import Finding, ScoreTable
from analysis.engine.telling.topics import topic_of

Bars = tuple[int, int]


def places_of(finding: Finding) -> tuple[Bars, ...]:
    """Bars (indices, inclusive) it speaks of; a return is at both of its places."""
    own = (finding.first, finding.last)
    if topic_of(finding).name != "return":
        return (own,)
    first, last = finding.sentence.params.get("again", own)
    return (own,) if (first, last) == own else (own, (int(first), int(last)))


def touching(
    table: ScoreTable, findings: Iterable[Finding], first: int, last: int, parts: Iterable[str] = ()
) -> list[Finding]:
    """Findings that speak of bars `first` to `last`, and of one of `parts` where any is named.

    Parameters
    ----------
    table : ScoreTable
    findings : iterable of Finding
    first, last : int
        Bar indices, inclusive.
    parts : iterable of str
        Ids of parts; none: all.

    Returns
    -------
    list of Finding
        In the order given.
    """
    wanted = set(parts)
    ids = [table.first_readings[line.part].id for line in table.lines]
    return [
        f
        for f in findings
        if any(a <= last and b >= first for a, b in places_of(f))
        and (not wanted or any(ids[line] in wanted for line in f.lines))
    ]


def whole_movement(table: ScoreTable, finding: Finding) -> bool:
    """Whether it covers its movement from the first bar to the last."""
    movement = table.movements[finding.movement]
    return finding.first <= movement.first_bar and finding.last >= movement.last_bar
