"""Sequences and melodic chains on hand-made tables.

Sources: trade facts 9 (motif, sequence, real and tonal, repetition at the same level, falling
fifths -4, +3); job 6, example 7 (a model of a bar, three times, each a step lower; the next bar
breaks it). Lengths of models: common practice, no source.
"""

import pytest

from analysis.engine.analyses import sequence_facts, sequences
from analysis.engine.claims.schema import read_claim
from analysis.engine.export import claim_json
from analysis.engine.sentences import render
from analysis.engine.settings import Settings

from ..tables import table
from .changes import reordered, ties_split, transposed, with_a_silent_part

S = Settings()
#: a model of one bar, three times, each a step lower; bar 4 goes another way
FALLING = "G5 q. A5 e B5 q D6 | F5 q. G5 e A5 q C6 | E5 q. F5 e G5 q B5 | D5 h E5 q r"
UNDER = "E5 q. F5 e G5 q B5 | D5 q. E5 e F5 q A5 | C5 q. D5 e E5 q G5 | B4 h C5 q r"
HELD = "G3 w | F3 w | E3 w | D3 w"


def facts(lines, least=3, **more):
    t = table(lines, **more)
    return [
        (t.lines[r.line].name, r.statements, r.step, r.chain)
        for r in sequence_facts.restated(t, least)
    ]


def test_a_model_three_times_and_where_it_breaks():
    t = table({"Vl II": FALLING, "Vla": UNDER, "Vc": HELD})
    (found,) = sequences.find_sequences(t, S)
    assert found.value == {
        "kind": "sequence",
        "parts": ["P1", "P2"],
        "statements": 3,
        "step": -1,
        "breaks-at": {"bar": "4", "beat": 3},
    }
    assert (found.first, found.last, found.lines) == (0, 2, (0, 1))
    assert [len(e.ids) for e in found.evidence] == [12, 12]
    assert render(found.sentence) == (
        "b. 1–3: Vl II and Vla make a sequence: a model of one bar is stated three times, each "
        "time a step lower (tonal: the steps are kept); it breaks off at b. 4, beat 3."
    )
    assert read_claim(claim_json(t, found)).kind == "sequence"


def test_a_real_sequence_keeps_the_semitones():
    real = "C5 q D5 E5 C5 | D5 E5 F#5 D5 | E5 F#5 G#5 E5 | r"
    (found,) = sequence_facts.restated(table({"Vl I": real}))
    assert (found.real, found.step, found.breaks) == (True, 1, -1)
    (tonal,) = sequence_facts.restated(table({"Vl I": real.replace("#", "")}))
    assert (tonal.real, tonal.step) == (False, 1)


def test_the_model_begins_where_it_is_heard_to_begin():
    # the note before happens to fit as well: the bars count, not the first alike note
    bars = "A5 q G5 E5 C6 | B5 q A5 F5 D6 | C6 q B5 G5 E6"
    (found,) = sequence_facts.restated(table({"Ob": f"G5 h. B5 q | {bars} | r"}))
    assert (found.statements, found.start, found.step) == (3, 40320, 1)
    # an upbeat after a rest belongs to the model
    (found,) = sequence_facts.restated(table({"Ob": f"r h. B5 q | {bars} | r"}))
    assert (found.statements, found.start, found.step) == (3, 30240, 1)


@pytest.mark.parametrize(
    "text",
    [
        # a scale
        "C5 q D5 E5 F5 | G5 q A5 B5 C6 | D6 q E6 F6 G6 | A6 w",
        # one note
        "C5 q C5 C5 C5 | C5 q C5 C5 C5 | C5 q C5 C5 C5 | C5 w",
        # the same level: an ostinato
        "C5 q E5 G5 E5 | C5 q E5 G5 E5 | C5 q E5 G5 E5 | C5 q E5 G5 E5",
        # a broken chord through the octaves
        "C3 q E3 G3 C4 | E4 q G4 C5 E5 | G5 q C6 E6 G6 | r",
        # two statements only
        "G5 q. A5 e B5 q D6 | F5 q. G5 e A5 q C6 | C6 h D6 | E6 w",
        # the rhythm alone
        "G5 q. A5 e B5 q D6 | F5 q. E5 e A5 q G5 | E5 q. C6 e D5 q B5 | r",
        # three statements with another phrase between them
        "G5 q. A5 e B5 q D6 | C6 w | F5 q. G5 e A5 q C6 | C6 w | E5 q. F5 e G5 q B5",
        # broken thirds in quavers: figuration
        "C5 e E5 D5 F5 E5 G5 F5 A5 | G5 e B5 A5 C6 B5 D6 C6 E6 | r",
    ],
)
def test_what_is_no_sequence(text):
    assert facts({"Vl I": text}) == []


def test_two_statements_are_there_for_who_asks():
    two = "G5 q. A5 e B5 q D6 | F5 q. G5 e A5 q C6 | C6 h D6 | E6 w"
    assert facts({"Vl I": two}, least=2) == [("Vl I", 2, -1, ())]
    found = sequences.find_sequences(table({"Vl I": two}), Settings(sequence_statements=2))
    assert [f.value["statements"] for f in found] == [2]


def test_a_chain_of_fifths_and_fourths_with_its_break():
    # roots C F B E A D G, then E instead of C
    text = "C4 h F3 | B3 h E3 | A3 h D3 | G3 h E4 | r"
    t = table({"Vc": text})
    (found,) = sequences.find_sequences(t, S)
    assert found.value == {
        "kind": "sequence",
        "parts": ["P1"],
        "chain": [-4, 3, -4, 3, -4, 3],
        "breaks-at": {"bar": "4", "beat": 3},
    }
    assert render(found.sentence) == (
        "b. 1–4: Vc makes a chain of falling fifths and rising fourths, 6 moves in a row; it "
        "breaks off at b. 4, beat 3."
    )
    assert read_claim(claim_json(t, found))["chain"] == (-4, 3, -4, 3, -4, 3)


def test_falling_thirds_but_not_a_triad():
    chain = sequence_facts.restated(table({"Vl I": "B5 h G5 | E5 h C5 | A4 h r"}))
    assert [r.chain for r in chain] == [(-2, -2, -2, -2)]
    assert facts({"Vl I": "G5 h E5 | C5 h G4 | E4 h C4"}) == []


def test_a_sequence_does_not_reach_over_movements():
    a = "G5 q. A5 e B5 q D6 | F5 q. G5 e A5 q C6"
    assert facts({"Vl I": a + " || E5 q. F5 e G5 q B5 | D5 w"}) == []


@pytest.mark.parametrize(
    "change",
    [with_a_silent_part, ties_split, reordered],
)
def test_what_leaves_the_music_the_same(change):
    lines = {"Vl II": FALLING, "Vla": UNDER, "Vc": HELD}
    assert sorted(facts(change(lines))) == sorted(facts(lines)) != []


def test_transposition_leaves_it():
    # the helper spells with flats and sharps mixed; an octave keeps the spelling
    lines = {"Vl II": FALLING, "Vc": HELD}
    assert facts(transposed(lines, 12)) == facts(lines)


@pytest.mark.parametrize("text", ["r", "x w", "C5 w", "(C5) r", "C5 q D5 E5 F5"])
def test_hardly_anything(text):
    assert facts({"Fl": text}) == []
