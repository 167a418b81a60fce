"""The course of a part. Sources: contract 3 (steps judged one by one; nine of ten right, six of ten
near), job 14 (with whom it goes along the bars, change of partner, split and rejoin of a pair).
"""

from __future__ import annotations

from functools import cache

from analysis.engine.model import Doubt, ScoreTable
from tests.engine.claims.asking import role
from tests.engine.claims.cases import Case, changed
from tests.engine.tables import table

TUNE = "C5 q D5 E5 F5 | G5 E5 D5 C5 | D5 F5 E5 D5 | C5 h G5"
BASS = "C3 q E3 G3 A3 | B3 G3 F3 E3 | A3 F3 D3 E3 | G3 h C3"
OWN = "E4 e F4 G4 A4 B4 A4 G4 F4 | E4 G4 F4 A4 G4 B4 A4 C5 | B4 A4 G4 F4 E4 D4 C4 D4 | E4 w"
REST = "r | r | r | r"


def low(music: str, octaves: int) -> str:
    return "".join(str(int(c) - octaves) if c.isdigit() else c for c in music)


@cache
def walk() -> ScoreTable:
    """Fg: bars 1-4 two octaves under Vl I, 5-8 in unison with Vc, 9-12 alone, 13-16 at rest.

    Cl 1 and 2: 1-4 in unison, 5-8 apart, 9-12 in unison again. Vl I and Vc play on.
    """
    return table(
        {
            "Cl 1": f"{TUNE.replace('C5 h G5', 'C5 h E5')} | {OWN} | {TUNE} | {REST}",
            "Cl 2": f"{TUNE.replace('C5 h G5', 'C5 h E5')} | {low(BASS, -1)} | {TUNE} | {REST}",
            "Fg": f"{low(TUNE, 2)} | {BASS} | {low(OWN, 1)} | {REST}",
            "Vl I": f"{TUNE} | {OWN} | {TUNE} | {OWN}",
            "Vc": f"{BASS} | {BASS} | {BASS} | {BASS}",
            "Cb": f"{low(BASS, 1)} | {REST} | {REST} | {REST}",
        }
    )


def step(first: int, last: int, *company: str, **more: object) -> dict[str, object]:
    return {"bars": [str(first), str(last)], "with": list(company), **more}


def steps(*each: dict[str, object], **more: object) -> dict[str, object]:
    return {"steps": list(each), **more}


WHOLE = steps(step(1, 4, "Vl I", octaves=-2), step(5, 8, "Vc", octaves=0), step(9, 12),
              step(13, 16, role="silence"))  # fmt: skip
PAIR = steps(step(1, 4, "Cl 2"), step(5, 8), step(9, 12, "Cl 2"))

CASES = [
    Case("violins, cellos, nobody, rest: as the docstring has it", "agrees", walk, ["1", "16"],
         ["Fg"], WHOLE,
         says="with Vl I two octaves lower in bars 1–4, with Vc in unison in bars 5–8"),
    Case("two of its steps", "agrees", walk, ["1", "8"], ["Fagotto"],
         steps(step(2, 4, "the firsts"), step(5, 7, "violoncelli"))),
    Case("the clarinets split and join again", "agrees", walk, ["1", "12"], ["Cl 1"], PAIR,
         says="apart from Cl 2 in bars 5–8"),
    Case("one octave too few", "partly", walk, ["1", "8"], ["Fg"],
         steps(step(1, 4, "Vl I", octaves=-1), step(5, 8, "Vc", octaves=0)),
         cause="octave-count", says="two octaves lower"),
    Case("the change comes in bar 5, not in 7", "partly", walk, ["1", "8"], ["Fg"],
         steps(step(1, 6, "Vl I"), step(7, 8, "Vc")), says="bars 5–8"),
    Case("one bar late throughout", "partly", walk, ["2", "13"], ["Fg"],
         steps(step(2, 5, "Vl I"), step(6, 9, "Vc"), step(10, 13)), cause="bar-offset"),
    Case("three of the four steps", "partly", walk, ["1", "16"], ["Fg"],
         steps(step(1, 4, "Vl I"), step(5, 8, "Vl I"), step(9, 12), step(13, 16, role="silence"))),
    Case("the basses sound an octave below the page: bassoon a third octave higher than that",
         "partly", walk, ["1", "4"], ["Vc"], steps(step(1, 4, "Cb", octaves=0)),
         cause="bass-written"),
    Case("first with the cellos, then with the violins: the other way round", "conflicts", walk,
         ["1", "8"], ["Fg"], steps(step(1, 4, "Vc"), step(5, 8, "Vl I"))),
    Case("it does not rest there", "conflicts", walk, ["1", "8"], ["Fg"],
         steps(step(1, 4, "Vl I"), step(5, 8, role="silence"))),
    Case("it is not alone there", "conflicts", walk, ["1", "4"], ["Fg"], steps(step(1, 4))),
    Case("its job there is not known", "ear", walk, ["1", "8"], ["Fg"],
         steps(step(1, 4, "Vl I", role="melody"), step(5, 8, "Vc")), find=lambda t: []),
    Case("its job is known", "agrees", walk, ["1", "8"], ["Fg"],
         steps(step(1, 4, "Vl I", role="melody"), step(5, 8, "Vc")),
         find=lambda t: [role(t, 2, 0, 3, "melody", 0.95)]),
    Case("a part nobody has confirmed", "ear",
         lambda: changed(walk(), "Vc", Doubt("name", "cello or bass?")), ["1", "16"], ["Fg"],
         WHOLE, cause="unconfirmed-part"),
    Case("it does go so", "conflicts", walk, ["1", "12"], ["Cl 1"], {**PAIR, "negated": True}),
    Case("it does not go with the violins, then with the basses", "agrees", walk, ["5", "12"],
         ["Fg"], steps(step(5, 8, "Vl I"), step(9, 12, "Cb"), negated=True)),
]  # fmt: skip

TYPED = {
    "parts": "Fg 1", "bars1": "1-4", "does1": "", "with1": "Vl I", "octaves1": "-2",
    "bars2": "b. 5", "does2": "rests", "bars3": "6-8", "does3": "alone",
}  # fmt: skip
CLAIM = {
    "parts": ["Fg 1"],
    "steps": [
        {"bars": ["1", "4"], "with": ["Vl I"], "octaves": -2},
        {"bars": ["5"], "with": [], "role": "silence"},
        {"bars": ["6", "8"], "with": []},
    ],
}
