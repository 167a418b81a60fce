"""A route by its cadences, keys that sound nowhere, and what the bars say alone.

Common practice, no source.
"""

from __future__ import annotations

from functools import cache

import pytest

from analysis.engine import claims
from analysis.engine.analyses import keys
from analysis.engine.claims.key_alone import fits, index_of
from analysis.engine.claims.key_route_heard import NOWHERE
from analysis.engine.pitch import parse_key
from analysis.engine.settings import Settings
from tests.engine.tables import table

from .asking import ask, region

#: four bars each in G, in D with its leading tone and a cadence, and in G again
HOME = (
    "G4+B4+D5 h D4+B4+D5 | E4+G4+C5 h D4+F#4+C5 | G4+B4+D5 h C4+E4+G4 | D4+F#4+C5 h G4+B4+D5",
    "G2 h G2 | C3 h D3 | B2 h C3 | D3 h G2",
)
AWAY = (
    "D4+F#4+A4 h D4+F#4+A4 | E4+G4+B4 h C#4+E4+A4 | F#4+A4+D5 h E4+G4+B4 | A3+C#4+G4 h D4+F#4+A4",
    "D3 h F#3 | G3 h A3 | D3 h G2 | A2 h D2",
)

#: four bars as far away as they can be, in D flat
FAR = (
    "Db4+F4+Ab4 h Db4+F4+Ab4 | Eb4+Gb4+Bb4 h C4+Eb4+Ab4 | F4+Ab4+Db5 h Eb4+Gb4+Bb4 | "
    "Ab3+C4+Gb4 h Db4+F4+Ab4"
)


@cache
def there_and_back():
    """The table, and its keys: the middle is read as G with a cadence in D."""
    upper, lower = (" | ".join((h, a, h)) for h, a in zip(HOME, AWAY, strict=True))
    made = table({"Vl I": upper, "Vc": lower})
    return made, tuple(keys.find_keys(made, Settings()))


def flag(route, bars=("1", "12"), **more):
    made, found = there_and_back()
    return ask(made, "key-route", list(bars), keys=route, touched=True, findings=found, **more)


def test_the_middle_is_heard_by_its_cadence():
    value = flag(["G major", "D major", "G major"])
    assert value["flag"] == "agrees"
    assert "D major (bars 5–8)" in value["sentence"]
    assert flag(["G major", "D major"], ("1", "8"))["flag"] == "agrees"
    assert flag(["D major", "G major"], ("1", "8"))["flag"] == "ear"  # the wrong way round


@pytest.mark.parametrize("route", [["Ab major", "Db major"], ["B major", "F# major", "B major"]])
def test_keys_that_sound_nowhere_conflict_and_their_denial_agrees(route):
    value = flag(route)
    assert (value["flag"], value["confidence"]) == ("conflicts", pytest.approx(NOWHERE, abs=1e-3))
    assert flag(route, negated=True)["flag"] == "agrees"


def test_one_key_that_sounds_nowhere_is_not_enough():
    assert flag(["G major", "Ab major", "G major"])["flag"] != "conflicts"


def test_a_key_the_tutor_reads_there_is_not_nowhere():
    made, found = there_and_back()
    word = claims.Overruling("key", 0, 11, (), "added", {"key": "ab major", "how": "region"})
    asked = {"keys": ["Ab major"], "touched": True, "overrules": [word]}
    value = ask(made, "key-route", ["1", "12"], findings=[*found], negated=True, **asked)
    assert value["flag"] != "agrees"
    assert ask(made, "key-route", ["1", "12"], **asked)["flag"] == "agrees"


def test_the_bars_alone_fit_the_key_they_are_in():
    made, _ = there_and_back()
    for first, name in ((0, "G major"), (4, "D major")):
        fit = fits(made, first, first + 3)
        assert fit.argmax() == index_of(parse_key(name))


def test_an_unsure_region_is_as_sure_as_its_own_cadence():
    made, _ = there_and_back()
    weak = [region(made, 0, 3, "g major", 0.4), region(made, 4, 7, "d major", 0.4)]
    closed = [region(made, 3, 3, "g major", 0.8, how="arrives"),
              region(made, 7, 7, "d major", 0.8, how="arrives")]  # fmt: skip
    asked = {"keys": ["G major", "D major"], "touched": True}
    assert ask(made, "key-route", ["1", "8"], findings=weak, **asked)["flag"] == "ear"
    value = ask(made, "key-route", ["1", "8"], findings=[*weak, *closed], **asked)
    assert (value["flag"], value["confidence"]) == ("agrees", 0.8)


def sure_of_g():
    """Someone reads G throughout and is sure of it; the middle is in D by itself."""
    made, _ = there_and_back()
    return made, [region(made, 0, 11, "g major", 0.95)]


@pytest.mark.parametrize(
    ("away", "said", "denied"),
    [("D major", "ear", "ear"), ("F major", "conflicts", "agrees")],
)
def test_a_route_is_denied_only_where_the_bars_alone_bear_it_out(away, said, denied):
    made, found = sure_of_g()
    asked = {"keys": ["G major", away, "G major"], "touched": True, "findings": found}
    value = ask(made, "key-route", ["1", "12"], **asked)
    assert value["flag"] == said
    alone = "taken by themselves, speak for D major nearly as well"
    assert (alone in value["sentence"]) == (said == "ear")
    value = ask(made, "key-route", ["1", "12"], negated=True, **asked)
    assert value["flag"] == denied
    assert ("not surely" in value["sentence"]) == (denied == "ear")


@pytest.mark.parametrize(("key", "said"), [("D major", "ear"), ("F major", "conflicts")])
def test_an_arrival_is_denied_only_where_the_bars_alone_bear_it_out(key, said):
    made, found = sure_of_g()
    asked = {"key": key, "how": "arrives", "findings": found}
    assert ask(made, "key", ["5", "8"], **asked)["flag"] == said


@pytest.mark.parametrize(("bars", "said"), [(FAR, "conflicts"), (AWAY[0], "ear")])
def test_a_sure_key_left_out_conflicts_where_its_bars_know_no_claimed_one(bars, said):
    made = table({"Vl I": " | ".join((HOME[0], bars))})
    found = [region(made, 0, 3, "g major", 0.95), region(made, 4, 7, "db major", 0.95),
             region(made, 7, 7, "db major", 0.8, how="arrives")]  # fmt: skip
    asked = {"touched": True, "findings": found, "keys": ["G major"]}
    assert ask(made, "key-route", ["1", "8"], **asked)["flag"] == said
