"""Parallel thirds, sixths, tenths. Intervals are counted on the staff: A4 to C5 is a third."""

from __future__ import annotations

from functools import cache

from analysis.engine.model import Doubt, ScoreTable
from tests.engine.claims.cases import Case, changed
from tests.engine.claims.pieces import doublings
from tests.engine.tables import table


@cache
def pairs() -> ScoreTable:
    """Oboes in thirds, clarinets in thirds an octave below them, for three bars."""
    high, low = (
        "C5 q D5 E5 F5 | G5 E5 D5 C5 | E5 F5 G5 E5",
        "A4 q B4 C5 D5 | E5 C5 B4 A4 | C5 D5 E5 C5",
    )
    down = {"5": "4", "4": "3"}
    return table(
        {
            "Ob 1": high,
            "Ob 2": low,
            "Cl 1": "".join(down.get(c, c) for c in high),
            "Cl 2": "".join(down.get(c, c) for c in low),
        }
    )


VL = {"with": ["Vl I"]}


@cache
def afterbeats() -> ScoreTable:
    """Two violas in thirds on two chords only (1-3), then a sixth apart (4-5)."""
    return table(
        {
            "Vla 1": "r q D4 r D4 | r q D4 r D4 | r q E4 r E4 | r q D4 r D4 | r q D4 r D4",
            "Vla 2": "r q B3 r B3 | r q B3 r B3 | r q C4 r C4 | r q F3 r F3 | r q F3 r F3",
            "Vc": "G2 w | G2 | C3 | B2 q D3 B2 G2 | B2 q D3 B2 G2",
        }
    )


@cache
def duets() -> ScoreTable:
    """Vl I has a tune in bars 1-4 and 5-8.

    Fl is a third above in 1-3 and unison in 4; Ob a tenth below in 1-4; Cl (in Bb) two octaves and
    a third below; Fg a third below on three notes of four; in 5-8 all but Cor rest. Cor in F
    is written a third below the tune in 5-8 and sounds a fifth lower than that; Cb is written a
    third below and sounds a tenth below.
    """
    tune = "C5 q D5 E5 F5 | G5 E5 D5 C5 | C5 D5 E5 F5 | G5 h C5"
    return table(
        {
            "Fl": "E5 q F5 G5 A5 | B5 G5 F5 E5 | E5 F5 G5 A5 | G5 h C5 | r | r | r | r",
            "Ob": "A3 q B3 C4 D4 | E4 C4 B3 A3 | A3 B3 C4 D4 | E4 h A3 | r | r | r | r",
            "Cl": "A2 q B2 C3 D3 | E3 C3 B2 A2 | A2 B2 C3 D3 | E3 h A2 | r | r | r | r",
            "Fg": "A4 q B4 C5 B4 | E5 C5 B4 E4 | A4 B4 C5 B4 | E5 h A4 | r | r | r | r",
            "Cor in F": "r | r | r | r | D4 q E4 F4 G4 | A4 F4 E4 D4 | D4 E4 F4 G4 | A4 h D4",
            "Vl I": f"{tune} | {tune}",
            "Cb": "r | r | r | r | A3 q B3 C4 D4 | E4 C4 B3 A3 | A3 B3 C4 D4 | E4 h A3",
        }
    )


CASES = [
    Case("A4 under C5, B4 under D5 ... at every attack", "agrees", doublings, ["1", "4"], ["Ob"],
         {**VL, "interval": "third"}, says="Ob moves in thirds below Vl I (14 of 14 attacks)"),
    Case("E4 under C5: a sixth", "agrees", doublings, ["1", "4"], ["Cl"],
         {**VL, "interval": "sixth"}),
    Case("two of the four bars; the run goes on to 4", "agrees", doublings, ["2", "3"], ["Ob"],
         {**VL, "interval": "third"}, says="It starts in bar 1 and goes on to bar 4."),
    Case("thirds above, said from the side of the violins", "agrees", duets, ["1", "3"], ["Vl I"],
         {"with": ["Fl"], "interval": "third"}, says="below Fl"),
    Case("oboes in thirds, clarinets in thirds beneath (job.md 6, 15)", "agrees", pairs, ["1", "3"],
         ["oboes"], {"with": ["clarinets"], "interval": "third"}, says="among themselves"),
    Case("but not in sixths among themselves", "conflicts", pairs, ["1", "3"], ["Ob 1"],
         {"with": ["Ob 2"], "interval": "sixth"}),
    Case("afterbeats on two chords: all attacks are thirds", "agrees", afterbeats, ["1", "3"],
         ["Vla 1"], {"with": ["Vla 2"], "interval": "third"}),
    Case("one sixth repeated: the interval is right, hardly a motion", "partly", afterbeats,
         ["4", "5"], ["Vla 1"], {"with": ["Vla 2"], "interval": "sixth"},
         says="repeat their notes"),
    Case("bar 4 is a unison", "partly", duets, ["1", "4"], ["Fl"], {**VL, "interval": "third"},
         says="it holds in bars 1–3"),
    Case("A3 under C5 is a tenth: the same interval, an octave more", "partly", duets, ["1", "4"],
         ["Ob"], {**VL, "interval": "third"}, cause="octave-count", says="in tenths below"),
    Case("A2 under C5: a third and two octaves", "partly", duets, ["1", "4"], ["Cl"],
         {**VL, "interval": "third"}, cause="octave-count", says="octaves apart"),
    Case("eleven notes of fourteen are thirds: less than nine of ten, more than six",
         "partly", duets, ["1", "4"], ["Fg"], {**VL, "interval": "third"},
         says="for most of the way only"),
    Case("thirds called sixths", "conflicts", doublings, ["1", "4"], ["Ob"],
         {**VL, "interval": "sixth"}, says="Ob and Vl I move in thirds in bars 1–4."),
    Case("octaves called thirds", "conflicts", doublings, ["1", "4"], ["Fl"],
         {**VL, "interval": "third"}, says="Fl doubles Vl I one octave higher there."),
    Case("the horn rests", "conflicts", doublings, ["1", "4"], ["Cor in Eb"],
         {**VL, "interval": "third"}, says="Cor in Eb rests in bars 1–4."),
    Case("one of two parts rests", "conflicts", doublings, ["1", "4"], ["Ob", "Cor in Eb"],
         {**VL, "interval": "third"}),
    Case("the tune begins in bar 1; bars 2-5 are one bar late", "partly", doublings, ["2", "5"],
         ["Ob"], {**VL, "interval": "third"}, cause="bar-offset", says="bars 1–4"),
    Case("on paper the horn in F is a third below, in sound a seventh", "conflicts", duets,
         ["5", "8"], ["Cor in F"], {**VL, "interval": "third"}, cause="untransposed"),
    Case("on paper the bass is a third below, in sound a tenth", "partly", duets, ["5", "8"],
         ["Cb"], {**VL, "interval": "third"}, cause="bass-written", says="octave away from"),
    Case("a doubtful transposition: nothing is said", "ear",
         lambda: changed(doublings(), "Cl", Doubt("pitch", "in Bb or in A?")), ["1", "4"], ["Cl"],
         {**VL, "interval": "sixth"}, cause="unconfirmed-part"),
    Case("the violas have another line", "agrees", doublings, ["1", "4"], ["Vla"],
         {**VL, "interval": "third", "negated": True}),
    Case("they do go in thirds", "conflicts", doublings, ["3", "6"], ["Ob"],
         {**VL, "interval": "third", "negated": True}, says="There is an exception: bars 3–4."),
]  # fmt: skip

TYPED = {
    "parts": "Ob", "with_": "Vl I", "interval": "third", "negated": "",
}  # fmt: skip
CLAIM = {"parts": ["Ob"], "with": ["Vl I"], "interval": "third"}
