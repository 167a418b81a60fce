"""Facts of the page. Transpositions: trade facts 2.1 and 2.2."""

from dataclasses import replace

from analysis.engine.analyses import layout
from analysis.engine.model import Mark
from analysis.engine.sentences import render
from analysis.engine.settings import Settings

from ..tables import table

S = Settings()


def said(t):
    return [render(f.sentence) for f in layout.find_layout(t, S)]


def test_instrument_transposition_players_and_sharing():
    t = table({"Ob 1": "C5 w", "Ob 2": "A4 w", "Cor in Eb": "Eb4 w", "Cb": "C2 w"})
    found = layout.find_layout(t, S)
    values = [f.value for f in found]
    assert {"kind": "layout", "parts": ["P1"], "transposition": 0, "instrument": "oboe",
            "players": 2} in values  # fmt: skip
    horn = next(v for v in values if v["parts"] == ["P2"])
    assert (horn["instrument"], horn["transposition"]) == ("horn", -9)
    assert next(v for v in values if v["parts"] == ["P3"])["transposition"] == -12
    assert {
        "kind": "layout",
        "parts": [{"part": "P1", "player": 1}],
        "shares-staff-with": [{"part": "P1", "player": 2}],
    } in values
    words = said(t)
    assert "b. 1: Cor in Eb: horn in Eb, sounding a major sixth lower than written." in words
    assert any("there is no flute, clarinet" in w for w in words)


def test_an_unread_part_may_be_the_missing_one():
    assert layout.absent(table({"Glasharmonika": "C5 w"}), table({"Fl": "C5 w"}).movements[0]) == []


def test_clefs_in_order():
    t = table({"Vla": "C4 w | C5 w"})
    marks = (
        Mark("clef", 0, 1, 0, 0, 0, "C3"),
        Mark("clef", 0, 1, 1, t.bars[1].start, t.bars[1].start, "G2"),
    )
    t = replace(t, marks=marks)
    assert layout.clefs(t, 0, 0, 1) == ["C3", "G2"]
    assert layout.clefs(t, 0, 1, 1) == ["G2"]


def test_a_change_of_crook_is_told_at_its_bar():
    t = table({"Cor in Eb": "Eb4 w | Eb4 w | D4 w", "Fl": "C5 w | C5 w | C5 w"})
    later = replace(t.parts[0], crook="D", transposition=-10, from_bar=2)
    t = replace(t, parts=(t.parts[0], later, *t.parts[1:]))
    words = "horn in D, sounding a minor seventh lower than written."
    assert f"From b. 3: Cor in Eb changes to {words}" in said(t)
