"""The engine reads each passage as its author does: the facts, and the flags of statements."""

from __future__ import annotations

import pytest

from analysis.engine import claims
from analysis.engine.analyses import doubling, parallel, reinforcement
from analysis.engine.model import ScoreTable
from analysis.engine.settings import Settings
from tests.engine.passages.cases import PASSAGES
from tests.engine.passages.writing import Passage
from tests.engine.written import table


def read(passage: Passage) -> ScoreTable:
    return table(*passage.parts, time=passage.time, pickup=passage.pickup)


#: lines that the reader names at length
ALIAS = {
    "Cello (Violoncello e Contrabbasso)": "Cello",
    "Double bass (Violoncello e Contrabbasso)": "Double bass",
}


def between(t: ScoreTable, one: str, other: str) -> str:
    """What the analyses find between two lines, in the words of the cases."""
    settings = Settings()
    found = [
        *doubling.find_doublings(t, settings),
        *parallel.find_parallels(t, settings),
        *reinforcement.find_reinforcements(t, settings),
    ]
    said = set()
    for f in found:
        names = [t.lines[i].name for i in f.lines]
        if len(names) != 2 or not f.value.get("with"):
            continue
        names = [ALIAS.get(n, n) for n in names]
        if {one, other} != set(names):
            continue
        turned = names[0] != one
        bars = f"b. {t.bars[f.first].label}-{t.bars[f.last].label}"
        if f.kind == "parallel":
            said.add((f.first, f"parallel {f.value['interval']} {bars}"))
            continue
        coverage = f.value.get("coverage", f.kind)
        if turned and coverage not in {"full", "noted", "partial"}:
            coverage = f"{coverage} the other way"
        octaves = f.value.get("octaves", 0)
        said.add((f.first, f"{coverage} {-octaves if turned else octaves} {bars}"))
    return ", ".join(text for _, text in sorted(said))


FACTS = [(p, pair) for p in PASSAGES for pair in p.facts]
CLAIMS = [(p, *c) for p in PASSAGES for c in p.claims]


@pytest.mark.parametrize(
    ("passage", "pair"), FACTS, ids=[f"{p.name}: {a} / {b}" for p, (a, b) in FACTS]
)
def test_the_fact(passage, pair):
    assert between(read(passage), *pair) == passage.facts[pair], passage.why


@pytest.mark.parametrize(
    ("passage", "claim", "flag"), CLAIMS, ids=[f"{p.name}: {f}" for p, _, f in CLAIMS]
)
def test_the_flag(passage, claim, flag):
    wanted = {k: v for k, v in claim.items() if v != [""]}
    got = claims.answer({"id": "c", **wanted}, read(passage), ()).as_dict()
    flags, _, words = flag.partition(" ")
    assert got["flag"] in flags.split("|"), (passage.why, got["sentence"], got["cause"])
    assert words in f"{got['cause']} {got['sentence']} {got['note']}", got


def test_there_are_forty_and_each_says_why():
    assert len({p.name for p in PASSAGES}) == len(PASSAGES) >= 40
    assert all(p.why and (p.facts or p.claims) for p in PASSAGES)
