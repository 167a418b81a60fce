"""Verbs agree with names: English grammar, common practice, no source."""

from __future__ import annotations

import re

import pytest

from analysis.engine.analyses import registry  # noqa: F401 - every room says its sentences
from analysis.engine.many import THEY, is_many, subject
from analysis.engine.model import Sentence
from analysis.engine.sentences import TEMPLATES, render
from analysis.engine.telling.words import beside_bars

#: "{parts} doubles", "{line} has": a verb of one right behind a name, a crook between them or not
SINGULAR = re.compile(
    r"(?<!of )\{(parts|line|lower|from_|to|first|section)\}(?: \(crook \{crook\}\))?"
    r" (?!cross )([a-z]+s)\b"
)


@pytest.mark.parametrize(
    ("name", "many"),
    [
        ("Corni in F", True), ("Corno in F", False), ("Flauti 1. 2", True), ("Flauto 1", False),
        ("Violino I", False), ("Flauto and Oboe 1", True), ("Flauto, Oboe 1 and four more", True),
        ("Violino I (with Flauto and Oboe 1)", False), ("Hörner in Es", True),
    ],
)  # fmt: skip
def test_a_plural_or_several_names_are_many(name: str, many: bool) -> None:
    assert is_many(name) is many


def test_every_sentence_of_one_has_its_plural() -> None:
    findings = {k: v for k, v in TEMPLATES.items() if not k.startswith(("claim.", "describe."))}
    of_one = {k for k, v in findings.items() if SINGULAR.search(v)}
    assert len(of_one) > 40
    assert of_one - set(THEY) == set()
    assert [k for k in THEY if SINGULAR.search(THEY[k])] == []


@pytest.mark.parametrize("id_", sorted(THEY))
def test_a_plural_sentence_has_the_parameters_of_its_sentence(id_: str) -> None:
    named = set(re.findall(r"\{(\w+)\}", TEMPLATES[id_]))
    assert set(re.findall(r"\{(\w+)\}", THEY[id_])) <= named
    assert subject(id_, TEMPLATES[id_]) in named


def test_the_verb_follows_the_name() -> None:
    said = {"line": "Corni in F", "place": "b. 3"}
    assert render(Sentence("role.held harmony", said)) == "Corni in F hold the harmony, b. 3."
    assert beside_bars(Sentence("role.held harmony", said)) == "Corni in F hold the harmony."
    said["line"] = "Corno in F"
    assert render(Sentence("role.held harmony", said)) == "Corno in F holds the harmony, b. 3."
