"""Strings and voices on one staff, cellos with basses: trade-facts 7.2 (common practice)."""

from __future__ import annotations

from analysis.engine.model import NoteFlag, Technique
from tests.engine.reader.reading import codes, plays, rows, table


def test_double_stops_stay_one_line():
    t = table("divisi")
    first = rows(t, "Viole")[:2]
    assert plays(t, "Viole")["1"] == "E4 C4"
    assert all(first["flags"] & NoteFlag.CHORD)
    assert not (first["flags"] & NoteFlag.DIVISI).any()


def test_divisi_gives_each_note_once():
    t = table("divisi")
    assert [line.name for line in t.lines] == ["Viole", "Viole, div. 2", "Viole, div. 3"]
    assert plays(t, "Viole")["2"] == "E4 D4"
    assert plays(t, "Viole, div. 2")["2"] == "C4 D4"  # both halves meet on D4
    assert plays(t, "Viole, div. 2").keys() == {"2", "5"}
    halves = rows(t, "Viole")
    assert all(halves["flags"][halves["bar"] == 1] & NoteFlag.DIVISI)


def test_three_ways_unis_and_non_div():
    t = table("divisi")
    names = ("Viole", "Viole, div. 2", "Viole, div. 3")
    assert [plays(t, n)["5"] for n in names] == ["G4", "E4", "C4"]
    assert plays(t, "Viole")["4"] == "C4"
    assert plays(t, "Viole")["6"] == "E4 C4"  # non div.: a double-stop
    last = rows(t, "Viole")
    assert all(last["flags"][last["bar"] == 5] & NoteFlag.CHORD)


def test_two_voices_with_and_without_the_word():
    t = table("divided-voices")
    assert plays(t, "Viole")["1"] == "E4"
    assert plays(t, "Viole, div. 2")["1"] == "C4 D4"
    assert plays(t, "Viole")["3"] == "E4?"
    assert plays(t, "Viole, div. 2")["3"] == "C4? D4?"
    assert plays(t, "Viole")["4"] == "E4 C4"
    assert codes(t) == {"divided-without-word": ("3",)}


def test_solo_and_tutti_in_a_section():
    t = table("solo-strings")
    got = rows(t, "Violino I")
    assert got["players"].tolist() == [0, 1, 0, 0]
    assert ((got["technique"] & Technique.SOLO) != 0).tolist() == [False, True, False, False]


def test_voices_divide_without_a_word():
    t = table("soprano-divided")
    assert plays(t, "Soprano") == {"1": "C5", "2": "E5"}
    assert plays(t, "Soprano, div. 2") == {"2": "C5"}


CELLOS, BASSES = "Cello (Violoncelli e Contrabbassi)", "Double bass (Violoncelli e Contrabbassi)"


def test_cellos_and_basses_sound_an_octave_apart():
    t = table("cello-and-bass")
    assert [(line.name, line.instrument) for line in t.lines] == [
        (CELLOS, "cello"),
        (BASSES, "double-bass"),
    ]
    assert plays(t, CELLOS)["1"] == "C3 D3 E3 F3"
    assert plays(t, BASSES)["1"] == "C2 D2 E2 F2"
    assert rows(t, CELLOS)["src"][0] == rows(t, BASSES)["src"][0]


def test_who_plays_on_the_bass_staff():
    """Vc. alone, Bassi, senza Cb., Vc. e Cb., Cb. tacet, col B., Cb. alone, tutti."""
    t = table("cello-and-bass")
    assert plays(t, CELLOS).keys() - {"10", "11", "12", "13"} == set("12345679")
    assert plays(t, BASSES).keys() - {"10", "11", "12", "13"} == set("135789")


def test_two_stems_on_the_bass_staff():
    t = table("cello-and-bass")
    assert (plays(t, CELLOS)["10"], plays(t, BASSES)["10"]) == ("G3", "C2 E2")
    assert (plays(t, CELLOS)["11"], plays(t, BASSES)["11"]) == ("G3", "C2")


def test_chords_on_the_bass_staff():
    t = table("cello-and-bass")
    assert plays(t, CELLOS)["12"] == "G3 C3"  # Vc. soli: a double-stop
    assert "12" not in plays(t, BASSES)
    assert (plays(t, CELLOS)["13"], plays(t, BASSES)["13"]) == ("G3?", "C2?")
    assert codes(t) == {"players-unknown": ("13",)}


def test_bassi_at_the_bottom_of_a_score():
    """Trade-facts 2.5, trap: "Bassi" at the bottom is cellos AND basses."""
    t = table("bassi")
    assert plays(t, "Cello (Bassi)") == {"1": "C3"}
    assert plays(t, "Double bass (Bassi)") == {"1": "C2"}
