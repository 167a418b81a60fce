"""Routes of keys. The regions are given by hand (bars, key, how sure): what is asked is the route.

Trade facts 8: a key is settled by a stay and a cadence; one or two bars are a tonicisation. A
settled phrase in the parallel minor is a key of the route (job.md 14).
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from analysis.engine.model import ScoreTable
from tests.engine.claims.asking import region
from tests.engine.claims.cases import Case
from tests.engine.tables import table


@cache
def long() -> ScoreTable:
    """Thirty-two bars in C but for 11-20 in G and 21-22 in D: before a route is denied they are
    asked by themselves. (Other routes than this one are only laid beside regions given by hand.)
    """
    tune = ["C5 q D5 E5 F5"] * 10 + ["G4 q B4 D5 F#5"] * 10 + ["D5 q F#5 A5 C#5"] * 2
    bass = ["C3 w"] * 10 + ["G2 w"] * 10 + ["D3 w"] * 2
    return table({
        "Vl I": " | ".join([*tune, *["C5 q D5 E5 F5"] * 10]),
        "Vc": " | ".join([*bass, *["C3 w"] * 10]),
    })  # fmt: skip


def there_and_back(made: ScoreTable, sure: float = 0.95) -> list:
    """1-10 C, 11-20 G, 21-22 D for two bars only, 23-32 C."""
    spans = [(0, 9, "c major"), (10, 19, "g major"), (20, 21, "d major"), (22, 31, "c major")]
    return [region(made, a, b, key, sure) for a, b, key in spans]


def unsure(made: ScoreTable) -> list:
    return there_and_back(made, 0.5)


def touched_in_passing(made: ScoreTable) -> list:
    """The same, and E minor touched in 12-15."""
    value = {"kind": "key-route", "keys": ["e minor"], "touched": True}
    passing = replace(region(made, 11, 14, "e minor", 0.8), kind="key-route", value=value)
    return [*there_and_back(made), passing]


def to_minor(made: ScoreTable) -> list:
    """1-16 E flat, 17-32 C minor."""
    return [region(made, 0, 15, "eb major", 0.95), region(made, 16, 31, "c minor", 0.95)]


ALL = ["1", "32"]
CASES = [
    Case("C, G, C; D is touched and need not be named", "agrees", long, ALL, (),
         {"keys": ["c major", "g major", "c major"]}, find=there_and_back,
         says="C major (bars 1–10), G major (bars 11–20) and C major (bars 23–32)"),
    Case("D is touched and may be named", "agrees", long, ALL, (),
         {"keys": ["C-Dur", "G-Dur", "D-Dur", "C-Dur"]}, find=there_and_back),
    Case("a passage in one key", "agrees", long, ["12", "19"], (), {"keys": ["g major"]},
         find=there_and_back, says="It stays in G major."),
    Case("one bar of C at the edge need not be named", "agrees", long, ["10", "20"], (),
         {"keys": ["g major"]}, find=there_and_back),
    Case("the parallel minor for the major: two and a half steps of three", "partly", long, ALL,
         (), {"keys": ["c major", "g minor", "c major"]}, cause="parallel-key",
         find=there_and_back),
    Case("a return to E flat that is not there: two steps of three", "partly", long, ALL, (),
         {"keys": ["eb major", "eb major", "c minor", "eb major"]}, find=to_minor,
         says="not so often"),
    Case("the way back is left out: two steps of three", "partly", long, ALL, (),
         {"keys": ["c major", "g major"]}, find=there_and_back),
    Case("it does not stay in C", "conflicts", long, ALL, (), {"keys": ["c major"]},
         find=there_and_back, says="You leave out G major."),
    Case("no F anywhere", "conflicts", long, ALL, (),
         {"keys": ["f major", "a major", "c major"]}, find=there_and_back,
         says="I find no F major and A major there."),
    Case("the same route, but not sure", "ear", long, ALL, (),
         {"keys": ["c major", "g major", "c major"]}, find=unsure, says="but not surely"),
    Case("no C for sure: not sure enough to say so", "ear", long, ALL, (),
         {"keys": ["f major"]}, find=unsure),
    Case("D is a tonicisation, not a settled key", "ear", long, ["11", "22"], (),
         {"keys": ["d major"], "touched": False}, cause="tonicisation", find=there_and_back,
         says="D major is touched only."),
    Case("E minor is touched within G, by its dominant: it may be named", "agrees", long,
         ["12", "15"], (), {"keys": ["e minor"]}, find=touched_in_passing,
         says="E minor is touched within G major, without a stay."),
    Case("no key at all was found", "ear", long, ALL, (), {"keys": ["c major"]},
         find=lambda made: []),
    Case("E minor is touched: whether that is passing through, the tutor says", "ear", long,
         ["12", "15"], (), {"keys": ["e minor"], "negated": True}, find=touched_in_passing),
    Case("E flat is in no bar", "agrees", long, ALL, (),
         {"keys": ["eb major"], "negated": True}, find=there_and_back),
    Case("G is settled in 11-20", "conflicts", long, ALL, (),
         {"keys": ["g major"], "negated": True}, find=there_and_back,
         says="There is an exception: bars 11–20."),
]  # fmt: skip

TYPED = {"keys": "E flat major, C minor; Es-Dur", "settled": ""}
CLAIM = {"parts": [], "keys": ["E flat major", "C minor", "Es-Dur"], "touched": True}
