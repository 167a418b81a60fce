"""The thresholds a tutor may set: their bounds, and that none of them bleeds into another's."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from analysis.engine import claims, tolerances
from analysis.engine.analyses import analyse
from analysis.engine.settings import Settings
from analysis.engine.tolerances import BY_NAME, TOLERANCES, problems
from tests.engine.claims.asking import ask
from tests.engine.claims.cases import build_up, key, pedal, role
from tests.engine.tables import table


def test_every_tolerance_is_a_threshold_within_its_own_bounds() -> None:
    known = Settings().as_dict()
    for t in TOLERANCES:
        assert t.name in known
        assert t.least <= t.default <= t.most
        assert t.title
        assert t.says
        for value in (t.least, t.default, t.most):
            assert t.stored(t.shown(value)) == pytest.approx(value)
    assert problems({}) == []


@pytest.mark.parametrize("name", sorted(BY_NAME))
def test_a_value_out_of_bounds_is_told_with_its_name(name: str) -> None:
    t = BY_NAME[name]
    for value in (t.least - 1, t.most + 1):
        (sentence, told), *_more = problems({name: value})
        assert told["title"] == t.title
        assert t.title in sentence.format(**told)


def test_whole_numbers_and_the_order_of_the_doublings_are_kept() -> None:
    assert problems({"bar_offset": 0.5})[0][0] == tolerances.WHOLE
    assert BY_NAME["doubling_full"].stored(85) == 0.85
    assert BY_NAME["bar_offset"].stored(2.0) == 2
    assert isinstance(BY_NAME["bar_offset"].stored(2.0), int)
    ((sentence, told),) = problems({"doubling_contact": 0.35})
    assert sentence == tolerances.ORDER
    assert told["lower"] == BY_NAME["doubling_contact"].title
    assert problems({"doubling_contact": 0.35, "doubling_partial": 0.5}) == []


TUNE = "C5 e D5 E5 G5 F5 E5 D5 G4"
GAPS = "C5 e D5 E5 G5 r E5 D5 G4"  # seven of its eight notes
SCORE = {
    "Fl": f"{GAPS} | {GAPS} | {GAPS} | {GAPS} | r | r",
    "Ob": f"{TUNE} | {TUNE} | r | r | r | r",
    "Vl I": f"{TUNE} | {TUNE} | {TUNE} | {TUNE} | G5 e E5 C5 q r h | F5 e D5 B4 q r h",
    "Cb": "C2 w | D2 w | G1 w | C2 w | G2 w | G2 w",
    "Vc": "C3 w | D3 w | G2 w | C3 w | G3 w | G3 w",
}
DOUBLES = {"kind": "doubling", "bars": ["1", "4"], "parts": ["Fl"], "with": ["Vl I"], "octaves": 0}
LATE = {**DOUBLES, "bars": ["2", "3"], "parts": ["Ob"]}
HIGHER = {**DOUBLES, "octaves": 1}
BASS = {**DOUBLES, "parts": ["Cb"], "with": ["Vc"], "octaves": 0}
TWICE = {"kind": "sequence", "bars": ["5", "6"], "parts": ["Vl I"], "step": -1}
STRICT = {"doubling_noted": 0.95, "doubling_full": 0.95}


@pytest.mark.parametrize(
    ("claim", "values", "before", "after"),
    [
        (DOUBLES, STRICT, "agrees", "partly"),
        (LATE, {"near_share": 0.9, "bar_offset": 0}, "partly", "conflicts"),  # one bar of two
        (TWICE, {"sequence_statements": 2}, "partly", "agrees"),
        (HIGHER, {"octaves_near": 0}, "partly", "conflicts"),
        (
            {**HIGHER, "bars": ["2", "3"], "parts": ["Ob"]},
            {"octaves_near": 0},
            "partly",
            "conflicts",
        ),  # two near misses are no milder than one
        (LATE, {"octaves_near": 0}, "partly", "partly"),
        (BASS, {"octaves_near": 0}, "partly", "partly"),
    ],
    ids=["full from", "bars", "statements", "octaves", "octaves and bars", "bars alone", "bass"],
)
def test_another_value_gives_another_flag_and_the_default_its_own_again(
    claim: dict[str, Any], values: dict[str, Any], before: str, after: str
) -> None:
    """On one table, which keeps what it has built: no value reaches into the other's answers."""
    music = table(SCORE)
    other = replace(Settings(), **values)
    assert problems(values) == []
    flags = [
        claims.answer({"id": 1, "movement": 1, **claim}, music, (), wanted).flag
        for wanted in (Settings(), other, Settings(), other)
    ]
    assert flags == [before, after, before, after]


# --- every tolerance matters, and none turns what is plainly so --------------------------------

SPARSE = "C5 e A5 B5 B5 r C6 A5 B5"  # one note of eight in seven is the tune's
PLACES = {
    "Vl I": " | ".join(["C5 w"] * 12),
    "Vl II": " | ".join(["A4 w"] * 5 + ["E5 q D5 E5 A4"] + ["A4 w"] * 6),
}
MEETING = {
    "Fl": " | ".join([SPARSE] * 4),
    "Ob": " | ".join(["C5 e A5 E5 B5 r C6 A5 B5"] * 4),
    "Vl I": " | ".join([TUNE] * 4),
    "Vc": "C3 w | G2 w | C3 w | G2 w",
}
THREE = {"Fl": "C5 q D5 E5 r | r", "Vl I": "C5 q D5 E5 r | G4 w", "Vc": "C3 w | G2 w"}
NEARLY_ALL = {"Fl": "C5 w | C5 w", "Ob": "E5 w | r", "Cor": "C4 w | C4 w", "Vl I": "G5 w | G5 w",
              "Vl II": "E5 w | E5 w", "Vc": "C3 w | C3 w"}  # fmt: skip
THIRDS = {"Fl": " | ".join(["E5 e F5 G5 B5 A5 G5 F5 B4"] * 4),
          "Vl I": " | ".join([TUNE] * 4), "Vc": "C3 w | G2 w | C3 w | G2 w"}  # fmt: skip
MOSTLY = {**THIRDS, "Fl": " | ".join(["D5 e F5 G5 B5 A5 G5 F5 C5"] * 4)}  # six of eight in each bar

#: By tolerance: the music, a claim, and a value that gives another answer than the usual one.
MATTERS: dict[str, tuple[dict[str, str], dict[str, Any], float]] = {
    "bar_offset": (SCORE, {**LATE, "bars": ["3", "4"]}, 2),
    "near_share": (SCORE, {**LATE, "bars": ["2", "4"]}, 0.3),
    "occurrence_bars": (PLACES, {"kind": "crossing", "bars": ["1", "12"], "parts": [],
                                 "upper": "Vl I", "lower": "Vl II"}, 12),
    "octaves_near": (SCORE, HIGHER, 0),
    "doubling_noted": (SCORE, DOUBLES, 0.9),
    "doubling_full": (SCORE, DOUBLES, 0.85),
    "doubling_partial": (MEETING, {**DOUBLES, "parts": ["Ob"], "coverage": "partial"}, 0.15),
    "doubling_contact": (MEETING, DOUBLES, 0.3),
    "doubling_min_met": (THREE, {**DOUBLES, "bars": ["1"]}, 5),
    "parallel_full": (MOSTLY, {"kind": "parallel", "bars": ["1", "4"], "parts": ["Fl"],
                               "with": ["Vl I"], "interval": "third"}, 0.7),
    "tutti_share": (NEARLY_ALL, {"kind": "playing", "bars": ["2"], "parts": [],
                                 "mode": "tutti"}, 0.95),
    "sequence_statements": (SCORE, TWICE, 2),
}  # fmt: skip


def outcome(music: Any, claim: dict[str, Any], found: Any, **values: float) -> tuple[Any, ...]:
    claim = {"id": 1, "movement": 1, **claim}
    said = claims.answer(claim, music, found, replace(Settings(), **values)).as_dict()
    return said["flag"], said["cause"], said["note"]


@pytest.mark.parametrize("name", sorted(MATTERS))
def test_no_tolerance_is_without_effect(name: str) -> None:
    score, claim, value = MATTERS[name]
    music = table(score)
    assert problems({name: value}) == []
    assert outcome(music, claim, ()) != outcome(music, claim, (), **{name: value})


STRICTEST = {
    "role_confidence": (role.CASES[0], "role", "ear"),
    "key_confidence": (key.CASES[0], "key", "ear"),
    "pedal_min_bars": (pedal.CASES[0], "pedal", "partly"),
    "min_confidence": (build_up.CASES[0], "build-up", "ear"),
    "conflict_confidence": (build_up.CASES[7], "build-up", "ear"),
}


@pytest.mark.parametrize("name", sorted(STRICTEST))
def test_at_its_strictest_it_gives_another_flag(name: str) -> None:
    case, kind, flag = STRICTEST[name]
    music = case.piece()
    found = case.find(music) if case.find else analyse(music)
    told = {"findings": found, **case.fields}
    assert ask(music, kind, case.bars, case.parts, **told)["flag"] == case.flag
    strict = replace(Settings(), **{name: BY_NAME[name].most})
    assert ask(music, kind, case.bars, case.parts, settings=strict, **told)["flag"] == flag


def test_every_tolerance_is_tried_here() -> None:
    assert {*MATTERS, *STRICTEST} == set(BY_NAME)


def test_the_strictest_values_leave_what_is_plainly_so() -> None:
    """All notes met, all attacks in thirds, everybody playing: there is nothing to be strict at."""
    most = {
        t.name: t.most for t in TOLERANCES if t.topic in (tolerances.DOUBLING, tolerances.OTHER)
    }
    most |= {"octaves_near": 0, "pedal_min_bars": 2, "sequence_statements": 3}
    assert problems(most) == []
    whole = table({"Fl": SCORE["Vl I"], "Vl I": SCORE["Vl I"], "Vc": SCORE["Vc"]})
    for music, claim in (
        (whole, DOUBLES),
        (table(THIRDS), MATTERS["parallel_full"][1]),
        (table(NEARLY_ALL), {"kind": "playing", "bars": ["1"], "parts": [], "mode": "tutti"}),
    ):
        assert outcome(music, claim, (), **most)[0] == "agrees"
