"""Open tones of natural brass. Source of every pitch: trade facts 3.1, 3.3-3.5 and 12 (20-23)."""

import pytest

from analysis.engine.analyses import open_tones
from analysis.engine.instruments import crooks
from analysis.engine.sentences import render
from analysis.engine.settings import Settings

from ..tables import midi, table

S = Settings()


def said(t):
    return [render(f.sentence) for f in open_tones.find_open_tones(t, S)]


@pytest.mark.parametrize(
    ("instrument", "crook", "true", "doubtful"),
    [  # trade facts 3.4, rows as printed; the trumpet lacks nothing of its series but partial 2
        ("horn", "Eb", "Bb D Eb F G", "Db Ab A C"),
        ("horn", "C basso", "C G E D B", "Bb F F# A"),
        ("horn", "F", "F C A G E", "Eb Bb B D"),
        ("horn", "D", "D A F# E C#", "C G G# B"),
        ("trumpet", "D", "D A F# E C#", "C G G# B"),
    ],
)
def test_pitch_classes_a_crook_gives(instrument, crook, true, doubtful):
    found = crooks.find(instrument, crook)
    classes = {midi(f"{name}4") % 12 for name in true.split()}
    assert set(open_tones.open_classes(found, instrument, S)) == classes
    assert set(open_tones.doubtful_classes(found, instrument, S)) == {
        midi(f"{name}4") % 12 for name in doubtful.split()
    }


@pytest.mark.parametrize(
    ("instrument", "crook", "pitch", "openness", "partial"),
    [
        ("horn", "Eb", "Ab3", "not open", None),  # 12, assertion 20
        ("horn", "Eb", "Bb3", "open", 6),
        ("horn", "D", "C4", "doubtful", 7),  # 21
        ("horn", "F", "B4", "doubtful", 11),  # 22
        ("horn", "F", "Bb4", "doubtful", 11),
        ("trumpet", "D", "F#4", "open", 5),  # 23
        ("trumpet", "D", "G4", "not open", None),
    ],
)
def test_ready_made_assertions(instrument, crook, pitch, openness, partial):
    found = open_tones.tone(midi(pitch), crooks.find(instrument, crook), instrument, S)
    assert (found.openness, found.partial) == (openness, partial)


def test_horns_play_only_c_g_d_b():
    # job 6, example 13: horns in C; E flat and A flat are the colour notes of C minor
    t = table(
        {
            "Cor in C": "C4 q G3 D4 B4 | C4 w | r | r",
            "Vl I": "Eb5 w | G5 w | Ab5 w | G5 w",
            "Vla": "C4 w | C4 w | Ab4 w | D4 w",
        }
    )
    words = said(t)
    assert words[0] == (
        "b. 1–4: Cor in C (crook C basso) has C, G, E, D and B as open tones; all of its 5 "
        "notes are open."
    )
    assert "b. 3: Cor in C rests; the chord (Ab) has no open tone of the crook C basso." in words
    assert open_tones.missing(t, [0], 0, 0, S) == [midi("Eb4") % 12]


def test_hand_notes_and_doubtful_ones_are_told_in_passages():
    t = table(
        {
            "Cor in Eb": "Eb4 q G4 Bb4 Eb4 | Eb4 q G4 Ab3 G3 | Eb4 h Db4 | Eb4 w",
            "Tr in D": "D4 q F#4 A4 D5 | D5 q E5 D5 A4 | G4 q A4 h | D5 q D5 D5 D5",
        }
    )
    words = said(t)
    assert (
        "b. 2: Cor in Eb plays Ab3, no open tone of the crook E flat: it would need the hand."
    ) in words
    assert "b. 3: Cor in Eb plays Db4, partial 7 of the crook E flat: out of tune." in words
    assert (
        "b. 3: Tr in D plays G4, which a natural trumpet with the crook D does not have."
    ) in words


def test_a_part_for_valves_is_no_list_of_hand_notes():
    scale = "F3 q Gb3 Ab3 A3 | Bb3 q B3 Db4 D4 | Eb4 q E4 F4 Gb4"
    words = said(table({"Cor in F": scale}))
    assert len(words) == 1
    assert "is not written in open tones" in words[0]


def test_a_pair_with_two_crooks():
    # trade facts 3.4: Eb + C basso give Eb Bb G F D plus C G E D B
    t = table({"Cor in Eb": "Eb4 w | G4 w", "Cor in C": "C4 w | E4 w"})
    (pair,) = [f for f in open_tones.find_open_tones(t, S) if "pair" in f.value]
    expected = {midi(f"{n}4") % 12 for n in ["Eb", "Bb", "G", "F", "D", "C", "E", "B"]}
    assert {midi(f"{n}4") % 12 for n in pair.value["pitches"]} == expected
    assert pair.value["pair"] == ["P1", "P2"]


def test_a_chord_tied_over_the_bar_is_still_the_chord():
    t = table({"Cor in Eb": "Eb4 w | r | r", "Vl I": "Eb5 w | A5~ w | A5 w"})
    (rest,) = [f for f in open_tones.find_open_tones(t, S) if "missing" in f.value]
    assert (rest.first, rest.last, rest.value["missing"]) == (1, 2, ["A"])


def test_no_crook_no_question():
    assert open_tones.find_open_tones(table({"Cor": "F4 w", "Ob": "F4 w"}), S) == []
