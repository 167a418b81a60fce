"""Handovers. Sources: trade facts 6.2 (a gap or overlap of a beat, or of a bar), job 6, example 12
(a line handed on in mid-bar, both on it for a beat), contract 3 (`at` to the beat). The piece of
`tests/engine/analyses/test_handover.py`.
"""

from __future__ import annotations

from functools import cache

from analysis.engine.model import Doubt, ScoreTable
from tests.engine.claims.cases import Case, changed
from tests.engine.tables import table

CALL = "G5 q. A5 e B5 q C6 | D6 h r | r | r"
ANSWER = "r | r h D5 q. E5 e | F5 q G5 A5 h | r"
CHORDS = "G3+B3 w | G3+B3 w | A3+C4 w | G3+B3 w"


@cache
def call() -> ScoreTable:
    """Ob calls and ends on beat 2 of bar 2; Cl answers on beat 3 with the same figure.

    Fl goes with Ob; Vl I rests; Vc holds chords; Fg and Cb are in octaves all the time.
    """
    low = "C3 q E3 D3 F3 | E3 q G3 F3 A3 | G3 q E3 F3 D3 | C3 w"
    return table(
        {
            "Fl": CALL.replace("5", "7").replace("6", "7").replace("C7", "C8").replace("D7", "D8"),
            "Ob": CALL,
            "Cl": ANSWER,
            "Fg": low,
            "Vl I": "r | r | r | r",
            "Vc": CHORDS,
            "Cb": low.replace("3", "2"),
        }
    )


def pair(giver: str, taker: str, at: object = None, **more: object) -> dict[str, object]:
    found = {"from": giver, "to": taker, **more}
    return {**found, "at": at} if at is not None else found


BEAT = {"bar": "2", "beat": 3}

CASES = [
    Case("five notes alike, from beat 3 of bar 2", "agrees", call, ["2"],
         fields=pair("Ob", "Cl", BEAT), says="answers with the same figure at bar 2, beat 3"),
    Case("bars alone", "agrees", call, ["1", "2"], fields=pair("Oboe", "Klarinette")),
    Case("the flute goes with the oboe: it gives too", "agrees", call, ["2"],
         fields=pair("Fl", "Cl"), says="Ob goes along."),
    Case("a beat early is right", "agrees", call, ["2"],
         fields=pair("Ob", "Cl", {"bar": "2", "beat": 2})),
    Case("within a bar it is near", "partly", call, ["3"],
         fields=pair("Ob", "Cl", {"bar": "3", "beat": 2}), cause="bar-offset"),
    Case("two beats late: within a bar", "partly", call, ["2", "3"],
         fields=pair("Ob", "Cl", {"bar": "3", "beat": 1}), says="bar 2, beat 3"),
    Case("the violins rest", "conflicts", call, ["2"], fields=pair("Ob", "Vl I", BEAT),
         says="Vl I rests"),
    Case("they double each other", "conflicts", call, ["2"], fields=pair("Fg", "Cb", BEAT),
         says="nothing is handed on"),
    Case("both play on, and nothing tells", "ear", call, ["2"], fields=pair("Vc", "Fg"),
         says="I find no line that passes"),
    Case("a part nobody has confirmed", "ear",
         lambda: changed(call(), "Cl", Doubt("name", "clarinet or cornet?")), ["2"],
         fields=pair("Ob", "Cl"), cause="unconfirmed-part"),
    Case("it is one, but five notes alike do not make it sure enough to deny", "ear", call, ["2"],
         fields=pair("Ob", "Cl", negated=True), says="There is an exception"),
    Case("nothing goes to the violins", "agrees", call, ["2"],
         fields=pair("Ob", "Vl I", negated=True)),
]  # fmt: skip

TYPED = {"from_": "Ob 1", "to": "Cl 1", "at": "43, beat 1"}
CLAIM = {"parts": [], "from": "Ob 1", "to": "Cl 1", "at": {"bar": "43", "beat": 1}}
