"""Whatever comes in, an answer comes out; the same in, the same out."""

from __future__ import annotations

import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from analysis.engine import claims
from analysis.engine.analyses import analyse
from analysis.engine.claims.registry import KINDS, RULED
from analysis.engine.claims.schema import read_claim
from analysis.engine.errors import ClaimNotUnderstood

from .asking import hold
from .pieces import doublings, forces, shared

pytestmark = pytest.mark.slow

JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=30),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=12), inner, max_size=4)
    ),
    max_leaves=12,
)
LABEL = st.sampled_from(["0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "24a", "", "x"])
BARS = (
    st.lists(LABEL, min_size=1, max_size=2)
    | st.builds(
        lambda a, b, n, t: {"from": {"bar": a, "nth": n, "beat": t}, "to": {"bar": b}},
        LABEL, LABEL, st.none() | st.integers(0, 3), st.none() | st.floats(0.5, 6),
    )
    | JSON
)  # fmt: skip
NAME = st.sampled_from(
    ["Fl", "Ob", "Vl I", "Vl II", "Vla", "Vc", "Cb", "Cor in Eb", "Cl", "strings", "winds", "all",
     "inner parts", "horns", "flute 1", "the firsts", "nobody", "all four", "", "Timp", "P1"]
) | st.builds(lambda p, n: {"part": p, "player": n}, st.sampled_from(["P1", "P2", "P9"]),
              st.none() | st.just("all") | st.integers(0, 3))  # fmt: skip
PITCH = st.sampled_from(["C", "Eb4", "C6", "F#", "H", "B", "sol", "G5", "E1"]) | st.builds(
    lambda p, w: {"pitch": p, "written": w}, st.sampled_from(["C5", "Bb"]), st.booleans()
)
VALUES = {
    "mode": st.sampled_from(["play", "rest", "only", "tutti", "silence"]),
    "unique": st.booleans(), "with": st.lists(NAME, max_size=2),
    "octaves": st.integers(-4, 4) | st.none(),
    "direction": st.booleans(),
    "coverage": st.sampled_from(["full", "partial", "simplified", "heterophonic", "none"]),
    "levels": st.none() | st.integers(1, 5), "notes": st.none() | st.just(["n0-0-0", "zzz"]),
    "beats": st.none() | st.just([1]) | st.just([2.5]), "by": st.sampled_from(["pitch", "accent"]),
    "upper": NAME, "lower": NAME, "extreme": st.sampled_from(["highest", "lowest"]), "pitch": PITCH,
    "within": st.sampled_from(["passage", "movement", "work"]),
    "crook": st.none() | st.sampled_from(["Eb", "C basso", "Es", "Q"]),
    "pitches": st.lists(PITCH, max_size=3), "missing": st.lists(PITCH, max_size=2),
    "pair": st.none() | st.lists(NAME, min_size=2, max_size=2),
    "key": st.sampled_from(["c major", "Es-Dur", "h-moll", "x"]),
    "how": st.sampled_from(["region", "arrives"]),
    "instrument": st.none() | st.sampled_from(["horn", "Klarinette", "zither"]),
    "transposition": st.none() | st.integers(-14, 12),
    "clef": st.none() | st.sampled_from(["alto", "x"]),
    "players": st.none() | st.integers(1, 3), "shares-staff-with": st.lists(NAME, max_size=1),
    "absent": st.lists(st.sampled_from(["tuba", "flute"]), max_size=2),
    "role": st.sampled_from(["melody", "bass line", "silence"]), "text": st.text(max_size=20),
    "mark": st.sampled_from(["pizz.", "con sord.", "dolce", "f", "a 2", "div.", "solo", "!"]),
    "root": st.none() | st.sampled_from(["C", "Eb", "F#4"]),
    "quality": st.none() | st.sampled_from(["major", "moll", "V7", "open fifth", "sweet"]),
    "inversion": st.none() | st.integers(0, 4),
    "member": st.none() | st.dictionaries(
        st.sampled_from(["Fl", "Ob", "Vl I", "strings", "Timp"]),
        st.sampled_from(["root", "third", "fifth", "foreign"]), min_size=1, max_size=3),
    "keys": st.lists(st.sampled_from(["c major", "G-Dur", "a minor", "x"]), min_size=1, max_size=4),
    "touched": st.booleans(), "of": st.sampled_from(["bars", "notes", "melody"]),
    "texture": st.sampled_from(["single-line", "chorale", "dialogue", "melody-accompaniment"]),
    "predominant": NAME, "bars2": BARS, "added": st.lists(NAME, max_size=2),
    "left": st.lists(NAME, max_size=2),
    "register": st.none() | st.sampled_from(["low", "middle", "high"]),
    "interval": st.sampled_from(["third", "sixth", "tenth"]),
}  # fmt: skip


@st.composite
def near_claims(draw):
    """Claims of the right form more often than not."""
    kind = draw(st.sampled_from(sorted(KINDS)))
    claim = {"id": draw(st.integers() | st.text(max_size=5)), "kind": kind}
    claim["bars"] = draw(BARS)
    claim["parts"] = draw(st.lists(NAME, max_size=4))
    claim["negated"] = draw(st.booleans())
    for name in KINDS[kind].form.names():
        if draw(st.booleans()) or draw(st.booleans()):
            claim[name] = draw(VALUES.get(name, JSON) if draw(st.integers(0, 9)) else JSON)
    if not draw(st.integers(0, 9)):
        claim[draw(st.text(max_size=8))] = draw(JSON)
    return claim


QUIET = settings(
    max_examples=150,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


@QUIET
@given(JSON)
def test_any_json_gets_an_answer(raw):
    hold(claims.answer(raw, doublings(), []).as_dict())


@settings(QUIET, max_examples=400)
@given(near_claims(), st.sampled_from([doublings, shared, forces]))
def test_nearly_right_claims_get_an_answer_and_truths_agree(claim, piece):
    table = piece()
    findings = table.__dict__.setdefault("_test_findings", analyse(table))
    value = claims.answer(claim, table, findings).as_dict()
    hold(value)
    json.dumps(value, allow_nan=False)
    assert value["id"] == claim["id"]
    again = claims.answer(claim, table, findings).as_dict()
    assert again == value
    truth = value["truth"]["claim"]
    if truth is not None:
        fed = claims.answer(truth, table, findings).as_dict()
        assert fed["flag"] == "agrees", (claim, value, fed)


@settings(QUIET, max_examples=200)
@given(near_claims())
def test_a_claim_read_and_written_is_the_same_claim(claim):
    try:
        read = read_claim(claim)
    except ClaimNotUnderstood:
        return
    assert read_claim(read.as_json()) == read_claim({**read.as_json(), "id": None})


@pytest.mark.parametrize("kind", RULED, ids=lambda k: k.name)
def test_every_ruled_kind_has_words_form_and_readings(kind):
    assert kind.says
    assert kind.judge is not None
    known = {r.code for r in __import__(
        "analysis.engine.claims.readings", fromlist=["READINGS"]).READINGS}  # fmt: skip
    assert kind.readings <= known


def test_fresh_tables_give_the_same_answers():
    """What is kept on a table never changes an answer."""
    from dataclasses import replace

    claim = {"id": 1, "kind": "doubling", "bars": ["5", "8"], "parts": ["Cor in Eb"],
             "with": ["Vl I"], "octaves": 0}  # fmt: skip
    warm = [claims.answer(claim, doublings(), []).as_dict() for _ in range(2)]
    cold = claims.answer(claim, replace(doublings()), []).as_dict()
    assert warm[0] == warm[1] == cold
