"""Who is heard by the reading. What each choice must hold is by construction (no source)."""

from __future__ import annotations

import io

import pretty_midi
import pytest

from analysis.engine.hearing import choices
from analysis.engine.model import Evidence, Finding, ScoreTable, Sentence
from analysis.engine.sentences import render
from analysis.engine.sound import midi_file, perform
from tests.engine.sound.scores import note, score

#: bars 1-3: flute an octave above the violin; bass with other notes; bar 4: the flute alone
TABLE = score(
    ("Flauto", "", [note("C", 6), note("D", 6), note("E", 6), note("F", 6)]),
    ("Violino I", "", [note("C", 5), note("D", 5), note("E", 5), note("G", 4)]),
    ("Violoncello", "", [note("A", 2), note("B", 2), note("C", 3), note("D", 3)]),
)
FLUTE, VIOLIN, CELLO = {84, 86, 88, 89}, {72, 74, 76, 67}, {45, 47, 48, 50}


def found(kind: str, first: int, last: int, lines: tuple[int, ...], **value: object) -> Finding:
    return Finding(
        kind=kind, movement=0, first=first, last=last, start=TABLE.bars[first].start,
        end=TABLE.bars[last].end, lines=lines, value={"kind": kind, **value}, confidence=1.0,
        evidence=(Evidence(ids=("n0-0-0",)),), sentence=Sentence("x"),
    )  # fmt: skip


FINDINGS = [
    found("role", 0, 3, (0,), role="melody"),
    found("role", 0, 2, (1,), role="melody"),
    found("role", 0, 3, (2,), role="bass line"),
    found("role", 3, 3, (1,), role="unclear"),
    found("doubling", 0, 2, (0, 1), **{"with": ["P2"], "octaves": 1}),
    found("doubling", 0, 3, (2,), coverage="none"),
]
EVERY = ("melody", "roles", "doublings")


def chosen(key: str, layers: tuple[str, ...] = EVERY, first: int = 0, last: int = 3) -> set[int]:
    choice = next(c for c in choices(TABLE, FINDINGS, layers, first, last) if c.key == key)
    return {int(TABLE.notes["pitch"][row]) for row in choice.rows}


def keys(*layers: str, first: int = 0, last: int = 3) -> set[str]:
    return {c.key for c in choices(TABLE, FINDINGS, layers, first, last)}


def test_each_choice_has_the_notes_of_its_lines_while_it_holds() -> None:
    assert chosen("melody") == FLUTE | (VIOLIN - {67})
    assert chosen("role-bass-line") == CELLO
    # the flute doubles the violin an octave higher to bar 3; in bar 4 it has the melody alone
    assert chosen("melody-alone") == {89} | (VIOLIN - {67})
    assert chosen("together") == chosen("group-0-1") == (FLUTE - {89}) | (VIOLIN - {67})


def test_a_layer_tells_its_own_choices_and_no_others() -> None:
    assert keys("melody") == {"melody"}
    assert keys("roles") == {"melody", "role-bass-line"}
    assert keys("doublings") == {"together", "group-0-1"}
    assert keys("keys", "crossings", "open-tones") == keys() == set()


def test_nothing_is_chosen_beyond_the_bars() -> None:
    assert chosen("melody", first=1, last=1) == {86, 74}
    assert "together" not in keys(*EVERY, first=3, last=3)


def sounding(table: ScoreTable, **how: object) -> list[tuple[int, float]]:
    made = midi_file(perform(table, **how), table)  # type: ignore[arg-type]
    file = pretty_midi.PrettyMIDI(io.BytesIO(made))
    return sorted((n.pitch, round(n.start, 2)) for i in file.instruments for n in i.notes)


@pytest.mark.parametrize("only", [True, False])
def test_what_is_left_keeps_its_time(only: bool) -> None:
    """Parsed by another library (pretty_midi): the notes left start when they do in the whole."""
    rows = next(c for c in choices(TABLE, FINDINGS, EVERY, 1, 2) if c.key == "melody-alone").rows
    part = sounding(TABLE, within=(1, 2), keep=lambda row: (row in rows) is only)
    assert {p for p, _ in part} == ({74, 76} if only else {86, 88, 47, 48})
    assert set(part) <= set(sounding(TABLE))


def test_what_is_left_out_is_said_in_words_of_its_own_where_the_others_would_deny_twice() -> None:
    found = {c.key: c for c in choices(TABLE, FINDINGS, EVERY, 1, 2)}
    alone = found["melody-alone"]
    assert render(alone.says) == "the melody without its octaves"
    assert alone.out is not None
    assert render(alone.out) == "the melody, but with its octaves"
    assert all(c.out is None for key, c in found.items() if key != "melody-alone")
