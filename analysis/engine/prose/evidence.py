"""Which kind a sentence is of, by weighing everything it says instead of one turn of phrase.

What counts are the concepts of its words, how many parts, places and distances are named, and what
stands between two names; not the order of the words, and no word that is in no concept. The weights
are those of a softmax over the kinds (`kind_weights.json`), fitted to the lists of sentences
by `python -m tests.sentences --train`; how well they do on lists they were not fitted to is
told there as well.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path

from analysis.engine.prose.concepts import CONCEPTS, spans
from analysis.engine.prose.sentence import Sentence

#: Feature -> weight for each kind, in the order of `kinds`.
Weights = Mapping[str, Sequence[float]]
Trained = tuple[Sequence[str], Weights]
_FILE = Path(__file__).with_name("kind_weights.json")


def features(s: Sentence) -> frozenset[str]:
    """What of a sentence counts for its kind."""
    found = {"always"}
    gaps = [m.span(1) for m in re.finditer(r"<\d+>([^<]*)(?=<\d+>)", s.short)]
    for name in CONCEPTS:
        at = spans(name, s.short)
        if not at:
            continue
        found.add(name)
        if len(at) > 1:
            found.add(f"{name} twice")
        if any(a <= start and end <= b for start, end in at for a, b in gaps):
            found.add(f"{name} between")
    groups = [s.groups[int(t)] for t in re.findall(r"<(\d+)>", s.short)]
    found.add(f"{min(len(groups), 3)} names")
    if len(groups) == 1 and len(s.sides(str(s.groups.index(groups[0])))) > 1:
        found.add("one name for several")
    for way, n in re.findall(r"\[(\w+):(\d)\]", s.short):
        found |= {"distance", f"distance {way}"} | ({"unison"} if n == "0" else set())
    if any(re.search(r"\[\w+:\d\]", s.short[a:b]) for a, b in gaps):
        found.add("distance between")
    found.add(f"{min(len(s.places), 3)} places")
    if s.negated:
        found.add("denied")
    return frozenset(found)


@cache
def shipped() -> tuple[tuple[str, ...], Weights]:
    """Kinds and weights as trained on all lists."""
    held = json.loads(_FILE.read_text("utf-8"))
    return tuple(held["kinds"]), held["weights"]


def ranked(s: Sentence, trained: Trained | None = None) -> list[tuple[float, str]]:
    """(probability, kind), the likeliest first."""
    kinds, weights = trained or shipped()
    sums = [0.0] * len(kinds)
    for name in features(s):
        for i, weight in enumerate(weights.get(name, ())):
            sums[i] += weight
    top = max(sums)
    odds = [math.exp(x - top) for x in sums]
    whole = sum(odds)
    return sorted(((x / whole, kind) for x, kind in zip(odds, kinds, strict=True)), reverse=True)
