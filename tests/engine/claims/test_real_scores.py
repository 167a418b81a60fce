"""Claims on real scores against a reader and a definition of doubling that are not ours.

Outside: `orcheval` of the open corpora (its own MusicXML reader's note tables; `bar_doublings`).
Scores: OpenScore Orchestra and Hauptstimme (Gotham et al., CC0). The reference knows the file's
own <transpose> only, so ours is read the same way here.
"""

from __future__ import annotations

import random
import sys
from collections import Counter
from functools import cache

import numpy as np
import pytest

from analysis.engine import claims, gate, places
from analysis.engine.analyses import analyse
from analysis.engine.pitch import from_midi
from analysis.engine.reader import read

from ...corpora import require_corpora

pytestmark = [pytest.mark.corpora, pytest.mark.slow]
SCORES = ("Beethoven_Op.21_3", "Brahms_Op.90_2", "Bach_BWV.232_04")


@pytest.fixture(scope="module")
def orcheval():
    folder = require_corpora() / "eval"
    if str(folder) not in sys.path:
        sys.path.append(str(folder))
    from orcheval import doubling, notes

    return doubling, notes


@cache
def scene(id_):
    path = require_corpora() / "scores" / f"{id_}.mxl"
    canonical = gate.admit(path.read_bytes(), path.name).canonical
    table = read(canonical, trust_labels=False)
    return claims.make_scene(table, analyse(table))


def reference(orcheval, id_):
    folder = require_corpora() / "eval" / "data" / "hauptstimme"
    return orcheval[1].NoteTable.load(folder / f"{id_}.npz")


def ask(id_, kind, first, last, **fields):
    table = scene(id_).table
    claim = {"kind": kind, "bars": places.place_of(table, first, last), **fields}
    return claims.answer_in(scene(id_), claim)


def certain(id_, *parts):
    """Parts with one line and no doubt: what the reference and we call the same thing."""
    table = scene(id_).table
    single = Counter(line.part for line in table.lines)
    return all(single[p] == 1 and not table.first_readings[p].doubt for p in parts)


def part_id(id_, index):
    return scene(id_).table.first_readings[index].id


@pytest.mark.parametrize("id_", SCORES)
def test_who_plays(orcheval, id_):
    ref, rng = reference(orcheval, id_), random.Random(id_)
    bars = len(ref.bars)
    sounds = np.zeros((len(ref.parts), bars), dtype=bool)
    for part, onset, dur in zip(ref.part, ref.onset, ref.dur, strict=True):
        inside = (ref.bars[:, 0] < onset + dur - 1e-3) & (ref.bars.sum(axis=1) > onset + 1e-3)
        sounds[part] |= inside
    flags = Counter()
    for _ in range(400):
        part, first = rng.randrange(len(ref.parts)), rng.randrange(bars - 4)
        last = first + rng.randrange(4)
        if not certain(id_, part):
            continue
        mode = rng.choice(["play", "rest"])
        true = sounds[part, first : last + 1] == (mode == "play")
        flag = ask(id_, "playing", first, last, parts=[part_id(id_, part)], mode=mode).flag
        flags["all" if true.all() else "none" if not true.any() else "some", flag] += 1
    assert {flag for (so, flag) in flags if so == "all"} == {"agrees"}
    assert ("none", "agrees") not in flags
    assert ("some", "agrees") not in flags


@pytest.mark.parametrize("id_", SCORES)
def test_doublings(orcheval, id_):
    yes, no = orcheval[0].bar_doublings(reference(orcheval, id_))
    flags: Counter = Counter()
    pairs = sorted({(a, b) for _, a, b in yes})
    for a, b in pairs:
        if not certain(id_, a, b):
            continue
        bars = sorted(k for k, x, y in yes if (x, y) == (a, b))
        for bar in bars[:: max(1, len(bars) // 12)]:
            last = bar
            while yes.get((last + 1, a, b)) == yes[bar, a, b]:
                last += 1
            got = ask(
                id_, "doubling", bar, last, parts=[part_id(id_, a)], **{"with": [part_id(id_, b)]},
                octaves=yes[bar, a, b], direction=False,
            )  # fmt: skip
            flags["yes", got.flag] += 1
    rng = random.Random(id_)
    for bar, a, b in rng.sample(sorted(no), min(600, len(no))):
        if not certain(id_, a, b) or not all((k, a, b) in no for k in range(bar, bar + 3)):
            continue
        got = ask(
            id_, "doubling", bar, bar + 2, parts=[part_id(id_, a)], **{"with": [part_id(id_, b)]}
        )
        flags["no", got.flag] += 1
    true = sum(n for (so, _), n in flags.items() if so == "yes")
    assert true > 20
    assert flags["yes", "agrees"] >= 0.97 * true
    assert flags["yes", "conflicts"] == 0
    assert flags["no", "agrees"] == 0


@pytest.mark.parametrize("id_", SCORES)
def test_extremes(orcheval, id_):
    ref = reference(orcheval, id_)
    table = scene(id_).table
    for part in range(len(ref.parts)):
        mine = (ref.part == part) & (ref.pitch >= 0)
        if not certain(id_, part) or not mine.any():
            continue
        for extreme, best in (
            ("highest", ref.pitch[mine].max()),
            ("lowest", ref.pitch[mine].min()),
        ):
            first = ref.onset[mine & (ref.pitch == best)].min()
            bar = int(np.searchsorted(ref.bars[:, 0], first + 1e-6, side="right")) - 1
            name = from_midi(int(best)).name
            got = ask(id_, "range", bar, bar, parts=[part_id(id_, part)], extreme=extreme,
                      pitch=name, within="movement")  # fmt: skip
            assert got.flag == "agrees", (table.title, part, extreme, name, got.as_dict())
            off = from_midi(int(best) + (1 if extreme == "lowest" else -1)).name
            got = ask(id_, "range", bar, bar, parts=[part_id(id_, part)], extreme=extreme,
                      pitch=off, within="movement")  # fmt: skip
            assert got.flag == "conflicts"
