"""Who plays, on hand-made tables. Words and thresholds: trade facts 6.2; contract, "Open tones"."""

import pytest

from analysis.engine.analyses import playing, ranges
from analysis.engine.model import TICKS
from analysis.engine.sentences import render
from analysis.engine.settings import Settings

from ..tables import table

S = Settings()
ORCHESTRA = {
    "Fl": "C5 w | r | r | r | r | C5 w | C5 w | D5 w",
    "Ob 1": "E5 w | r | r | G5 w | r | E5 w | E5 w | F#5 w",
    "Ob 2": "G4 w | r | r | r | r | G4 w | r | A4 w",
    "Cor in C": "C4 w | r | r | r | r | C4 w | r | r",
    "Timp": "C3 w | r | r | r | r | G2 w | r | r",
    "Vl I": "C5 q D5 E5 F5 | G5 w | C5 h r | r | r | C5 w | r | D5 w",
    "Vla": "E4 w | E4 w | r | r | r | E4 w | r | A4 w",
    "Vc": "C3 w | C3~ w | C3 h r | r | r | C3 w | r | F#3 w",
}


@pytest.fixture(scope="module")
def orchestra():
    return table(ORCHESTRA)


@pytest.fixture(scope="module")
def said(orchestra):
    found = playing.find_playing(orchestra, S) + playing.find_shares(orchestra, S)
    return [render(f.sentence) for f in found]


def test_tutti_family_solo_soli(said):
    assert "b. 1: tutti, all eight lines play." in said
    assert "b. 2: only the strings play." in said
    assert "b. 2: only Vl I, Vla and Vc play." not in said
    assert "b. 3: only Vl I and Vc play." in said
    assert "b. 4: Ob 1 plays alone." in said
    assert "b. 7: only Fl and Ob 1 play." in said


def test_brass_and_drums_without_a_tone_of_the_chord_do_not_spoil_a_tutti(orchestra, said):
    # D major: the horn in C has D as an open tone (partial 9), so its rest counts;
    # the drums (C, G) have none
    assert not any(s.startswith("b. 8: tutti") for s in said)
    minor = table({**ORCHESTRA, "Fl": "r | " * 7 + "Ab5 w", "Ob 1": "r | " * 7 + "Ab4 w",
                   "Ob 2": "r | " * 7 + "Eb4 w", "Vl I": "r | " * 7 + "Ab5 w",
                   "Vla": "r | " * 7 + "Ab4 w", "Vc": "r | " * 7 + "Ab3 w"})  # fmt: skip
    assert playing.tutti_bars(minor, S).tolist()[-1]
    words = [render(f.sentence) for f in playing.find_playing(minor, S)]
    assert any("Cor in C and Timp rest: the chord has no open tone there" in w for w in words)


def test_a_tied_note_plays_on(orchestra):
    assert playing.sounding_bars(orchestra, 7).tolist() == [1, 1, 1, 0, 0, 1, 0, 1]
    assert playing.rests_throughout(orchestra, 7, int(10 * TICKS), 12 * TICKS)
    assert not playing.rests_throughout(orchestra, 7, int(9.5 * TICKS), 12 * TICKS)


def test_general_pauses(orchestra, said):
    # bar 3 second half, and bar 5
    assert playing.silences(orchestra) == [
        (10 * TICKS, 12 * TICKS),
        (16 * TICKS, 20 * TICKS),
    ]
    assert "b. 3, beat 3: everybody rests (2 beats)." in said
    assert "b. 5: everybody rests (4 beats)." in said
    one = table({"Fl": "C5 h r q C5 | C5 w", "Ob": "C5 h r q C5 | r"})
    (pause,) = [f for f in playing.find_playing(one, S) if f.value["mode"] == "silence"]
    assert pause.value["unique"] is True
    assert [e.part for e in pause.evidence] == ["P1", "P2"]


def test_rests_are_told_together_and_entries_after_long_ones(orchestra, said):
    assert "b. 2–5: Fl, Ob 2, Cor in C and Timp rest (4 bars)." in said
    assert "b. 6–7: Fl enters" not in said
    assert "b. 6–8: Fl enters after four bars of rest." in said
    assert not any("Vla enters" in s for s in said)


def test_tacet_and_no_rest_across_movements():
    t = table({"Fl": "C5 w | r || r | r", "Ob": "C5 w | C5 w || C5 w | C5 w"})
    words = [render(f.sentence) for f in playing.find_playing(t, S)]
    assert "II, b. 1–2: Fl rests throughout the movement." in words


def test_shares_are_exact(orchestra, said):
    by = playing.shares(orchestra, orchestra.movements[0])
    assert by["bars"]["strings"] == 5 / 8
    assert by["bars"]["woodwind"] == 5 / 8
    assert by["line_bars"][0] == 4 / 8
    notes = sum(len(rows) for rows in orchestra.by_line)
    assert by["notes"]["brass"] == 2 / notes
    assert sum(by["notes"].values()) == pytest.approx(1)
    # equal in bars: nobody predominates there
    assert not any("of the bars" in s for s in said)


def test_unpitched_strokes_and_cues():
    t = table({"Fl": "C5!cue w | C5 w", "Timp": "x q x | r", "Vl I": "r | C5 w", "Vla": "C4 w | r"})
    assert playing.sounding_bars(t, 0).tolist() == [False, True]
    assert playing.sounding_bars(t, 1).tolist() == [True, False]


def test_divisi_neither_rest_nor_count_twice():
    t = table(
        {
            "Fl": "C5 w | r | r | r | r | C5 w",
            "Ob": "C5 w | r | r | r | r | C5 w",
            "Vl II": "C5 w | C5 w | E5 w | C5 w | C5 w | C5 w",
            "Vl II div 2": "r | r | C5 w | r | r | r",
            "Vla": "C4 w | r | C4 w | r | r | C4 w",
        }
    )
    words = [render(f.sentence) for f in playing.find_playing(t, S)]
    assert "b. 1: tutti, all four lines play." in words
    assert "b. 2: Vl II plays alone." in words
    assert "b. 3: only the strings play." in words
    assert not any("div" in w for w in words)
    assert playing.sounding_bars(t, 3).all()
    assert not playing.rests_throughout(t, 3, 0, t.bars[-1].end)
    (top,) = [
        f
        for f in ranges.find_ranges(t, S)
        if f.lines[0] in (2, 3) and f.value["extreme"] == "highest"
    ]
    assert top.value["pitch"] == "E5"
