"""Winds on a shared staff: every mark of the trade-facts table "Sharing a staff" (7.2).

The table's rows are common practice without a printed source; each has a small
file in `data/`.
"""

from __future__ import annotations

import pytest

from analysis.engine.model import NoteFlag
from analysis.engine.reader.player_words import read_words
from tests.engine.reader.reading import codes, plays, rows, table


def test_first_alone():
    """1. / I. / primo / 1 solo: count one player, the first."""
    t = table("first-alone")
    assert [line.name for line in t.lines] == ["Oboe 1", "Oboe 2"]
    assert plays(t, "Oboe 1").keys() == {str(n) for n in range(1, 9)}
    assert plays(t, "Oboe 2") == {"2": "G5 F5 E5 D5", "4": "C5", "6": "C5", "8": "C5"}
    assert not codes(t)


def test_second_alone():
    t = table("second-alone")
    assert plays(t, "Oboe 1") == {"2": "C5", "4": "C5"}
    assert plays(t, "Oboe 2") == {"1": "C5 D5 E5 F5", "2": "C5", "3": "E5", "4": "C5", "5": "F5"}


def test_a_due_is_a_unison_of_two_players():
    t = table("a-due")
    assert plays(t, "Oboe 1")["1"] == plays(t, "Oboe 2")["1"] == "C5 D5 E5 F5"
    both = rows(t, "Oboe 1")[:4]
    assert all(both["flags"] & NoteFlag.A2)
    assert both["players"].tolist() == [1] * 4
    assert rows(t, "Oboe 2")["players"][:4].tolist() == [2] * 4
    # one printed note, two rows
    assert both["src"].tolist() == rows(t, "Oboe 2")["src"][:4].tolist()


def test_after_a_chord_a_due_is_over():
    t = table("a-due")
    assert (plays(t, "Oboe 1")["2"], plays(t, "Oboe 2")["2"]) == ("E5", "C5")
    assert plays(t, "Oboe 1")["3"] == "G5?"
    assert "3" not in plays(t, "Oboe 2")
    assert codes(t) == {"players-unknown": ("3",)}


@pytest.mark.parametrize("bar", ["4", "5", "6"])
def test_zu_2_a_due_and_the_french_accent(bar: str):
    t = table("a-due")
    assert plays(t, "Oboe 1")[bar] == plays(t, "Oboe 2")[bar]


def test_two_stems_are_two_lines():
    t = table("two-stems")
    assert plays(t, "Oboe 1") == {"1": "G5 E5", "2": "C5", "3": "E5", "5": "F5"}
    assert plays(t, "Oboe 2") == {"1": "E5 D5 C5", "2": "C5", "4": "D5", "5": "C5"}
    assert not codes(t)


def test_chords_are_upper_and_lower_player():
    t = table("chords")
    assert plays(t, "Oboe 1")["1"] == "E5 F5 G5 E5"
    assert plays(t, "Oboe 2")["1"] == "C5 D5 E5 C5"
    assert not (rows(t, "Oboe 1")["flags"][:4] & NoteFlag.CHORD).any()


def test_one_note_without_a_word_belongs_to_nobody_for_certain():
    t = table("chords")
    assert plays(t, "Oboe 1")["2"] == "C5?"
    assert codes(t) == {"players-unknown": ("2",)}


def test_both_numbers():
    t = table("one-and-two")
    assert plays(t, "Oboe 1") == {"1": "E5 D5", "2": "E5", "3": "F5"}
    assert plays(t, "Oboe 2") == {"1": "C5 D5", "3": "F5"}


def test_solo_in_winds_is_asked_about():
    t = table("solo-winds")
    assert codes(t)["solo-players"] == ("1",)
    assert plays(t, "Oboe 1")["1"] == "C5?"
    assert plays(t, "Oboe 2") == {"2": "D5", "3": "E5"}  # soli, tutti


def test_four_horns_on_one_staff():
    t = table("four-horns")
    names = [f"Horn {n} in F" for n in (1, 2, 3, 4)]
    assert [line.name for line in t.lines] == names
    assert [plays(t, n).get("1") for n in names] == ["A4", "F4", "C4", "F3"]
    assert [plays(t, n).get("2") for n in names] == [None, None, "C4", None]
    assert [plays(t, n).get("3") for n in names] == ["F4"] * 4
    assert [plays(t, n).get("4") for n in names] == ["F4", "C4", "A3", "F3"]
    assert plays(t, names[0])["5"] == "F4?"  # which two of four is not said


def test_numbers_name_the_player_or_the_place_on_the_staff():
    t = table("third-and-fourth")
    assert plays(t, "Horn 3 in F") == {"1": "C4", "2": "F4", "4": "F4", "5": "A4"}
    assert plays(t, "Horn 4 in F") == {"2": "F4", "3": "C4", "4": "F4"}


def test_two_staves_share_the_players_out():
    t = table("two-staves-of-horns")
    got = {n.name: plays(t, n.name) for n in t.lines}
    assert got == {
        "Horn 1 in F": {"1": "A4", "2": "F4"},
        "Horn 2 in F": {"1": "F4", "2": "F4"},
        "Horn 3 in F": {"1": "C4"},
        "Horn 4 in F": {"1": "F3", "2": "C4"},
    }


def test_a_voice_that_appears_in_mid_bar():
    t = table("voice-only-in-half-a-bar")
    assert plays(t, "Oboe 1") == {"1": "C5 E5"}
    assert plays(t, "Oboe 2") == {"1": "C5 C5"}


def test_a_hidden_rest_is_no_rest_of_a_player():
    t = table("hidden-rest")
    assert plays(t, "Oboe 1") == plays(t, "Oboe 2") == {"1": "C5"}


# Words met in the open set, and look-alikes that must say nothing. From the files
# themselves and from trade-facts 7.2.
@pytest.mark.parametrize(
    ("text", "sign", "numbers"),
    [
        ("a 2", "together", (2,)),
        ("a. 2", "together", (2,)),
        ("a 2.", "together", (2,)),
        ("1 solo", "numbers", (1,)),
        ("1  solo", "numbers", (1,)),
        ("2. solo", "numbers", (2,)),
        ("I. Solo", "numbers", (1,)),
        ("Solo I.", "numbers", (1,)),
        ("II°", "numbers", (2,)),
        ("1o", "numbers", (1,)),
        ("1. dolce", "numbers", (1,)),
        ("1.2.", "each", (1, 2)),
        ("div. a 3", "div", (3,)),
        ("divisi", "div", (2,)),
        ("geteilt", "div", (2,)),
    ],
)
def test_words(text: str, sign: str, numbers: tuple[int, ...]):
    word = read_words(text)
    assert word is not None
    assert (word.sign, word.numbers) == (sign, numbers)


@pytest.mark.parametrize(
    "text",
    ["a tempo", "Tempo I.", "1. volta", "6", "3", "con sord.", "coll' arco e staccato", "con brio",
     "con forza", "mezza voce", "Tasto solo", "Adagio [", "[Sic, Horn 2 only cont.]", "", "5",
     "molto", "dim.", "vibrato", "mit Dämpfer"],
)  # fmt: skip
def test_words_that_name_no_player(text: str):
    assert read_words(text) is None
