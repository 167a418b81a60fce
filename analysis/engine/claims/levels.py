"""One line in several octave levels: "all play in three octaves"."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from itertools import combinations

from analysis.engine.analyses.doubling import run_bars
from analysis.engine.analyses.runs import pair_runs
from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bound, Judgement, Scene, Verdict
from analysis.engine.claims.doubling_words import where_true
from analysis.engine.claims.facts import Try, best_try, stretch
from analysis.engine.claims.naming import place_json
from analysis.engine.claims.negation import deny
from analysis.engine.model import ScoreTable
from analysis.engine.names import Unit
from analysis.engine.sentences import register

register(
    {
        "claim.levels.are": "{parts} play one line in {levels} octave levels.",
        "claim.levels.unison": "{parts} play one line in unison.",
        "claim.levels.others": "{parts} join in at the same levels.",
        "claim.levels.more": "{parts} add a level: with them there are {levels}.",
        "claim.levels.others.one": "{parts} joins in at the same level.",
        "claim.levels.more.one": "{parts} adds a level: with it there are {levels}.",
        "claim.levels.alone": "Octave levels are counted among two lines or more.",
        "claim.levels.not": "{parts} do not all play one line there.",
    }
)

#: bar -> octave level of each line that goes along, lowest = 0
Levels = dict[int, dict[int, int]]


def levels_of(scene: Scene, lines: Sequence[int], units: Sequence[Unit]) -> Levels:
    """For each bar, the lines joined by full doublings, with their octave level.

    Of a part with several lines (a divided section) the one counts that joins most of the
    units.
    """
    links: dict[int, list[tuple[int, int, int]]] = defaultdict(list)
    for a, b in combinations(lines, 2):
        for run in pair_runs(scene.table, a, b, scene.settings):
            if run.coverage in ("full", "noted"):
                for bar in run_bars(scene.table, run):
                    links[bar].append((run.a, run.b, run.octaves))
    return {
        bar: max(
            (_component(pairs, root) for root in units[0].lines), key=lambda c: _hits(c, units)
        )
        for bar, pairs in links.items()
    }


def _hits(level: dict[int, int], units: Sequence[Unit]) -> int:
    return sum(any(i in level for i in unit.lines) for unit in units)


def _component(links: Sequence[tuple[int, int, int]], root: int) -> dict[int, int]:
    near: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for a, b, octaves in links:
        near[a].append((b, -octaves))
        near[b].append((a, octaves))
    level = {root: 0}
    waiting = [root]
    while waiting:
        here = waiting.pop()
        for there, gap in near[here]:
            if there not in level:
                level[there] = level[here] + gap
                waiting.append(there)
    low = min(level.values())
    return {line: n - low for line, n in level.items()}


def judge_levels(scene: Scene, bound: Bound) -> Judgement:
    """All parts go as one line and stand in exactly `levels` octave levels.

    Completeness counts: a further line at a further level makes the number
    another one (near); one at the same levels goes into a note.
    """
    table, bars, wanted = scene.table, bound.bars, bound["levels"]
    units = bound.units or _everybody(table, bound)
    if len(units) < 2:
        return Judgement(relation="open", says=(speech.say("claim.levels.alone"),))
    own = [line for unit in units for line in unit.lines]
    sounding = [
        line.index
        for line in table.lines
        if proof.bars_sounding(table, [line.index]) & set(bars.indices)
    ]
    joined = levels_of(scene, sorted(set(own) | set(sounding)), units)
    exact, counted, together = set(), set(), set()
    for bar, level in joined.items():
        if _hits(level, units) < len(units):
            continue
        together.add(bar)
        ours = {level[i] for u in units for i in u.lines if i in level}
        if len(ours) == wanted:
            counted.add(bar)
            if len(set(level.values())) == wanted:
                exact.add(bar)
    inside = set(bars.indices)
    if bound.claim.negated:
        counter = proof.notes_or_rests(table, own, bars)
        return deny(scene, bound, exact, counter, evidence=counter)
    attempt = best_try(
        [
            Try(frozenset(exact)),
            Try(frozenset(counted), degree="near"),
            Try(frozenset(together), degree="near"),
        ],
        bars,
        scene.settings,
    )
    place, relation, degree = attempt.place(bars, scene.settings), "right", attempt.degree
    relation_: Verdict = "right"
    if not attempt.true & inside:
        place, relation_, degree = "right", "wrong", "right"
    del relation
    where = stretch(attempt.true & inside, bars)
    says = []
    truths = []
    base = bound.claim.as_json()
    if where is not None:
        level = joined[where[0]]
        ours = {level[i] for i in own if i in level}
        count = len(ours)
        says.append(
            speech.say(
                "claim.levels.are", parts=speech.people(table, units), levels=speech.number(count)
            )
            if count > 1
            else speech.say("claim.levels.unison", parts=speech.people(table, units))
        )
        others = [i for i in level if i not in own]
        more = [i for i in others if level[i] not in ours]
        same = [i for i in others if level[i] in ours]
        total = len(set(level.values()))
        if more:
            names = speech.line_names(table, more)
            says.append(speech.say("claim.levels.more", parts=names, levels=speech.number(total)))
        elif same:
            says.append(speech.say("claim.levels.others", parts=speech.line_names(table, same)))
        if place != "right":
            says.append(where_true(table, attempt.true, bound))
        everyone = base["parts"] + [_line_part(table, i) for i in more]
        for n, parts in ((count, base["parts"]), (total, everyone)):
            truths.append({**base, "levels": n, "parts": parts, "bars": place_json(table, *where)})
    else:
        says.append(speech.say("claim.levels.not", parts=speech.people(table, units)))
    truths.append({**base, "negated": True})
    notes = proof.notes_or_rests(table, own, bars)
    return Judgement(
        place=place,
        relation=relation_,
        degree=degree,
        evidence=notes,
        contrary=notes,
        says=tuple(says),
        truth=tuple(truths),
    )


def _line_part(table: ScoreTable, line: int) -> object:
    from analysis.engine.analyses.speech import part_value

    return part_value(table, line)


def _everybody(table: ScoreTable, bound: Bound) -> tuple[Unit, ...]:
    """No part named: all that sound in the claimed bars and are pitched."""
    found = []
    for line in table.lines:
        sounding = proof.bars_sounding(table, [line.index]) & set(bound.bars.indices)
        if sounding and len(table.by_line[line.index]):
            found.append(Unit(line.part, (line.index,), line.name))
    return tuple(found)
