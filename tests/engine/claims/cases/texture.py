"""Textures: the words of trade facts 6.2; job.md 6, examples 23 and 25."""

from __future__ import annotations

from functools import cache

from analysis.engine.model import ScoreTable
from tests.engine.analyses.test_textures import CHORALE, ENTRIES, HELD, ONE_LINE, SONG
from tests.engine.claims.cases import Case
from tests.engine.tables import table


@cache
def one_line() -> ScoreTable:
    """Bars 1-4: a tune in four octaves, nothing else."""
    return table(ONE_LINE)


@cache
def chorale() -> ScoreTable:
    """Bars 1-4: four voices in crotchets, a chord at each."""
    return table(CHORALE)


@cache
def held() -> ScoreTable:
    """Bars 1-4: a chord a bar, held."""
    return table(HELD)


@cache
def song() -> ScoreTable:
    """Bars 1-8: a tune on the flute over repeated notes, after-beats and a bass."""
    return table(SONG)


@cache
def entries() -> ScoreTable:
    """Vl I, II and Vla enter a bar apart, each a fifth lower."""
    return table(ENTRIES)


@cache
def line_then_chorale() -> ScoreTable:
    """One line in bars 1-4, the chorale in 5-8, other parts each."""
    rest = "r | r | r | r"
    low = {name: f"{text} | {rest}" for name, text in ONE_LINE.items() if name in ("Fl", "Cb")}
    return table(low | {name: f"{rest} | {text}" for name, text in CHORALE.items()})


CASES = [
    Case("one pitch class at every onset, four octaves", "agrees", one_line, ["1", "4"], (),
         {"texture": "single-line"}, says="a single line, no harmony"),
    Case("all voices in one rhythm", "agrees", chorale, ["1", "4"], (), {"texture": "chorale"}),
    Case("two of its four bars are a chorale too", "agrees", chorale, ["2", "3"], (),
         {"texture": "chorale"}, says="goes on to bar 4"),
    Case("nothing moves", "agrees", held, ["1", "4"], (), {"texture": "held-chords"}),
    Case("flute over an accompaniment", "agrees", song, ["1", "8"], (),
         {"texture": "melody-accompaniment"}),
    Case("subject, a fifth lower, a fifth lower", "agrees", entries, ["1", "4"], (),
         {"texture": "imitation"}),
    Case("a chorale that stands still is one of held chords", "partly", held, ["1", "4"], (),
         {"texture": "chorale"}, says="held chords"),
    Case("only one tune of two", "partly", song, ["1", "8"], (),
         {"texture": "melody-countermelody"}, says="a tune with accompaniment"),
    Case("bar 5 is the first of the chorale: one bar late", "partly", line_then_chorale,
         ["4", "5"], (), {"texture": "single-line"}, cause="bar-offset"),
    Case("chords are no single line", "conflicts", chorale, ["1", "4"], (),
         {"texture": "single-line"}, says="Several notes sound at once"),
    Case("octaves are no part-writing", "conflicts", one_line, ["1", "4"], (),
         {"texture": "part-writing"}, says="one note and its octaves"),
    Case("a flute that sings is no held chord", "conflicts", song, ["1", "8"], (),
         {"texture": "held-chords"}, says="A line moves there."),
    Case("whether a chorale is a tune with accompaniment may be argued", "ear", chorale,
         ["1", "4"], (), {"texture": "melody-accompaniment"}),
    Case("nobody repeats a figure for sure", "ear", song, ["1", "8"], (),
         {"texture": "dialogue"}),
    Case("no harmony anywhere, so it is no chorale", "agrees", one_line, ["1", "4"], (),
         {"texture": "chorale", "negated": True}),
    Case("it is a chorale", "conflicts", chorale, ["1", "4"], (),
         {"texture": "chorale", "negated": True}, says="There is an exception: bars 1–4."),
]  # fmt: skip

TYPED = {"texture": "chorale", "negated": "on"}
CLAIM = {"parts": [], "texture": "chorale", "negated": True}
