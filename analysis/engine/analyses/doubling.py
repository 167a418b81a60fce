"""Doublings: which line goes with which, at how many octaves, and how fully.

`pair_runs` (in `runs`) is the fact for any two lines; the findings here are a
selection of these facts that a person can read: a doubling that follows from
two others ("the flute goes with the violin, the oboe goes with the violin") is
not said again, and bars where three or more lines go together are said once
as a group with its octave levels.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import combinations

import numpy as np

from analysis.engine.analyses.attacks import Attacks, BoolArray, attacks, memo
from analysis.engine.analyses.doubling_said import rank, said
from analysis.engine.analyses.runs import DOUBLED, Run, met_notes, pair_runs
from analysis.engine.analyses.spans import heads, true_spans
from analysis.engine.analyses.speech import (
    distance,
    finding,
    names,
    number,
    part_value,
    part_values,
    place,
    span,
)
from analysis.engine.model import Evidence, Finding, ScoreTable
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "doubling.full": "{place}: {parts} doubles {with_} {distance} ({met} of {of} attacks).",
        "doubling.noted": (
            "{place}: {parts} doubles {with_} {distance}, nearly throughout "
            "({met} of {of} attacks)."
        ),
        "doubling.simplified": (
            "{place}: {parts} plays the line of {with_} in a simpler form, {distance} "
            "({met} of its {of} attacks)."
        ),
        "doubling.heterophonic": (
            "{place}: {parts} plays plainly what is decorated in {with_}, {distance} "
            "({met} of {of} attacks shared)."
        ),
        "doubling.partial": (
            "{place}: {parts} doubles {with_} in part, {distance} ({met} of {of} attacks)."
        ),
        "doubling.group": "{place}: {parts} play one line in {levels} octave levels.",
        "doubling.unison": "{place}: {parts} play one line in unison.",
        "doubling.a2": "{place}: {parts} play in unison (a 2).",
        "doubling.none": "{place}: nobody doubles {parts}.",
    }
)

#: fewest bars for "nobody doubles it": common practice
ALONE_BARS = 2
#: fewest lines of a group; two are a pair
GROUP = 3


def find_doublings(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "doubling": pairs, groups with their levels, lines nobody doubles.

    Parameters
    ----------
    table : ScoreTable
    settings : Settings
        All ``doubling_*``.

    Returns
    -------
    list of Finding
        ``octaves`` of a value is signed, `parts` relative to `with`. The parameters of each
        sentence keep ``met`` and ``of`` (attacks of the line that has more).
    """
    divisi = {line: head for head, lines in heads(table).items() for line in lines}
    runs = [r for r in all_runs(table, settings) if divisi[r.a] != divisi[r.b]]
    found = [_pair(table, run) for run in said(table, runs)]
    found += _groups(table, settings)
    found += _undoubled(table, settings)
    return found


def all_runs(table: ScoreTable, settings: Settings) -> list[Run]:
    """The runs of all pairs of lines, by pair."""
    pairs = combinations(range(len(table.lines)), 2)
    return [run for a, b in pairs for run in pair_runs(table, a, b, settings)]


def run_bars(table: ScoreTable, run: Run) -> range:
    """Bars in which the run holds: covered, or begun or ended with the first or last attack.

    (Contract: "a claimed bar is true if a fact covers it, or begins or ends in it and covers its
    first or last attack".) Only a run inside a single bar can fail this.
    """
    if run.first == run.last:
        grid = attacks(table)
        before, after = grid.left_out((run.a, run.b), (run.first, run.last), run.at)
        if before and after:
            return range(0)
    return range(run.first, run.last + 1)


def doubled_bars(table: ScoreTable, line: int, settings: Settings) -> BoolArray:
    """Bars in which some line of ANOTHER part doubles `line`, fully or in part."""
    found: BoolArray = _doubled(table, settings)[line]
    return found


def per_bar(
    table: ScoreTable, settings: Settings | None = None
) -> Iterator[tuple[int, int, int, int]]:
    """Doublings between PARTS, bar by bar, from the runs between their lines.

    Two parts double each other in a bar if a full run of two of their lines touches it and, in
    that bar, the notes of both parts as wholes (all lines, all chord notes) meet at its distance
    in a share of `Settings.doubling_full`.

    Yields
    ------
    bar, part_a, part_b, octaves : int
        Bar index, part indices with part_a < part_b, octaves unsigned. By bar and parts.
    """
    settings = settings or Settings()
    cells: dict[tuple[int, int, int], set[int]] = defaultdict(set)
    for run in all_runs(table, settings):
        if run.coverage not in {"full", "noted"}:
            continue
        a, b, octaves = table.lines[run.a].part, table.lines[run.b].part, run.octaves
        if a == b:
            continue
        if a > b:
            a, b, octaves = b, a, -octaves
        for bar in range(run.first, run.last + 1):
            cells[bar, a, b].add(octaves)
    keys = _part_keys(table)
    for (bar, a, b), distances in sorted(cells.items()):
        upper, lower = keys[a, bar], keys[b, bar]
        met = {d: len({(t, p - 12 * d) for t, p in upper} & lower) for d in distances}
        best = max(met, key=lambda d: (met[d], -abs(d)))
        if 2 * met[best] >= settings.doubling_full * (len(upper) + len(lower)):
            yield bar, a, b, abs(best)


def _part_keys(table: ScoreTable) -> dict[tuple[int, int], set[tuple[int, int]]]:
    keys: dict[tuple[int, int], set[tuple[int, int]]] = defaultdict(set)
    for rows in table.by_line:
        columns = (rows["part"], rows["bar"], rows["onset"], rows["pitch"])
        for part, bar, onset, pitch in zip(*(c.tolist() for c in columns), strict=True):
            keys[part, bar].add((onset, pitch))
    return keys


# --- pairs ------------------------------------------------------------------


def _pair(table: ScoreTable, run: Run) -> Finding:
    parts, with_, octaves = run.a, run.b, run.octaves
    two_sided = run.coverage in {"full", "noted", "partial"}
    if two_sided and rank(table, parts) < rank(table, with_):
        parts, with_, octaves = with_, parts, -octaves
    a2 = run.coverage in {"full", "noted"} and octaves == 0
    a2 = a2 and table.lines[parts].part == table.lines[with_].part
    value = {
        "kind": "doubling",
        "parts": [part_value(table, parts)],
        "with": [part_value(table, with_)],
        "octaves": octaves,
        "direction": True,
        "coverage": "full" if run.coverage == "noted" else run.coverage,
    }
    grid = attacks(table)
    evidence = tuple(
        Evidence(ids=tuple(table.note_ids(met_notes(grid, run, line)))) for line in (parts, with_)
    )
    lines = sorted((run.a, run.b)) if a2 else [parts, with_]
    params = {
        "place": _where(table, grid, run),
        "parts": names(table, lines) if a2 else names(table, [parts]),
        "with_": names(table, [with_]),
        "distance": distance(octaves),
        "octaves": octaves,
        "met": run.met,
        "of": max(run.of_a, run.of_b),
        "of_parts": run.of_a if parts == run.a else run.of_b,
        "of_with": run.of_b if parts == run.a else run.of_a,
    }
    template = "doubling.a2" if a2 else f"doubling.{run.coverage}"
    return finding(
        table,
        value,
        start=run.start,
        end=run.end,
        bars=(run.first, run.last),
        lines=[parts, with_],
        evidence=evidence,
        template=template,
        params=params,
    )


def _where(table: ScoreTable, grid: Attacks, run: Run) -> str:
    """Place of a run; a beat is told only if it leaves out attacks of either line."""
    before, after = grid.left_out((run.a, run.b), (run.first, run.last), run.at)
    low = table.bars[run.first].start if before else run.start
    final = int(run.at[-1]) + 1
    return span(table, run.start, final, (low, table.bars[run.last].end if after else final))


# --- groups -----------------------------------------------------------------


def _groups(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Bars in which three or more lines go together, as spans of one and the same group."""
    links: dict[int, list[tuple[int, int, int]]] = defaultdict(list)
    for run in all_runs(table, settings):
        if run.coverage in {"full", "noted"}:
            for bar in run_bars(table, run):
                links[bar].append((run.a, run.b, run.octaves))
    starts = frozenset(m.first_bar for m in table.movements)
    open_groups: dict[tuple[tuple[int, int], ...], tuple[int, int]] = {}
    found: list[tuple[int, int, tuple[tuple[int, int], ...]]] = []
    for bar in range(len(table.bars) + 1):
        here = set(_components(links.get(bar, []))) if bar < len(table.bars) else set()
        for group in list(open_groups):
            if group not in here or bar in starts:
                first, last = open_groups.pop(group)
                found.append((first, last, group))
        for group in here:
            first = open_groups[group][0] if group in open_groups else bar
            open_groups[group] = (first, bar)
    whole = heads(table)  # the second line of a divided section cannot be named apart in a claim
    return [_group(table, *g) for g in sorted(found) if all(line in whole for line, _ in g[2])]


def _components(links: Sequence[tuple[int, int, int]]) -> list[tuple[tuple[int, int], ...]]:
    """Connected lines with their octave level, lowest = 0; ((line, level), ...) by line."""
    near: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for a, b, octaves in links:
        near[a].append((b, -octaves))
        near[b].append((a, octaves))
    level: dict[int, int] = {}
    components = []
    for root in sorted(near):
        if root in level:
            continue
        level[root] = 0
        members, waiting = [root], [root]
        while waiting:
            here = waiting.pop()
            for there, gap in near[here]:
                if there not in level:
                    level[there] = level[here] + gap
                    members.append(there)
                    waiting.append(there)
        if len(members) >= GROUP:
            low = min(level[m] for m in members)
            components.append(tuple((m, level[m] - low) for m in sorted(members)))
    return components


def _group(table: ScoreTable, first: int, last: int, group: tuple[tuple[int, int], ...]) -> Finding:
    lines = [line for line, _ in group]
    levels = len({level for _, level in group})
    start, end = table.bars[first].start, table.bars[last].end
    grid = attacks(table)
    evidence = [
        Evidence(ids=tuple(table.note_ids(grid.between(line, start, end)))) for line in lines
    ]
    value = {
        "kind": "doubling",
        "parts": part_values(table, lines),
        "levels": levels,
        "coverage": "full",
    }
    params = {
        "place": place(table, first, last),
        "parts": names(table, lines),
        "levels": number(levels),
        "level_of": [level for _, level in group],
    }
    return finding(
        table,
        value,
        start=start,
        end=end,
        lines=lines,
        evidence=[e for e in evidence if e.ids],
        template="doubling.group" if levels > 1 else "doubling.unison",
        params=params,
    )


# --- lines left alone -------------------------------------------------------


def _doubled(table: ScoreTable, settings: Settings) -> BoolArray:
    """Shape (lines, bars): somebody of another part doubles the line there."""

    def build() -> BoolArray:
        doubled = np.zeros((len(table.lines), len(table.bars)), dtype=bool)
        for run in all_runs(table, settings):
            if run.coverage not in DOUBLED | {"partial"}:
                continue
            if table.lines[run.a].part != table.lines[run.b].part:
                bars = run_bars(table, run)
                doubled[[[run.a], [run.b]], [list(bars)]] = True
        return doubled

    return memo(table, f"_doubled-{hash(settings)}", build)


def _undoubled(table: ScoreTable, settings: Settings) -> list[Finding]:
    grid = attacks(table)
    doubled = _doubled(table, settings)
    found = []
    for line, lines in heads(table).items():
        active = np.zeros(len(table.bars), dtype=bool)
        active[grid.bar[np.logical_or.reduce(grid.attacked[list(lines)], axis=0)]] = True
        alone = active & ~np.logical_or.reduce(doubled[list(lines)], axis=0)
        for first, last in true_spans(table, alone):
            start, end = table.bars[first].start, table.bars[last].end
            rows = np.concatenate([grid.between(i, start, end) for i in lines])
            if last - first + 1 < ALONE_BARS or len(rows) < settings.doubling_min_met:
                continue
            found.append(
                finding(
                    table,
                    {
                        "kind": "doubling",
                        "parts": [part_value(table, line)],
                        "coverage": "none",
                    },
                    start=start,
                    end=end,
                    lines=[line],
                    evidence=[Evidence(ids=tuple(table.note_ids(rows)))],
                    template="doubling.none",
                    params={"place": place(table, first, last), "parts": names(table, [line])},
                )
            )
    return found
