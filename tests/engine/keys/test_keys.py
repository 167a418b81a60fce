"""Local keys on plain examples whose key no reader would doubt (common practice, no source)."""

import itertools
from dataclasses import replace

import numpy as np
import pytest

from analysis.engine.analyses.keys import find_keys
from analysis.engine.analyses.keys_regions import find
from analysis.engine.analyses.keys_sure import confidence
from analysis.engine.pitch import Key, from_fifths, from_midi
from analysis.engine.settings import Settings
from tests.engine.tables import table

KEYS = [Key(*from_fifths(n), "major") for n in range(-5, 7)] + [
    Key(*from_fifths(n), "minor") for n in range(-2, 10)
]
CHORDS = {"I": (0, 2, 4), "IV": (3, 5, 7), "V": (4, 6, 8), "VI": (5, 7, 9)}
SCALE = {"major": (0, 2, 4, 5, 7, 9, 11), "minor": (0, 2, 3, 5, 7, 8, 11)}  # harmonic minor


def chord(key, degree):
    octave = 60 + key.tonic
    pitches = [octave + 12 * (d // 7) + SCALE[key.mode][d % 7] for d in CHORDS[degree]]
    return [from_midi(p, key.fifths).name for p in pitches]


def passage(*plan):
    """Parts of a passage: (key, degrees) in turn, one chord a bar, its root in the bass."""
    bars = [chord(key, degree) for key, degrees in plan for degree in degrees.split()]
    upper = " | ".join(f"{'+'.join(c)} h {'+'.join(c)}" for c in bars)
    low = " | ".join(f"{c[0][:-1]}{int(c[0][-1]) - 2} w" for c in bars)
    return {"Vl I": upper, "Vc": low}


@pytest.mark.parametrize("key", KEYS, ids=lambda k: k.name)
def test_a_plain_cadence_names_its_key(key):
    found = find_keys(table(passage((key, "I IV V I VI IV V I " * 2))), Settings())
    regions = [f for f in found if f.value["how"] == "region"]
    assert [f.value for f in regions] == [{"kind": "key", "key": key.name, "how": "region"}]
    assert (regions[0].first, regions[0].last) == (0, 15)
    assert regions[0].confidence > 0.7
    # every cadence of the passage ends in the same key, in its bar 4, 8, 12 or 16
    arrivals = [f for f in found if f.value["how"] == "arrives"]
    assert {f.value["key"] for f in arrivals} == {key.name}
    assert {f.first for f in arrivals} <= {3, 7, 11, 15}


@pytest.mark.parametrize(
    ("one", "two"),
    [
        ("c major", "g major"),
        ("c major", "a minor"),
        ("c minor", "eb major"),
        ("d major", "bb major"),
    ],
)
def test_a_modulation_makes_two_regions_and_an_arrival(one, two):
    a, b = (next(k for k in KEYS if k.name == name) for name in (one, two))
    t = table(passage((a, "I IV V I VI IV V I"), (b, "V I IV V I IV V I IV V I I")))
    found = find_keys(t, Settings())
    regions = [f for f in found if f.value["how"] == "region"]
    arrivals = [f for f in found if f.value["how"] == "arrives"]
    assert [f.value["key"] for f in regions] == [one, two]
    assert abs(regions[1].first - 8) <= 2
    assert [k for k in (f.value["key"] for f in arrivals if f.first >= 8) if k != two] == []
    reached = [f for f in arrivals if f.value["key"] == two]
    assert reached[0].first in range(7, 14)


def test_a_tonicised_bar_makes_no_region():
    """One applied dominant with its goal is no modulation (trade facts 8, common practice)."""
    c, g = (next(k for k in KEYS if k.name == n) for n in ("c major", "g major"))
    t = table(passage((c, "I IV V I"), (g, "V I"), (c, "IV V I IV V I")))
    regions = [f for f in find_keys(t, Settings()) if f.value["how"] == "region"]
    assert {f.value["key"] for f in regions} == {"c major"}


def test_evidence_is_bounded_and_lies_in_the_region():
    a, b = KEYS[5], KEYS[6]
    t = table(passage((a, "I IV V I " * 8), (b, "I IV V I " * 8)))
    bar_of = {t.ids[r["src"]]: int(r["bar"]) for r in t.notes}
    for f in find_keys(t, Settings()):
        ids = [i for e in f.evidence for i in e.ids]
        assert 0 < len(ids) <= 40
        # the dominant of an arrival may stand in the bar before
        assert all(f.first - 1 <= bar_of[i] <= f.last for i in ids)


def test_regions_tile_each_movement():
    c = KEYS[5]
    one = passage((c, "I V I"))
    two = {name: f"{text} || {text}" for name, text in one.items()}
    t = table(two)
    for movement in t.movements:
        regions = find(t, movement).regions
        assert regions[0].first == movement.first_bar
        assert regions[-1].last == movement.last_bar
        assert all(x.last + 1 == y.first for x, y in itertools.pairwise(regions))


def test_transposition_moves_the_keys_exactly():
    t = table(passage((KEYS[5], "I IV V I VI IV V I"), (KEYS[7], "V I IV V I IV V I IV V I I")))
    notes = t.notes.copy()
    notes["pitch"] += 1
    moved = replace(t, notes=notes)
    before = [(r.key.sound, r.first, r.last) for r in find(t, t.movements[0]).regions]
    after = [(r.key.sound, r.first, r.last) for r in find(moved, moved.movements[0]).regions]
    assert after == [(((p + 1) % 12, m), a, b) for (p, m), a, b in before]


def test_the_same_notes_in_more_parts_say_the_same():
    one = passage((KEYS[5], "I IV V I VI IV V I"))
    more = {**one, "Vla": one["Vl I"], "Fl": one["Vl I"]}
    a, b = (find(t, t.movements[0]).regions for t in (table(one), table(more)))
    assert [(r.key, r.first, r.last) for r in a] == [(r.key, r.first, r.last) for r in b]


@pytest.mark.parametrize("text", ["r | r", "x | x"], ids=["silence", "drums"])
def test_without_pitches_there_is_no_key(text):
    assert find_keys(table({"Timp": text}), Settings()) == []


def test_one_note_is_not_claimed_with_confidence():
    (found,) = find_keys(table({"Fl": "C5 w"}), Settings())
    assert found.confidence < 0.7


def test_bars_without_length_do_no_harm():
    t = table(passage((KEYS[5], "I IV V I")))
    empty = replace(t.bars[-1], index=4, start=t.bars[-1].end, length=0, beats=0)
    movement = replace(t.movements[0], last_bar=4)
    t = replace(t, bars=(*t.bars, empty), movements=(movement,))
    assert find_keys(t, Settings())[0].value["key"] == "c major"


def test_confidence_grows_with_posterior_and_length():
    bars = np.array([1.0, 4.0, 16.0, 64.0])
    values = np.array([confidence(np.full(4, p), bars) for p in (0.2, 0.6, 0.95)])
    assert np.all(np.diff(values, axis=0) >= 0)
    assert np.all(np.diff(values, axis=1) >= 0)
    assert values[0, 0] < 0.1
    assert 0.9 < values[2, 3] < 1
