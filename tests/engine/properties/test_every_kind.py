"""The list of `rules` holds, for every analysis of the registry, on random tables and real scores.

Real scores: OpenScore Orchestra and S3 (see the corpora's own notes), through CORPORA.
"""

from __future__ import annotations

from collections import Counter
from functools import cache

import numpy as np
import pytest

from analysis.engine.analyses import ANALYSES
from analysis.engine.gate import admit
from analysis.engine.model import ScoreTable
from analysis.engine.reader import read
from tests.corpora import require_corpora
from tests.engine.properties import changes, facts, splitting
from tests.engine.properties.rules import (
    CHANGES,
    GROUPS,
    LOOSELY,
    MOVES,
    NEARLY,
    OTHER,
    RULES,
    SAME,
    SHARED,
)
from tests.engine.properties.tables import devices, pairs_of, random_table, random_texts
from tests.engine.tables import table
from tests.engine.written import Part, score

pytestmark = pytest.mark.slow

RANDOM = (*range(6), "devices")
#: trumpets, drums and natural horns; a late score at sounding pitch; voices doubled by instruments
REAL = (
    "scores/Beethoven_Op.21_3", "eval/scores_roles_keys/dv2", "scores/Bach_BWV.232_03",
)  # fmt: skip
SOURCES = [*RANDOM, *(pytest.param(name, marks=pytest.mark.corpora) for name in REAL)]
#: semitones, steps, fifths: a tone up for some, a minor third down for others
UP, DOWN = (2, 1, 2), (-3, -2, 3)
ALIKE = {NEARLY: 0.8, LOOSELY: 0.5}


def texts(source: int | str) -> dict[str, str]:
    if isinstance(source, int):
        return random_texts(source)
    return {name: text.replace("||", "|") for name, text in devices().items()}


@cache
def canonical(source: int | str) -> bytes:
    if source in RANDOM:
        parts = [Part(name, text) for name, text in texts(source).items()]
        return admit(score(*parts), "random.musicxml").canonical
    path = require_corpora() / f"{source}.mxl"
    return admit(path.read_bytes(), path.name).canonical


@cache
def original(source: int | str) -> ScoreTable:
    if source in RANDOM:
        return random_table(source) if isinstance(source, int) else table(devices())
    return read(canonical(source))


@cache
def as_file(source: int | str) -> ScoreTable:
    """The same through gate and reader, to compare with the split file."""
    return read(canonical(source)) if source in RANDOM else original(source)


def interval(source: int | str) -> tuple[int, int, int]:
    return DOWN if isinstance(source, int) and source % 2 else UP


@cache
def changed(source: int | str, change: str) -> ScoreTable:
    t = original(source)
    if change == "transposed":
        return changes.transposed(t, *interval(source))
    if change == "reordered":
        seed = source if isinstance(source, int) else len(source)
        return changes.reordered(t, np.random.default_rng(seed).permutation(t.part_count).tolist())
    if change == "silent":
        return changes.with_a_silent_part(t, t.part_count // 2)
    if change == "together":
        return changes.together(t, pairs_of(t) or neighbours(t))
    split = splitting.notes_split(canonical(source), seed=1)
    return read(admit(split, "split.musicxml").canonical)


def neighbours(t: ScoreTable) -> list[tuple[int, int]]:
    """Parts of one wind instrument that follow each other, two and two."""
    pairs: list[tuple[int, int]] = []
    for a, b in zip(t.first_readings, t.first_readings[1:], strict=False):
        taken = {part for pair in pairs for part in pair}
        winds = a.family in {"woodwind", "brass"} and a.instrument == b.instrument
        if winds and a.index not in taken:
            pairs.append((a.index, b.index))
    return pairs


@pytest.mark.parametrize("change", CHANGES)
@pytest.mark.parametrize("source", SOURCES)
def test_what_the_change_does(source, change):
    before = as_file(source) if change == "split" else original(source)
    after = changed(source, change)
    wrong = {}
    for analysis in ANALYSES:
        rule = getattr(RULES[analysis.name], change)
        differing = differs(rule, before, after, analysis, change, source)
        if differing:
            wrong[analysis.name] = differing
    assert not wrong, wrong


def differs(rule, before, after, analysis, change, source):
    """What there is more or less after the change than the rule allows; empty = nothing."""
    if rule == OTHER:
        return ()
    if rule in ALIKE:
        share = alike(facts.by_groups(before, analysis), facts.by_groups(after, analysis))
        return () if share >= ALIKE[rule] else (f"only {share:.2f} alike",)
    if rule == MOVES:
        one = facts.moved(before, analysis, interval(source)[0])
        other = facts.moved(after, analysis, 0)
    elif rule == GROUPS:
        one = Counter(facts.by_groups(before, analysis))
        other = Counter(facts.by_groups(after, analysis))
        if analysis.name == "doubling":
            one, other = facts.runs(before), facts.runs(after)
    elif rule == SHARED:
        one, other = (facts.without_own_staff(t, analysis) for t in (before, after))
    elif change == "silent":
        one, other = facts.said(before, analysis), facts.said(after, analysis)
    else:
        one, other = facts.facts(before, analysis), facts.facts(after, analysis)
    return [*(("-", f) for f in one - other), *(("+", f) for f in other - one)][:4]


def alike(one: set[facts.Fact], other: set[facts.Fact]) -> float:
    """Share of (template, value, bar) that both have."""
    cells = [
        {(f[0], f[5], f[6], bar) for f in found for bar in range(f[1], f[2] + 1)}
        for found in (one, other)
    ]
    return len(cells[0] & cells[1]) / max(len(cells[0] | cells[1]), 1) if cells[0] else 1.0


def test_every_analysis_has_its_line():
    assert list(RULES) == [analysis.name for analysis in ANALYSES]
    for name, rules in RULES.items():
        given = {getattr(rules, change) for change in CHANGES}
        assert given <= {SAME, MOVES} or rules.why, name


def test_there_is_something_of_every_kind_to_change():
    found = Counter()
    for source in RANDOM:
        for analysis in ANALYSES:
            found[analysis.name] += sum(facts.facts(original(source), analysis).values())
    assert [a.name for a in ANALYSES if not found[a.name]] == []


@pytest.mark.parametrize(
    ("name", "change"),
    [(n, c) for n, rules in RULES.items() for c in CHANGES if getattr(rules, c) == OTHER],
)
def test_no_exception_is_idle(name, change):
    """What may be other is other in one of the random tables: else it would be no exception."""
    (analysis,) = (a for a in ANALYSES if a.name == name)
    assert any(
        facts.facts(original(s), analysis) != facts.facts(changed(s, change), analysis)
        for s in RANDOM
    )
