"""The registry: order by need, and findings that point outside the file are caught."""

from dataclasses import replace

import pytest

from analysis.engine.analyses import ANALYSES, Analysis, analyse, registry
from analysis.engine.errors import EngineError
from analysis.engine.model import Evidence, Sentence
from analysis.engine.settings import Settings

from ..tables import table

TUNE = "G5 q A5 B5 C6 | D6 q C6 B5 A5"


def nothing(table, settings):
    return []


def test_each_runs_after_what_it_needs():
    a = Analysis("a", nothing, needs=("c",))
    b, c = Analysis("b", nothing), Analysis("c", nothing, needs=("b",))
    assert [x.name for x in registry.in_order([a, b, c])] == ["b", "c", "a"]
    with pytest.raises(EngineError, match="no analysis"):
        registry.in_order([a, b])
    with pytest.raises(EngineError, match="each other"):
        registry.in_order([a, Analysis("c", nothing, needs=("a",))])


def test_names_are_unique_and_in_order():
    assert len({a.name for a in ANALYSES}) == len(ANALYSES)
    assert len(registry.in_order(ANALYSES)) == len(ANALYSES)


def test_the_same_table_gives_the_same_reading_and_tells_progress():
    lines = {"Fl": TUNE, "Vl I": TUNE, "Vla": "G4 w | A4 w"}
    told = []
    first = analyse(table(lines), progress=lambda *x: told.append(x))
    assert first
    assert first == analyse(table(lines), Settings())
    assert [done for _, done, _ in told] == list(range(len(ANALYSES)))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"last": 9}, "bars"),
        ({"confidence": 1.5}, "confidence"),
        ({"lines": (7,)}, "lines"),
        ({"evidence": (Evidence(ids=("n9-9-9",)),)}, "no note"),
        ({"sentence": Sentence("nobody.wrote-this")}, "nobody wrote"),
        ({"movement": 1}, "movement"),
        ({"kind": "playing"}, "value of kind"),
        ({"end": 0}, "ticks"),
    ],
)
def test_a_finding_outside_the_file_is_our_mistake(monkeypatch, change, words):
    t = table({"Fl": TUNE, "Vl I": TUNE})
    good = analyse(t)[0]
    bad = Analysis("bad", lambda *_: [replace(good, **change)])
    monkeypatch.setattr(registry, "ANALYSES", (bad,))
    with pytest.raises(EngineError, match=words):
        registry.analyse(t)
