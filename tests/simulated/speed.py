"""Time of 1,000 claims about one stored movement, against music21's parse of its file.

Both in this process, one after the other, in seconds of the processor. The table is as it was
loaded (no view built yet), the findings are there; every answer is put into words.
"""

from __future__ import annotations

import random
import time
import warnings
from collections import defaultdict
from dataclasses import replace
from typing import Any

from analysis.engine import claims, places
from analysis.engine.analyses import analyse
from tests.simulated import pieces
from tests.simulated.asking import confirmed_table
from tests.simulated.drawing import draw

#: 513 bars of 21 parts
MOVEMENT = "Brahms_Op.68_1"
CLAIMS, OF_FINDINGS = 1000, 300
LIMIT = 1.0
SHARES = {"playing": 120, "doubling": 180, "parallel": 80, "crossing": 80, "range": 80,
          "marking": 80, "layout": 40, "open-tones": 40}  # fmt: skip


def measure() -> int:
    opened = pieces.corpus_pieces().get(MOVEMENT)
    if opened is None:
        print(f"{MOVEMENT} is not in {pieces.corpora()}; set CORPORA.")
        return 2
    music = opened()
    cases = draw(music, 1, {k: round(n * 1.1) for k, n in SHARES.items()}).cases
    table = confirmed_table(music.path)
    findings = analyse(table)
    raws = [dict(c.claim) for c in cases][: CLAIMS - OF_FINDINGS]
    raws += _of_findings(table, findings, CLAIMS - len(raws))
    random.Random(1).shuffle(raws)

    fresh = replace(table)  # the same notes, none of the views built on the way
    by_kind: dict[str, list[float]] = defaultdict(list)
    started = time.process_time()
    scene = claims.make_scene(fresh, findings)
    for raw in raws:
        before = time.process_time()
        answer = claims.answer_in(scene, raw)
        answer.as_dict()
        answer.sentences()
        by_kind[str(raw["kind"])].append(time.process_time() - before)
    ours = time.process_time() - started

    theirs = _music21(music.path)
    ratio = ours / theirs
    print(f"{MOVEMENT}: {len(table.bars)} bars, {len(table.parts)} parts, {len(table.notes)} notes")
    print(f"{len(raws)} claims {ours:.2f} s, music21 {theirs:.2f} s: {ratio:.2f} (limit {LIMIT})")
    for kind, times in sorted(by_kind.items(), key=lambda item: -sum(item[1])):
        mean, most = 1000 * sum(times) / len(times), 1000 * max(times)
        print(f"  {kind:<14}{len(times):>5} claims {sum(times):>7.2f} s, {mean:>6.1f} ms each, "
              f"at most {most:.0f}")  # fmt: skip
    return int(ratio > LIMIT)


def _of_findings(table: Any, findings: Any, count: int) -> list[dict[str, Any]]:
    """Claims of the kinds that the class does not draw: findings, half of them a bar or two off."""
    rng = random.Random(1)
    by_kind: dict[str, list[Any]] = defaultdict(list)
    for finding in findings:
        if finding.kind in claims.KINDS and finding.kind not in SHARES:
            by_kind[finding.kind].append(finding)
    made: list[dict[str, Any]] = []
    while len(made) < count and by_kind:
        finding = rng.choice(by_kind[rng.choice(sorted(by_kind))])
        by = rng.choice((0, 0, 1, -2))
        last = min(max(finding.last + by, 0), len(table.bars) - 1)
        first = min(max(finding.first + by, 0), last)
        place = places.place_of(table, first, last)
        made.append({**finding.value, "id": len(made), "movement": 1, "bars": place})
    return made


def _music21(path: Any) -> float:
    from music21 import converter

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        started = time.process_time()
        converter.parse(path, forceSource=True, storePickle=False)
        return time.process_time() - started
