"""Walk over all kinds of statements: each has its words, its form, and a case for every flag."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from django.template.loader import get_template

from analysis.engine.claims.registry import KINDS as ENGINE
from analysis.engine.claims.registry import RULED
from analysis.engine.claims.schema import read_claim
from submissions.kinds import KINDS as FORMS
from tests.engine.claims import cases
from tests.engine.claims.cases import Case

FLAGS = {"agrees", "partly", "conflicts", "ear"}


def _all_cases() -> Iterator[Any]:
    for kind in filter(cases.has_cases, cases.kinds()):  # the others fail below, by name
        for case in cases.module_of(kind).CASES:
            yield pytest.param(kind, case, id=f"{kind}: {case.flag}: {case.why[:60]}")


@pytest.mark.parametrize(("kind", "case"), list(_all_cases()))
def test_the_flag_is_the_one_argued_from_the_notes(kind: str, case: Case) -> None:
    # `ask` also feeds the truth back: it agrees
    value = case.answer(kind)
    told = f"{value['sentence']} {value['note']}"
    assert value["flag"] == case.flag, told
    assert value["cause"] == case.cause, told
    assert case.says in told


@pytest.mark.parametrize("kind", cases.kinds())
def test_every_flag_and_a_misreading_has_a_case(kind: str) -> None:
    assert cases.has_cases(kind), f"write the cases of {kind}"
    module = cases.module_of(kind)
    if kind == "free":
        assert {c.flag for c in module.CASES} == {"ear"}  # always the tutor's
        return
    assert {c.flag for c in module.CASES} == FLAGS - getattr(module, "NEVER", set())
    doubts = {None, "unconfirmed-part", "not-understood"}
    if ENGINE[kind].readings:
        assert any(c.cause not in doubts for c in module.CASES), "no misreading is recognised"


@pytest.mark.parametrize("kind", cases.kinds())
def test_every_kind_has_words_a_form_and_a_template(kind: str) -> None:
    form = FORMS[kind]
    assert str(form.label)
    assert ENGINE[kind].says
    get_template(form.template)


@pytest.mark.parametrize("kind", cases.kinds())
def test_what_is_typed_becomes_the_claim_and_is_read_again(kind: str) -> None:
    module = cases.module_of(kind)
    form = FORMS[kind].form({f"k-{name}": text for name, text in module.TYPED.items()})
    assert form.is_valid(), form.errors
    claim = form.claim()
    assert claim == module.CLAIM
    words = {"text": "In my words."} if kind == "free" else {}
    read = read_claim({"kind": kind, "bars": ["1", "4"], **claim, **words})
    assert read_claim(read.as_json()) == read


def test_the_forms_are_those_of_the_kinds_with_a_rule() -> None:
    assert set(FORMS) == {*(kind.name for kind in RULED), "free"}
