"""Small pieces of our own for the checker's tests. Bars are written out, one string a line."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from analysis.engine.model import ScoreTable

from ..tables import table

#: a tune of four bars in quarters, at three heights
TUNE = "C5 q D5 E5 F5 | G5 E5 D5 C5 | C5 D5 E5 F5 | G5 h C5"
UP = TUNE.replace("5", "6")
DOWN = TUNE.replace("5", "4")
LOW = TUNE.replace("5", "3")
LOWER = TUNE.replace("5", "2")
THIRDS = "A4 q B4 C5 D5 | E5 C5 B4 A4 | A4 B4 C5 D5 | E5 h A4"  # a third below TUNE
SIXTHS = "E4 q F4 G4 A4 | B4 G4 F4 E4 | E4 F4 G4 A4 | B4 h E4"  # a sixth below
OTHER = "E4 e D4 C4 B3 A3 G3 A3 B3 | C4 D4 E4 F4 G4 A4 B4 C5 | B4 A4 G4 F4 E4 D4 C4 B3 | A3 w"
R = "r | r | r | r"


@cache
def doublings() -> ScoreTable:
    """Bars 1-4: tune in Vl I, doubled by Fl (+1), Fg (-2), Vc (-2), Cb (-3).

    Ob is a third below, Cl in Bb a sixth below; Vla has a line of its own; Cor rests. Bars 5-8:
    Fl goes on for two bars and rests; Fg plays half notes; Cor in Eb plays what on paper is the
    tune; Vc and Vla meet once.
    """
    return table(
        {
            "Fl": f"{UP} | {UP.split(' | ')[0]} | {UP.split(' | ')[1]} | r | r",
            "Ob": f"{THIRDS} | {R}",
            "Cl": f"{SIXTHS} | {R}",
            "Fg": f"{LOW} | C3 h E3 | G3 D3 | C3 E3 | G3 C3",
            # sounding a sixth below the written tune (written C5 = sounding Eb4)
            "Cor in Eb": (f"{R} | Eb4 q F4 G4 Ab4 | Bb4 G4 F4 Eb4 | Eb4 F4 G4 Ab4 | Bb4 h Eb4"),
            "Vl I": f"{TUNE} | {TUNE}",
            "Vla": f"{OTHER} | E4 e A3 C4 D4 B3 A3 G3 B3 | C4 B3 A3 F4 G4 A4 B4 E4 | {R[:5]}",
            "Vc": f"{LOW} | E3 q F3 A3 B3 | B3 C4 B3 C3 | A3 B3 C4 D4 | E4 h F4",
            "Cb": f"{LOWER} | {R}",
        }
    )


@cache
def shared() -> ScoreTable:
    """Two flutes on one staff: a 2 in bars 1-2, the first alone in 3-4; horns in Eb and F."""
    return table(
        {
            "Fl 1": TUNE,
            "Fl 2": "C5 q D5 E5 F5 | G5 E5 D5 C5 | r | r",
            "Cor in Eb 1": "Eb4 w | Bb3 | r | G4",
            "Cor in F": "F4 w | r | C4 | A4",
            "Vl I": "E5 w | D5 | C5 | B4",
            "Vl II": "C5 w | B4 | A4 | G4",
            "Vla": "E4 w | E5 | E5 | D4",  # above Vl II in bars 2-3
            "Vc": "C3 w | G3 | A3 | G3",
            "Cb": "C3 w | G2 | A2 | G2",
        }
    )


@cache
def forces() -> ScoreTable:
    """Who plays. Pickup bar 0; bars 1-2 strings, 3-4 tutti, 5 all but timpani, 6 winds,
    7 silence, 8 strings, 9 silence for its second half."""
    strings = "{p} w | {p} | {p} | {p} | {p} | r | r | {p} | {p} h"
    winds = "r | r | {p} w | {p} | {p} | {p} | r | r | r"

    def own(text: str, pitch: str, upbeat: str) -> str:
        return f"{upbeat} | {text.format(p=pitch)}"

    return table(
        {
            "Fl": own(winds, "G5", "r"),
            "Ob": own(winds, "E5", "r"),
            "Fg": own(winds, "C3", "r"),
            "Cor in C": own(winds, "C4", "r"),
            "Timp": own("r | r | C3 w | C3 | r | r | r | r | r", "", "r"),
            "Vl I": own(strings, "C6", "G5 q"),
            "Vl II": own(strings, "E5", "r"),
            "Vla": own(strings, "G4", "r"),
            "Vc": own(strings, "C3", "r"),
        },
        pickup=1,
    )


@cache
def twice_numbered() -> ScoreTable:
    """Two movements whose bars are both numbered from 1; in the first the numbers restart."""
    tune = f"{TUNE} | {TUNE} || {TUNE}"
    low = f"{LOW} | {LOW} || {LOW}"
    made = table({"Fl": tune, "Vl I": tune, "Vc": low})
    bars = tuple(
        replace(b, label=str(b.index % 4 + 1), nth=2 if 4 <= b.index < 8 else 1) for b in made.bars
    )
    return replace(made, bars=bars)
