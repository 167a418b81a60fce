"""Build-ups. Sources: trade facts 9, job 6, example 10, contract 3 (Jaccard .6 and an arrival
within a bar; near at .3). The pieces of `tests/engine/analyses/test_build_up.py`: parts enter one
a bar from bar 4 on and the top climbs to its goal in bar 12; nothing is printed, no rhythm changes.
"""

from __future__ import annotations

from functools import cache

from analysis.engine.model import ScoreTable
from tests.engine.analyses.test_build_up import GROWING, NAMES, layers, signed
from tests.engine.claims.cases import Case
from tests.engine.tables import table


@cache
def growing() -> ScoreTable:
    return table(GROWING)


@cache
def falling() -> ScoreTable:
    return table({n: " | ".join(reversed(text.split(" | "))) for n, text in GROWING.items()})


@cache
def quiet() -> ScoreTable:
    """The same build-up, `p` printed all the way."""
    return signed(table(GROWING), ("dynamic", 0, 0, "p", 3.0))


@cache
def still() -> ScoreTable:
    return table(layers(NAMES, (0,) * 10, 15))


def by(*names: str, **more: object) -> dict[str, object]:
    return {"by": list(names), **more}


CASES = [
    Case("parts and top rise from bar 4 to 11", "agrees", growing, ["4", "11"],
         fields=by("forces", "height"), says="towards bar 12: more parts (3 to 10)"),
    Case("a crescendo is not printed: the rhythm stays", "agrees", growing, ["4", "12"],
         fields=by("forces", without=["rhythm"])),
    Case("bars 5-12 have seven of nine bars in common and reach the goal", "agrees", growing,
         ["5", "12"], fields=by("forces", "height")),
    Case("bars 6-9: four of eight bars, and no arrival", "partly", growing, ["6", "9"],
         fields=by("forces", "height"), says="bars 4–11"),
    Case("the rhythm does not rise", "partly", growing, ["4", "11"],
         fields=by("forces", "height", "rhythm"), says="the rhythm stays as it is"),
    Case("one bar early on both sides shares seven of nine bars and arrives in time", "agrees",
         growing, ["3", "10"], fields=by("forces", "height")),
    Case("two bars early: the arrival is two bars off, one bar later it fits", "partly", growing,
         ["2", "9"], fields=by("forces", "height"), cause="bar-offset"),
    Case("only the rhythm, which stays", "conflicts", growing, ["4", "11"], fields=by("rhythm"),
         says="the rhythm stays as it is"),
    Case("p is printed once for all: it does not get louder", "conflicts", quiet, ["4", "11"],
         fields=by("loudness"), says="the printed loudness stays"),
    Case("it thins out", "conflicts", falling, ["5", "12"], fields=by("forces", "height"),
         says="It thins out"),
    Case("nothing grows", "conflicts", still, ["4", "11"], fields=by("forces", "height")),
    Case("no dynamics at all: the file cannot tell", "ear", growing, ["4", "11"],
         fields=by("forces", "loudness"), says="No dynamics are printed"),
    Case("it rises and does not rise", "ear", growing, ["4", "11"],
         fields=by("height", without=["height"]), cause="not-understood"),
    Case("it thins out, so it is no build-up", "agrees", falling, ["5", "12"],
         fields=by("forces", "height", negated=True), says="fewer parts"),
    Case("no build-up, and no thinning-out either", "agrees", still, ["4", "11"],
         fields=by("forces", negated=True), says="It does not thin out there either."),
    Case("it does build up, by two curves of five: not sure enough to deny", "ear", growing,
         ["4", "11"], fields=by("forces", "height", negated=True)),
]  # fmt: skip

TYPED = {"forces": "by", "height": "by", "rhythm": "without", "loudness": "", "harmony": ""}
CLAIM = {"parts": [], "by": ["forces", "height"], "without": ["rhythm"]}
