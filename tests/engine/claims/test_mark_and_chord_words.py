"""Marks and chords as people write them, in four languages. Common practice, no printed source."""

from __future__ import annotations

import pytest

from analysis.engine.claims.chord_words import alike, quality_named
from analysis.engine.claims.mark_words import read_mark, same_word
from analysis.engine.errors import ClaimNotUnderstood


@pytest.mark.parametrize(
    ("name", "texts"),
    [
        ("con sord.", "con sordino; mit Dämpfer; avec sourdine; muted; sord."),
        ("senza sord.", "senza sord.; ohne Dämpfer; sans sourdine; without mutes"),
        ("pizz.", "pizzicato; pizz; plucked; gezupft"),
        ("arco", "arco; bowed; coll'arco; gestrichen"),
        ("a 2", "a 2; a due; zu 2; à deux"),
        ("div.", "div.; divisi; geteilt; divisés"),
        ("stopped", "gestopft; stopped; bouché; +"),
        ("solo", "solo; Solo"),
        ("f", "forte; f; F"),
        ("pp", "pianissimo; pp"),
    ],
)
def test_marks(name: str, texts: str) -> None:
    assert {read_mark(text.strip()).name for text in texts.split(";")} == {name}


def test_other_words_are_looked_for_as_printed() -> None:
    assert read_mark("dolce").is_word
    assert same_word("p espr. e dolce", "espressivo")
    assert same_word("cresc. poco a poco", "crescendo")
    assert not same_word("con fuoco", "dolce")
    assert not same_word("dim.", "dolce")


@pytest.mark.parametrize(
    ("name", "texts"),
    [
        ("major", "major; Dur; maggiore; majeur; M"),
        ("minor", "minor; Moll; minore; mineur; m"),
        ("dominant seventh", "dominant seventh; V7; 7; Dominantseptakkord"),
        ("diminished seventh", "dim7; diminished seventh; verminderter Septakkord"),
        ("half-diminished seventh", "half-diminished; halbverminderter Septakkord"),
        ("diminished", "diminished; dim.; vermindert"),
        ("augmented", "augmented; übermäßig; eccedente"),
        ("minor seventh", "minor seventh; m7; Moll-Septakkord"),
        ("German sixth", "German sixth"),
        ("open fifth", "open fifth; leere Quinte"),
    ],
)
def test_chords(name: str, texts: str) -> None:
    assert {quality_named(text.strip()) for text in texts.split(";")} == {name}


def test_a_chord_nobody_knows_is_a_question() -> None:
    with pytest.raises(ClaimNotUnderstood, match="glorious"):
        quality_named("glorious")


def test_a_seventh_more_or_less_is_near() -> None:
    assert alike("major", "dominant seventh") == "near"
    assert alike("diminished seventh", "diminished") == "near"
    assert alike("seventh", "minor seventh") == "right"
    assert alike("German sixth", "dominant seventh") == "near"  # one sound, two names
    assert alike("major", "minor") == "wrong"
