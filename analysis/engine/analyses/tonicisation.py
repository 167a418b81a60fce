"""Tonicisation: keys touched by their dominants inside another key.

A dominant of another degree than the tonic (its third foreign to the key, or a seventh chord that
is not the key's own) that resolves to the chord it belongs to, up a fourth, or up a semitone from
a diminished chord. One such chord is an everyday matter: told are those that take two bars, are
repeated, or follow one another in a chain. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from analysis.engine.analyses.chord_members import pitched
from analysis.engine.analyses.harmony import Harmony, harmony
from analysis.engine.analyses.harmony_names import Chord
from analysis.engine.analyses.key_route import Stretch, stretches_of
from analysis.engine.analyses.speech import bar_at, finding, number, span
from analysis.engine.model import Evidence, Finding, ScoreTable
from analysis.engine.pitch import Key, Mode, parse_note_name
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "tonicisation.one": "{place}: {keys} is touched within {home}: {dominant} resolves to it.",
        "tonicisation.again": (
            "{place}: {keys} is touched within {home}: {dominant} resolves to it {times}."
        ),
        "tonicisation.chain": (
            "{place}: {keys} are touched in turn within {home}, each by its own dominant."
        ),
    }
)

SCALES = {"major": (0, 2, 4, 5, 7, 9, 11), "minor": (0, 2, 3, 5, 7, 8, 10)}
DIMINISHED = ("diminished", "diminished seventh", "half-diminished seventh")
#: a single resolution is told from so many bars on
LONG_BARS = 2.0
#: most bars between two resolutions that are one passage
GAP_BARS = 1
#: told of one movement, the longest first
MOST = 10
#: resolutions are judged by chords that are themselves judged
CEILING = 0.8


@dataclass(frozen=True, slots=True)
class Touch:
    """A dominant and the chord it resolves to."""

    key: Key
    dominant: Chord
    target: Chord


def find_tonicisations(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "key-route" over a few bars: the keys touched there, in order."""
    found = []
    known = harmony(table)
    for movement in table.movements:
        passages: list[tuple[list[Touch], Stretch]] = []
        for stretch in stretches_of(table, settings)[movement.index]:
            touched = _touches(table, known, stretch)
            passages += [(p, stretch) for p in _passages(table, touched) if _worth(table, p)]
        passages.sort(key=lambda p: p[0][0].dominant.start - p[0][-1].target.end)
        found += [_finding(table, known, p, home) for p, home in passages[:MOST]]
    return sorted(found, key=lambda f: f.start)


def _touches(table: ScoreTable, known: Harmony, stretch: Stretch) -> list[Touch]:
    start, end = table.bars[stretch.first].start, table.bars[stretch.last].end
    found = []
    for one, other in pairwise(known.between(start, end)):
        if one.end == other.start and one.start >= start and other.start < end:
            mode = _touched(stretch.key, one, other)
            name = parse_note_name(known.spelling.root(other)) if mode else None
            if mode and name:
                found.append(Touch(Key(name.step, name.alter, mode), one, other))
    return found


def _touched(home: Key, dominant: Chord, target: Chord) -> Mode | None:
    """Mode of the key touched; None if this is no resolution to another degree."""
    if target.quality not in ("major", "minor") or target.root == home.tonic:
        return None
    scale = {(home.tonic + s) % 12 for s in SCALES[home.mode]}
    own = scale | {(home.tonic + 11) % 12} if home.mode == "minor" else scale
    third = (target.root + target.tones[1]) % 12
    if target.root not in scale or third not in own:
        return None  # a chord of another key is no degree of this one
    up = (target.root - dominant.root) % 12
    leading = (target.root + 11) % 12
    if dominant.dominant and up == 5:
        new = leading not in own
        new |= dominant.quality == "dominant seventh" and (dominant.root + 10) % 12 not in own
    elif dominant.quality in DIMINISHED and (leading - dominant.root) % 3 == 0:
        new = leading not in own and leading in dominant.present
    else:
        return None
    # the fifth degree with its own third is the plain dominant of minor
    if home.mode == "minor" and target.root == (home.tonic + 7) % 12 and not new:
        return None
    return ("major" if target.quality == "major" else "minor") if new else None


def _passages(table: ScoreTable, touches: Sequence[Touch]) -> list[list[Touch]]:
    """Resolutions in a row with at most `GAP_BARS` bars between them."""
    groups: list[list[Touch]] = []
    for touch in touches:
        gap = bar_at(table, touch.dominant.start) - (
            bar_at(table, groups[-1][-1].target.end - 1) if groups else 0
        )
        if groups and gap <= GAP_BARS:
            groups[-1].append(touch)
        else:
            groups.append([touch])
    return groups


def _worth(table: ScoreTable, passage: Sequence[Touch]) -> bool:
    bar = table.bars[bar_at(table, passage[0].dominant.start)]
    long = passage[-1].target.end - passage[0].dominant.start >= LONG_BARS * bar.length
    return long or len(passage) > 2


def _finding(table: ScoreTable, known: Harmony, passage: Sequence[Touch], home: Stretch) -> Finding:
    start, end = passage[0].dominant.start, passage[-1].target.end
    end = min(end, table.bars[home.last].end)
    touched = [t.key for k, t in enumerate(passage) if not k or t.key != passage[k - 1].key]
    chain = len({k.sound for k in touched}) > 1
    words = list(dict.fromkeys(k.words for k in touched))
    template = "chain" if chain else "again" if len(passage) > 1 else "one"
    sure = [min(t.dominant.confidence, t.target.confidence) for t in passage]
    return finding(
        table,
        {
            "kind": "key-route",
            "parts": [],
            "keys": [k.name for k in touched][:100],
            "touched": True,
        },
        start=start,
        end=end,
        lines=(),
        evidence=[Evidence(ids=_proof(table, passage))],
        template=f"tonicisation.{template}",
        params={
            "place": span(table, start, end),
            "keys": " and ".join([", ".join(words[:-1]), words[-1]] if words[1:] else words),
            "home": home.key.words,
            "dominant": known.spelling.words(passage[0].dominant),
            "times": "twice" if len(passage) == 2 else f"{number(len(passage))} times",
        },
        confidence=min(CEILING, home.confidence, float(np.mean(sure))),
    )


def _proof(table: ScoreTable, passage: Sequence[Touch]) -> tuple[str, ...]:
    """Leading notes and basses of the dominants, and the basses they resolve to."""
    rows, onset, end = pitched(table)
    ids: list[str] = []
    for touch in passage[:6]:
        for chord, leading in ((touch.dominant, True), (touch.target, False)):
            upto = int(np.searchsorted(onset, chord.end))
            here = rows[:upto][end[:upto] > chord.start]
            wanted = here["pitch"] == chord.bass
            if leading:
                wanted |= here["pitch"] % 12 == (touch.target.root + 11) % 12
            ids += table.note_ids(here[wanted])[:6]
    return tuple(dict.fromkeys(ids))
