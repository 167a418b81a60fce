"""Parallels, shares and comparisons on real scores, against note tables that are not ours.

Outside: `orcheval` of the open corpora (its own MusicXML reader's note tables). Scores: OpenScore
Orchestra and Hauptstimme (Gotham et al., CC0).
"""

from __future__ import annotations

import random
from collections import Counter
from itertools import combinations

import numpy as np
import pytest

from .test_real_scores import SCORES, ask, certain, orcheval, part_id, reference

__all__ = ["orcheval"]  # the fixture

pytestmark = [pytest.mark.corpora, pytest.mark.slow]

#: semitones of minor and major thirds and tenths
THIRDS, TENTHS = (3, 4), (15, 16)


def sounds(ref):
    """Who sounds in which bar, shape (parts, bars)."""
    found = np.zeros((len(ref.parts), len(ref.bars)), dtype=bool)
    for part, onset, dur in zip(ref.part, ref.onset, ref.dur, strict=True):
        inside = (ref.bars[:, 0] < onset + dur - 1e-3) & (ref.bars.sum(axis=1) > onset + 1e-3)
        found[part] |= inside
    return found


def attacks(ref, part, first, last):
    """{onset: pitch} of a part in bars first..last; None where it attacks chords."""
    start, end = ref.bars[first, 0], ref.bars[last].sum()
    mine = (ref.part == part) & (ref.onset >= start - 1e-3) & (ref.onset < end - 1e-3)
    onsets = np.round(ref.onset[mine] * 48).astype(int)
    if len(set(onsets.tolist())) < len(onsets):
        return None
    return dict(zip(onsets.tolist(), ref.pitch[mine].tolist(), strict=True))


@pytest.mark.parametrize("id_", SCORES)
def test_thirds(orcheval, id_):
    """A third apart at all attacks: never "conflicts". At none: never "agrees"."""
    ref = reference(orcheval, id_)
    parts = [p for p in range(len(ref.parts)) if certain(id_, p)]
    flags: Counter = Counter()
    for a, b in combinations(parts, 2):
        for first in range(0, len(ref.bars) - 3, 3):
            one, two = (attacks(ref, p, first, first + 2) for p in (a, b))
            if not one or not two or min(len(set(one.values())), len(set(two.values()))) < 4:
                continue
            gaps = [abs(one[t] - two[t]) for t in one.keys() & two.keys()]
            every = len(gaps) == len(one) == len(two) >= 6 and all(g in THIRDS for g in gaps)
            none = not any(g % 12 in (3, 4, 8, 9) for g in gaps)
            if not every and not none:
                continue
            flag = ask(id_, "parallel", first, first + 2, parts=[part_id(id_, a)],
                       **{"with": [part_id(id_, b)]}, interval="third").flag  # fmt: skip
            flags["yes" if every else "no", flag] += 1
    assert flags["yes", "conflicts"] == flags["no", "agrees"] == 0
    assert sum(n for (so, _), n in flags.items() if so == "no") > 100
    true = sum(n for (so, _), n in flags.items() if so == "yes")
    assert flags["yes", "agrees"] >= 0.95 * true


@pytest.mark.parametrize("id_", SCORES)
def test_who_is_added_and_who_predominates(orcheval, id_):
    ref, rng = reference(orcheval, id_), random.Random(id_)
    plays = sounds(ref)
    parts = [p for p in range(len(ref.parts)) if certain(id_, p)]
    flags: Counter = Counter()
    for _ in range(300):
        part = rng.choice(parts)
        one, two = (rng.randrange(plays.shape[1] - 4) for _ in range(2))
        before, after = plays[part, one : one + 4], plays[part, two : two + 4]
        so = "new" if after.any() and not before.any() else "both" if before.all() else "other"
        bars2 = [*map(str, (two + 1, two + 4))]
        if ref.barnames[two : two + 4] != [str(n) for n in range(two + 1, two + 5)]:
            continue
        flag = ask(id_, "comparison", one, one + 3, bars2=bars2, added=[part_id(id_, part)]).flag
        flags[so, flag] += 1
        count = plays[:, one : one + 4].sum(axis=1)
        others = np.delete(count, part)
        flag = ask(id_, "share", one, one + 3, of="bars", predominant=part_id(id_, part)).flag
        lead = "leads" if count[part] > others.max() else (
            "behind" if count[part] < 0.9 * others.max() else "level")  # fmt: skip
        flags[lead, flag] += 1
    assert flags["new", "conflicts"] == flags["both", "agrees"] == 0
    assert flags["new", "agrees"] + flags["new", "partly"] > 0
    assert flags["leads", "conflicts"] == flags["behind", "agrees"] == flags["level", "agrees"] == 0
    assert flags["behind", "conflicts"] > 20
