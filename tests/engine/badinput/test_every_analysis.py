"""Every analysis on every bad score: findings that can be kept and said, or none; no exception."""

from __future__ import annotations

from functools import cache

import pytest

from analysis.engine import claims, findings
from analysis.engine.analyses import ANALYSES, analyse
from analysis.engine.gate import admit
from analysis.engine.model import Finding, ScoreTable
from analysis.engine.reader import read
from analysis.engine.sentences import render
from analysis.engine.settings import Settings
from tests.engine.badinput.cases import CASES

#: the least and the most a tutor could ask for
NARROW = Settings(
    doubling_min_met=1, doubling_min_bars=0.0, doubling_partial=0.0, doubling_contact=0.0,
    parallel_near=0.0, sequence_statements=2, chord_held_bars=0.0, chord_held_lines=1,
    pedal_min_bars=0.0, course_bars=1, breath_seconds=0.0, build_up_bars=1, build_up_legs=1,
    return_bars=1, tutti_share=0.0, sides_share=0.0,
)  # fmt: skip
WIDE = Settings(
    doubling_min_met=10_000, doubling_min_bars=1e9, tutti_share=1.0, sequence_statements=99,
    chord_held_bars=1e9, pedal_min_bars=1e9, breath_seconds=1e9, build_up_bars=10_000,
    return_bars=10_000,
)  # fmt: skip


@cache
def table(case: str) -> ScoreTable:
    return read(admit(CASES[case], "bad.musicxml").canonical)


@cache
def found(case: str) -> list[Finding]:
    return analyse(table(case))


@pytest.mark.parametrize("case", CASES)
def test_findings_can_be_kept_and_said(case):
    kept = findings.loads(findings.dumps(found(case)))
    assert len(kept) == len(found(case))
    for finding in found(case):
        words = render(finding.sentence)
        assert words.strip()
        assert "None" not in words
        assert "nan" not in words.split()


@pytest.mark.parametrize("wish", [NARROW, WIDE], ids=["narrow", "wide"])
@pytest.mark.parametrize("case", CASES)
def test_any_settings(case, wish):
    """`analyse` checks the findings' spans, evidence, confidence and sentences."""
    for finding in analyse(read(admit(CASES[case], "bad.musicxml").canonical), wish):
        assert render(finding.sentence)


@pytest.mark.parametrize("case", CASES)
def test_the_checker_answers_what_was_found(case):
    """Each kind's first finding, asked back as a claim: an answer, whatever it is."""
    t = table(case)
    scene = claims.make_scene(t, found(case))
    kinds = {f.kind: f for f in reversed(found(case))}
    for finding in kinds.values():
        labels = [t.bars[finding.first].label, t.bars[finding.last].label]
        claim = {"id": "c", **finding.value, "bars": labels}
        answer = claims.answer_in(scene, claim).as_dict()
        assert answer["flag"] in {"agrees", "partly", "conflicts", "ear"}
        assert answer["sentence"]


@pytest.mark.parametrize("name", [a.name for a in ANALYSES])
def test_alone_on_a_fresh_table(name):
    """Each analysis by itself: nothing rests on another having run before."""
    (analysis,) = (a for a in ANALYSES if a.name == name)
    for case in ("one note", "bars without a metre", "quarter-tones", "percussion alone",
                 "everything changes in mid-bar"):  # fmt: skip
        t = read(admit(CASES[case], "bad.musicxml").canonical)
        assert analysis.find(t, Settings()) == analysis.find(table(case), Settings())


def test_most_of_them_say_something():
    silent = [case for case in CASES if not found(case)]
    assert len(silent) <= 2, silent
