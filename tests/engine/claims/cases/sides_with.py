"""Taking sides. Sources: contract 3 (side, by pitch, rhythm or role), job 14 (which family a part
sides with); the share of bars is the tutor's (common practice, no source). The piece of
`tests/engine/analyses/test_sides.py`: eight bars, tune, held notes and a bass.
"""

from __future__ import annotations

from functools import cache

from analysis.engine.model import Doubt, ScoreTable
from tests.engine.analyses.test_sides import BASS, HOLD, TUNE, bars
from tests.engine.claims.cases import Case, changed
from tests.engine.tables import table

#: the rhythm of the bass on other notes
THIRD = ("B2 h D3", "E3 q F3 G3 h", "G3 q F3 E3 D3", "C3 h. F3 q") * 2


@cache
def floor() -> ScoreTable:
    """Fg with the cellos in bars 1-8, with the flute in 9-16, then rest.

    Vla has the rhythm of the cellos.

    Cor in F is on paper what the cellos play, and sounds a fifth lower; Ob rests.
    """
    return table(
        {
            "Fl": bars(TUNE, TUNE, ["r"]),
            "Ob": " | ".join(["r"] * 16),
            "Fg": bars(BASS, TUNE),
            "Cor in F": bars(_fifth_lower(BASS), ["r"] * 8),
            "Vl I": bars(HOLD, HOLD),
            "Vla": bars(THIRD, THIRD),
            "Vc": bars(BASS, BASS),
        }
    )


def _fifth_lower(music: tuple[str, ...]) -> list[str]:
    """White notes a fifth lower, as seven semitones: G2 to C2, B2 to E2, F3 to Bb2."""
    down = {"G2": "C2", "B2": "E2", "C3": "F2", "D3": "G2", "E3": "A2", "A2": "D2", "F3": "Bb2"}
    return [" ".join(down.get(word, word) for word in bar.split()) for bar in music]


@cache
def both() -> ScoreTable:
    """The bassoon, the clarinet and the cellos have one bass line."""
    return table({"Cl": bars(BASS).replace("2", "4").replace("3", "5"), "Fg": bars(BASS),
                  "Vl I": bars(HOLD), "Vc": bars(BASS)})  # fmt: skip


def side(name: str, by: str = "pitch", **more: object) -> dict[str, object]:
    return {"side": name, "by": by, **more}


CASES = [
    Case("the bassoon has the notes of the cellos", "agrees", floor, ["1", "8"], ["Fg"],
         side("strings"), says="Fg shares the notes of the strings in 8 of the 8 bars it plays"),
    Case("of the cellos, in four of the bars", "agrees", floor, ["3", "6"], ["Fagott"],
         side("Vc"), says="It starts in bar 1 and goes on to bar 8."),
    Case("then of the flute", "agrees", floor, ["9", "16"], ["Fg"], side("woodwind")),
    Case("the violas have the rhythm of the cellos, not their notes", "agrees", floor,
         ["1", "8"], ["Vla"], side("Vc", "rhythm")),
    Case("who has the notes has the rhythm too", "agrees", floor, ["1", "8"], ["Fg"],
         side("Vc", "rhythm")),
    Case("but the horn has that rhythm as well", "partly", floor, ["1", "8"], ["Fg"],
         side("strings", "rhythm"), says="the brass as much"),
    Case("in half of the bars it does", "partly", floor, ["5", "12"], ["Fg"], side("strings")),
    Case("they share a rhythm, not notes", "partly", floor, ["1", "8"], ["Vla"], side("Vc"),
         says="By notes it does not: look at the rhythm."),
    Case("the clarinet has the same line: it goes with both", "partly", both, ["1", "8"], ["Fg"],
         side("strings"), says="the woodwind as much"),
    Case("with the cellos, not with the flute", "conflicts", floor, ["1", "8"], ["Fg"],
         side("woodwind"), says="shares the notes of the strings in 8 of the 8"),
    Case("the oboe rests", "conflicts", floor, ["1", "8"], ["Ob"], side("strings"),
         says="Ob rests"),
    Case("on paper the horn has the notes of the cellos, in sound their rhythm alone: that is near",
         "partly", floor, ["1", "8"], ["Cor in F"], side("Vc")),
    Case("one bar late", "partly", floor, ["10", "17"], ["Fg"], side("woodwind"),
         cause="bar-offset"),
    Case("a part nobody has confirmed", "ear",
         lambda: changed(floor(), "Fg", Doubt("name", "bassoon or baritone?")), ["1", "8"], ["Fg"],
         side("strings"), cause="unconfirmed-part"),
    Case("it does, in eight bars of sixteen", "conflicts", floor, ["1", "16"], ["Fg"],
         side("strings", negated=True)),
    Case("the bassoon has not the notes of the flute there", "agrees", floor, ["1", "8"], ["Fg"],
         side("Fl", negated=True)),
]  # fmt: skip

TYPED = {"parts": "Fg", "side": "strings", "by": "rhythm"}
CLAIM = {"parts": ["Fg"], "side": "strings", "by": "rhythm"}
