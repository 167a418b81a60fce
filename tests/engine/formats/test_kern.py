"""Kern: against another reader of the same files, and construct by construct."""

from __future__ import annotations

from fractions import Fraction

import pytest

from analysis.engine.errors import Refused
from tests.engine.formats import reading
from tests.engine.formats.small import kern
from tests.engine.gate.test_refusals import lint

CORPUS = reading.MUSIC21 / "corpus"
Q = Fraction(1)


def notes(*lines: str, head: tuple[str, ...] = ()) -> list[reading.Sound]:
    return text_notes(kern(*lines, head=head))


def text_notes(data: bytes) -> list[reading.Sound]:
    return sorted(reading.sounds(reading.table_of(reading.let_in(data, "a.krn"))).elements())


FILES = [
    "bach/bwv277.krn", "bach/bwv281.krn", "bach/bwv366.krn", "beethoven/opus18no1/movement2.krn",
    "beethoven/opus18no1/movement3.krn", "chopin/mazurka06-2.krn", "palestrina/Agnus.krn",
    "palestrina/Kyrie_62_a.krn", "palestrina/Credo_72_c.krn",
]  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("file", FILES)
def test_attacks_are_those_music21_reads(file: str):
    """Onset and sounding pitch of every note, by music21's own reader of kern."""
    path = CORPUS / file
    mine = reading.attacks(reading.table_of(reading.let_in(path.read_bytes(), path.name)))
    theirs = reading.music21_attacks(reading.music21_score(path, "humdrum"))
    assert reading.share(mine, theirs) == 1.0


def test_attacks_are_those_of_another_encoding_of_the_piece():
    """The scherzo of a quartet, in kern and in MusicXML by other hands (one note differs)."""
    one, other = (
        reading.attacks(reading.table_of(reading.let_in(path.read_bytes(), path.name)))
        for path in (
            CORPUS / "beethoven/opus18no1/movement3.krn",
            CORPUS / "beethoven/opus18no1/movement3.mxl",
        )
    )
    assert one.total() > 1000
    assert reading.share(one, other) > 0.999


def test_pitches_and_lengths():
    assert [(n[1], n[2], n[3]) for n in notes("4.CC", "8c#", "4dd-", "8ee 8gg", "8r")] == [
        (0 * Q, Q * 3 / 2, 36), (Q * 3 / 2, Q / 2, 61), (2 * Q, Q, 73), (3 * Q, Q / 2, 76),
        (3 * Q, Q / 2, 79),
    ]  # fmt: skip


def test_triplets_and_other_fractions():
    found = notes("12c", "12d", "12e", "2%3f", "4g", "3%8a", "8b", "2r")
    assert [n[2] for n in found][:3] == [Q / 3] * 3
    assert found[3][2] == Q * 6
    with_bracket = reading.let_in(kern("12c", "12d", "12e", "2.f"), "a.krn").canonical
    assert with_bracket.count(b"<tuplet ") == 2


def test_ties_join_and_graces_take_no_time():
    found = notes("2[c", "4c]", "8qd", "4e")
    assert sorted(n[1:] for n in found) == [(0 * Q, 3 * Q, 60), (3 * Q, 0 * Q, 62), (3 * Q, Q, 64)]


def test_a_column_that_splits_has_two_voices():
    data = b"""**kern
*M4/4
=1
2c
*^
4e\t2g
4f\t.
*v\t*v
=2
1c
==
*-
"""
    assert [n[1:] for n in text_notes(data)] == [
        (0 * Q, 2 * Q, 60), (2 * Q, Q, 64), (2 * Q, 2 * Q, 67), (3 * Q, Q, 65), (4 * Q, 4 * Q, 60)
    ]  # fmt: skip


def test_the_rightmost_column_is_the_top_part_and_codes_name_parts():
    data = b"**kern\t**kern\n*Icello\t*Ivioln\n*M4/4\t*M4/4\n=1\t=1\n1C\t1cc\n==\t==\n*-\t*-\n"
    table = reading.table_of(reading.let_in(data, "a.krn"))
    assert [p.label for p in table.parts] == ["Violin", "Violoncello"]
    assert [n[3] for n in text_notes(data)] == [72, 48]


def test_columns_of_one_part_are_its_staves():
    data = (
        b"**kern\t**kern\n*part1\t*part1\n*staff2\t*staff1\n*Ipiano\t*Ipiano\n*M4/4\t*M4/4\n"
        b"=1\t=1\n1C\t1cc\n==\t==\n*-\t*-\n"
    )
    assert [(n[0], n[3]) for n in text_notes(data)] == [(0, 48), (0, 72)]


def test_a_transposing_instrument_keeps_its_sound_and_gets_its_page():
    """``*ITrd1c2``: the page stands a step and two semitones above the sound."""
    data = kern("4c", "4d", "2e", head=("*ITrd1c2",))
    admitted = reading.let_in(data, "a.krn")
    assert [n[3] for n in text_notes(data)] == [60, 62, 64]
    assert b"<chromatic>-2</chromatic>" in admitted.canonical
    assert b"<fifths>2</fifths>" in admitted.canonical
    assert b"<step>F</step><alter>1</alter>" in admitted.canonical


def test_repeats_bars_and_upbeat():
    data = b"**kern\n*M4/4\n4c\n=1\n1d\n=2:|!\n1e\n=3!|:\n1f\n==:|!\n*-\n"
    table = reading.table_of(reading.let_in(data, "a.krn"))
    assert [b.label for b in table.bars] == ["0", "1", "2", "3"]
    copy = reading.let_in(data, "a.krn").canonical
    assert copy.count(b'direction="backward"') == 2
    assert copy.count(b'direction="forward"') == 1


def test_dynamics_and_words():
    data = (
        b"**kern\t**dynam\t**text\n*M4/4\t*\t*\n=1\t=1\t=1\n2c\tpp <\tA-\n2d\t[\t-men\n"
        b"==\t==\t==\n*-\t*-\t*-\n"
    )
    copy = reading.let_in(data, "a.krn").canonical
    for sign in (b"<pp/>", b'type="crescendo"', b'type="stop"', b"<text>A</text>", b"begin"):
        assert sign in copy


def test_filters_are_told_and_never_run():
    plain = kern()
    admitted = reading.let_in(plain + b"!!!filter: transpose -t P5\n", "a.krn")
    assert [n.code for n in admitted.notices] == ["filter"]
    assert admitted.canonical == reading.let_in(plain, "a.krn").canonical


@pytest.mark.parametrize(
    ("lines", "line"),
    [
        (("0%0c",), 7), (("4%0c",), 7), (("4c", "0000c"), 8), (("4c.....",), 7), (("c",), 7),
        (("4c", "4ab"), 8), (("4c\t4d",), 7), (("4cccccccccc",), 7), (("99999c",), 7),
        (("*v",), 7), (("*x",), 7), (("*M0/4",), 7),
    ],
)  # fmt: skip
def test_a_fault_is_named_with_its_line(lines: tuple[str, ...], line: int):
    with pytest.raises(Refused) as caught:
        reading.let_in(kern(*lines), "a.krn")
    lint(caught.value)
    assert caught.value.where == f"line {line}"


def test_a_bomb_of_columns_is_stopped():
    columns, rows = 1, []
    while columns < 1_000:
        rows.append("\t".join(["*^"] * columns))
        columns *= 2
    with pytest.raises(Refused) as caught:
        reading.let_in(kern(*rows), "a.krn")
    assert "columns" in caught.value.sentence
