"""Pedals. A note kept for two bars and more while the chords change (common practice, no source).

Horns that hold through four changing harmonies, with three different chords above: job.md 6, 17.
"""

from __future__ import annotations

from functools import cache

from analysis.engine.model import Doubt, ScoreTable
from tests.engine.claims.cases import Case, changed
from tests.engine.tables import table


@cache
def held() -> ScoreTable:
    """Bars 1-4: C, F, G, C over a C kept by Vc (C3) and Cb (C2, written C3); 5-8 move.

    Cor in Eb holds a sounding G3 in 5-8 (written E4) through C, G, Em, C: a common tone. Timp
    repeats Bb in 5-8, under C, G, Em, C. Vla holds E4 through C major alone in 9-12; Fg keeps C
    for bar 9, then moves.
    """
    return table(
        {
            "Fl": "E5 w | F5 | D5 | E5 | E5 | D5 | E5 | G5 | E5 | G5 | E5 | G5",
            "Ob": "C5 w | A4 | B4 | C5 | C5 | B4 | B4 | C5 | C5 | C5 | C5 | C5",
            "Cl": "G4 w | F4 | G4 | G4 | G4 | D4 | E4 | E4 | G4 | E4 | G4 | E4",
            "Fg": "C4 w | F3 | B3 | E4 | C4 | B3 | G3 | C4 | C4 | E4 | G4 | E4",
            "Cor in Eb": "r | r | r | r | G3~ w | G3~ | G3~ | G3 | r | r | r | r",
            "Timp": "r | r | r | r | Bb2 q Bb2 r h | Bb2 q | Bb2 q | Bb2 q | r | r | r | r",
            "Vla": "r | r | r | r | r | r | r | r | E4~ w | E4~ | E4~ | E4",
            "Vc": "C3~ w | C3~ | C3~ | C3 | C3 | G2 | E3 | C3 | C3 | C3 | C3 | C3",
            "Cb": "C2 q C2 C2 C2 | C2 C2 C2 C2 | C2 C2 C2 C2 | C2 w | C2 | G1 | E2 | C2 | "
            "C2 | G2 | C2 | C2",
        }
    )


CASES = [
    Case("C3 tied through C, F and G", "agrees", held, ["1", "4"], ["Vc"], {"pitch": "C3"},
         says="Vc keeps C3 through C major, F major and G major."),
    Case("and repeated by the basses: no octave named", "agrees", held, ["1", "4"], ["Vc", "Cb"],
         {"pitch": "C"}),
    Case("two of the four bars", "agrees", held, ["2", "3"], ["Vc"], {"pitch": "C"},
         says="goes on to bar"),
    Case("a G that all four chords hold, in the middle", "agrees", held, ["5", "8"],
         ["Cor in Eb"], {"pitch": "G3"}, says="some call it a held common tone"),
    Case("the cello holds C5 of nobody: the octave is another", "partly", held, ["1", "4"], ["Vc"],
         {"pitch": "C4"}, cause="octave-count", says="another octave"),
    Case("the basses' C2 is written C3", "partly", held, ["1", "4"], ["Cb"], {"pitch": "C3"},
         cause="bass-written", says="On paper it is C3; it sounds C2."),
    Case("E4 held over one chord", "partly", held, ["9", "12"], ["Vla"], {"pitch": "E"},
         says="no pedal yet"),
    Case("four bars of six", "partly", held, ["1", "7"], ["Vc"], {"pitch": "C"},
         says="it holds in bars 1–5"),
    Case("bars one too late", "partly", held, ["6", "9"], ["Cor in Eb"], {"pitch": "G3"},
         cause="bar-offset"),
    Case("the horn in E flat reads E and sounds G", "conflicts", held, ["5", "8"], ["Cor in Eb"],
         {"pitch": "E"}, cause="untransposed", says="On paper it is E4; it sounds G3."),
    Case("a drum on B flat is no B natural; the student meant the German B", "conflicts", held,
         ["5", "8"], ["Timp"], {"pitch": "B"}, cause="german-b"),
    Case("the bassoon moves", "conflicts", held, ["1", "4"], ["Fg"], {"pitch": "C"},
         says="Fg does not keep one note: C4, F3, B3 and E4 in bars 1–4."),
    Case("another note is held", "conflicts", held, ["1", "4"], ["Vc"], {"pitch": "F"},
         says="Vc keeps C3"),
    Case("the violas rest", "conflicts", held, ["1", "4"], ["Vla"], {"pitch": "C"},
         says="Vla rests"),
    Case("an unconfirmed transposition", "ear",
         lambda: changed(held(), "Cor in Eb", Doubt("pitch", "which crook?")), ["5", "8"],
         ["Cor in Eb"], {"pitch": "G3"}, cause="unconfirmed-part"),
    Case("the flute keeps nothing", "agrees", held, ["1", "4"], ["Fl"],
         {"pitch": "C", "negated": True}),
    Case("the cello does keep C", "conflicts", held, ["1", "6"], ["Vc"],
         {"pitch": "C", "negated": True}, says="There is an exception: bars 1–5."),
]  # fmt: skip

TYPED = {"parts": "Vc, Cb", "pitch": " Eb3 "}
CLAIM = {"parts": ["Vc", "Cb"], "pitch": "Eb3"}
