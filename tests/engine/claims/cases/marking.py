"""Marks and registers. Words act from where they stand to the word that cancels them."""

from __future__ import annotations

from functools import cache

from analysis.engine.model import Doubt, ScoreTable
from tests.engine.claims.cases import Case, changed, worded
from tests.engine.claims.pieces import doublings, shared
from tests.engine.tables import table

FIVE = "{a} q {a} {b} {b} | {a} {b} {a} {b} | r | {a} {a} {b} {b} | {b} h {a}"


@cache
def adagio() -> ScoreTable:
    """Vl I con sord. in 1-4, senza in 5, dolce in 2; Cb pizz. from 1, arco from 3.3, p then f.

    Bar 3 is a rest but for Cb. Vla div. in 2. Cl (in Bb) sounds D3-Eb4, written E3-F4: chalumeau.
    Ob 1 plays alone in 1-2. Fl lies at C5-D5: where low ends and middle begins. Vl II has neither
    words nor notes with marks; Fg a staccato dot on each note of 4.
    """
    made = table(
        {
            "Fl": "C5 q B4 C5 C#5 | B4 h C5 | r | G5 q A5 B5 C6 | E6 h F6",
            "Ob 1": "G5 w | A5 | r | G5 | r",
            "Ob 2": "r | r | r | E5 w | C5",
            "Cl": "D3 q F3 A3 C4 | Eb4 h D3 | r | D3 q F3 A3 D4 | C4 w",
            "Fg": "C3 w | D3 | r | C3. q D3. E3. F3. | G3 w",
            "Vl I": FIVE.format(a="E5", b="G5"),
            "Vl II": FIVE.format(a="C5", b="E5"),
            "Vla": "C4 w | C4+E4!div h D4+F4!div | r | E4 w | G4+C4",
            "Cb": "C2 q r C2 r | G2 r G2 r | C2 r C2 h | G2 w | C2 w",
        }
    )
    return worded(
        made,
        ("Vl I", 0, 1, "con sordino"),
        ("Vl I", 1, 1, "dolce"),
        ("Vl I", 4, 1, "senza sord."),
        ("Cb", 0, 1, "pizz."),
        ("Cb", 2, 3, "arco"),
        ("Vla", 1, 1, "div."),
        ("Cb", 0, 1, "p"),
        ("Cb", 3, 1, "f"),
    )


CASES = [
    Case("con sordino stands at 1 and is cancelled at 5", "agrees", adagio, ["1", "4"], ["Vl I"],
         {"mark": "con sord."}),
    Case("the same in German", "agrees", adagio, ["1", "2"], ["Vl I"], {"mark": "mit Dämpfer"},
         says="It goes on to bar 4."),
    Case("the word arco comes in the middle of bar 3: its first note is plucked", "agrees", adagio,
         ["1", "3"], ["Cb"], {"mark": "pizzicato"}),
    Case("and its last is bowed", "agrees", adagio, ["3", "5"], ["Cb"], {"mark": "arco"}),
    Case("div. in one bar of the section", "agrees", adagio, ["2"], ["Vla"], {"mark": "divisi"}),
    Case("dolce is printed in bar 2", "agrees", adagio, ["2"], ["Vl I"], {"mark": "dolce"}),
    Case("p stands from 1 to 3", "agrees", adagio, ["1", "3"], ["Cb"], {"mark": "piano"}),
    Case("a 2 in bars 1-2", "agrees", shared, ["1", "2"], ["Fl"], {"mark": "a 2"}),
    Case("written E3 to F4 on the clarinet in B flat: below G4, chalumeau", "agrees", adagio,
         ["1", "2"], ["Cl"], {"register": "low"}, says="(chalumeau)"),
    Case("dots on every note", "agrees", adagio, ["4"], ["Fg"], {"mark": "staccato"}),
    Case("senza sord. in the last bar: four bars of five", "partly", adagio, ["1", "5"], ["Vl I"],
         {"mark": "con sord."}, says="Vl I has no “con sord.” in bar 5."),
    Case("f from 4 on, one of three bars is mf's neighbour", "partly", adagio, ["4", "5"], ["Cb"],
         {"mark": "ff"}, says="Cb has “f” in bars 4–5."),
    Case("B4 and C#5 lie about C5, where books part low from middle", "partly", adagio, ["1", "2"],
         ["Fl"], {"register": "low"}, says="Books differ"),
    Case("one player of the oboes' staff plays, and nothing says solo", "partly", adagio,
         ["1", "2"], ["Ob 1"], {"mark": "solo"}, says="alone on its staff"),
    Case("the firsts are muted in 1-4, not one bar later", "partly", adagio, ["2", "5"], ["Vl I"],
         {"mark": "con sord."}, cause="bar-offset"),
    Case("Cb plucks there", "conflicts", adagio, ["1", "2"], ["Cb"], {"mark": "arco"},
         says="Cb has “pizz.” in bars 1–2."),
    Case("no mute on the basses, whose staff has other words", "conflicts", adagio, ["1", "2"],
         ["Cb"], {"mark": "con sord."}),
    Case("E6 and F6 are high on the flute", "conflicts", adagio, ["5"], ["Fl"],
         {"register": "low"}, says="high register"),
    Case("the bassoon rests, and has no slurs anywhere", "conflicts", adagio, ["3"], ["Fg"],
         {"mark": "slurs"}, says="Fg rests in bar 3."),
    Case("no word at all stands over the seconds in this file", "ear", adagio, ["1", "2"],
         ["Vl II"], {"mark": "con sord."}, says="prints nothing that tells"),
    Case("espressivo is nowhere printed; the printed copy may have it", "ear", adagio, ["1", "2"],
         ["Vl I"], {"mark": "espressivo"}),
    Case("two notes at once without div. may be double stops", "ear",
         lambda: table({"Vl I": "C5+E5 w | D5+F5", "Vc": "C3 w | D3"}), ["1", "2"], ["Vl I"],
         {"mark": "div."}),
    Case("a doubtful transposition touches the register", "ear",
         lambda: changed(adagio(), "Cl", Doubt("pitch", "in Bb or in A?")), ["1", "2"], ["Cl"],
         {"register": "low"}, cause="unconfirmed-part"),
    Case("and not the mark", "agrees",
         lambda: changed(adagio(), "Cb", Doubt("pitch", "an octave?")), ["1", "2"], ["Cb"],
         {"mark": "pizz."}),
    Case("the basses never have mutes", "agrees", adagio, ["1", "5"], ["Cb"],
         {"mark": "con sord.", "negated": True}),
    Case("but they do pluck", "conflicts", adagio, ["1", "5"], ["Cb"],
         {"mark": "pizz.", "negated": True}, says="There is an exception: bars 1–3."),
    Case("neither mark nor register", "ear", doublings, ["1"], ["Fl"], {}, cause="not-understood"),
]  # fmt: skip

TYPED = {"parts": "Vl I", "mark": " con sord. ", "register": ""}
CLAIM = {"parts": ["Vl I"], "mark": "con sord."}
