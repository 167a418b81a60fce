"""Imitation. Source: job 6, example 23: entries a bar apart, each a fifth lower, overlapping; a
tonal answer allowed. The piece of `tests/engine/analyses/test_imitation.py` with an end of our own.
"""

from __future__ import annotations

from functools import cache

from analysis.engine.model import Doubt, ScoreTable
from tests.engine.claims.cases import Case, changed
from tests.engine.tables import table

SUBJECT = "G5 q. A5 e B5 q C6 | D6 q B5 G5 h | E5 q F5 G5 A5 | B5 w"
FIFTH_LOWER = "C5 q. D5 e E5 q F5 | G5 q E5 C5 h | A4 q B4 C5 D5 | E5 w"
TWO_LOWER = "F4 q. G4 e A4 q Bb4 | C5 q A4 F4 h | D4 q E4 F4 G4 | A4 w"


@cache
def round_() -> ScoreTable:
    """Vl I begins in bar 1, Vl II in 2 a fifth lower, Vla in 3 another fifth lower.

    Vc holds; Fl rests; from bar 7 on Vl I calls and Vl II answers when it has ended, Vla and Vc go
    together in octaves.
    """
    low = "C4 q D4 E4 F4 | G4 E4 D4 C4 | D4 F4 E4 D4"
    return table(
        {
            "Fl": " | ".join(["r"] * 9),
            "Vl I": f"{SUBJECT} | r | r | G5 q. A5 e B5 q C6 | D6 h r | r",
            "Vl II": f"r | {FIFTH_LOWER} | r | r | r h D5 q. E5 e | F5 q G5 A5 h",
            "Vla": f"r | r | {TWO_LOWER} | {low}",
            "Vc": f"C3 w | C3 | C3 | C3 | C3 | C3 | {low.replace('4', '3')}",
        }
    )


@cache
def horn() -> ScoreTable:
    """A horn in F follows the oboe a bar later: on paper a fourth lower, in sound an octave."""
    # written D5 = sounding G4
    answer = "G4 q. A4 e B4 q C5 | D5 q B4 G4 h | E4 q F4 G4 A4 | B4 w"
    return table(
        {"Ob": f"{SUBJECT} | r", "Cor in F": f"r | {answer}", "Vc": " | ".join(["G3 w"] * 5)}
    )


def entries(*at: tuple[str, object]) -> dict[str, object]:
    return {"entries": [{"part": part, "at": point} for part, point in at]}


ALL = entries(("Vl I", {"bar": "1", "beat": 1}), ("Vl II", {"bar": "2", "beat": 1}),
              ("Vla", {"bar": "3", "beat": 1}))  # fmt: skip
TWO = entries(("Vl I", 1), ("Vl II", 2))

CASES = [
    Case("three entries, each a fifth (7 semitones) lower", "agrees", round_, ["1", "3"],
         fields={**ALL, "interval": -7}, says="Vl II enters at bar 2, a fifth lower."),
    Case("bars without beats, and only two of the three", "agrees", round_, ["1", "2"],
         fields={**TWO, "interval": -7}, says="Vla enters too."),
    Case("the first and the third: two fifths lower", "agrees", round_, ["1", "3"],
         fields={**entries(("the firsts", 1), ("Viola", 3)), "interval": -14}),
    Case("a fifth lower is 7 semitones; a tritone is a fifth too, bent", "agrees", round_,
         ["1", "3"], fields={**ALL, "interval": -6}, says="tonal"),
    Case("each entry a bar late, a fourth higher: two things at once, but each of them near",
         "partly", round_, ["2", "4"],
         fields={**entries(("Vl I", 2), ("Vl II", 3), ("Vla", 4)), "interval": -7},
         cause="bar-offset", says="bars 1–3"),
    Case("a fourth higher instead of a fifth lower: the octave", "partly", round_, ["1", "3"],
         fields={**ALL, "interval": 5}, cause="octave-count"),
    Case("the violas enter in bar 3, not 4", "partly", round_, ["1", "4"],
         fields=entries(("Vl I", 1), ("Vl II", 2), ("Vla", 4)), says="Vla enters at bar 3"),
    Case("three of four are there, the cellos only hold", "partly", round_, ["1", "4"],
         fields=entries(("Vl I", 1), ("Vl II", 2), ("Vla", 3), ("Vc", 4)),
         says="Vc has no part in it."),
    Case("in bar 8 the first has ended: an answer", "partly", round_, ["7", "8"],
         fields=entries(("Vl I", 7), ("Vl II", {"bar": "8", "beat": 3})),
         says="an answer, not an imitation"),
    Case("a third lower is another interval", "conflicts", round_, ["1", "3"],
         fields={**ALL, "interval": -4}, says="a fifth lower"),
    Case("one of the two rests", "conflicts", round_, ["1", "2"],
         fields=entries(("Vl I", 1), ("Fl", 2)), says="Fl"),
    Case("they go together in octaves", "conflicts", round_, ["7", "8"],
         fields=entries(("Vla", 7), ("Vc", 8)), says="nobody follows"),
    Case("one held note has nothing of the subject", "conflicts", round_, ["1", "2"],
         fields=entries(("Vl I", 1), ("Vc", 2))),
    Case("a horn in F a fourth lower on paper is an octave lower in sound", "conflicts", horn,
         ["1", "2"], fields={**entries(("Ob", 1), ("Cor in F", 2)), "interval": -5},
         cause="untransposed"),
    Case("an octave lower, as it sounds", "agrees", horn, ["1", "2"],
         fields={**entries(("Ob", 1), ("Cor in F", 2)), "interval": -12}),
    Case("a part nobody has confirmed", "ear",
         lambda: changed(round_(), "Vla", Doubt("name", "viola or violin III?")), ["1", "3"],
         fields=ALL, cause="unconfirmed-part"),
    Case("three notes of four are alike in rhythm and direction: nearly one", "ear",
         lambda: table({"Ob": "G5 q. A5 e B5 q C6 | D6 q B5 G5 h | r",
                        "Cl": "r | C5 q. D5 e E5 q D5 | B4 q D5 F5 h"}), ["1", "2"],
         fields=entries(("Ob", 1), ("Cl", 2))),
    Case("it is one", "conflicts", round_, ["1", "3"], fields={**ALL, "negated": True}),
    Case("no imitation between violins and cellos", "agrees", round_, ["1", "2"],
         fields={**entries(("Vl I", 1), ("Vc", 2)), "negated": True}),
]  # fmt: skip

TYPED = {
    "part1": "Vl I", "at1": "25", "part2": "Vl II", "at2": "26, beat 3", "part3": "Vla",
    "at3": "27.1", "interval": "-7",
}  # fmt: skip
CLAIM = {
    "parts": [],
    "entries": [
        {"part": "Vl I", "at": {"bar": "25"}},
        {"part": "Vl II", "at": {"bar": "26", "beat": 3}},
        {"part": "Vla", "at": {"bar": "27", "beat": 1}},
    ],
    "interval": -7,
}
