"""Kettledrums: what they are tuned to, which keys of the route they can serve, foreign strokes.

A drum serves a key fully if the pair has its tonic and its dominant (the normal tuning; Grove,
Dictionary of Music and Musicians, vol. 1, 1879, "Drum"), in part if it has one of them. A stroke
under a chord that does not hold its note is told where the chord is sure and lasts for a beat:
the drum keeps the note it has.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analysis.engine.analyses.attacks import memo
from analysis.engine.analyses.harmony import harmony
from analysis.engine.analyses.harmony_names import Chord
from analysis.engine.analyses.key_route import Stretch, route, stretches_of
from analysis.engine.analyses.speech import finding, names, part_value, place, span
from analysis.engine.instruments.timpani import on_a_pair
from analysis.engine.model import Evidence, Finding, Movement, NoteArray, ScoreTable
from analysis.engine.pitch import Key, Pitch, spelled
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "drums.pair": "{place}: {parts} is tuned to {pitches}{relation}.{serves}{not_serves}",
        "drums.more": (
            "{place}: {parts} plays {pitches}: more than a pair, or tuned anew{relation}."
            "{serves}{not_serves}"
        ),
        "drums.one": (
            "{place}: {parts} uses one drum only, {pitches}{relation}.{serves}{not_serves}"
        ),
        "drums.foreign": (
            "{place}: the {pitch} of {parts} is no note of the chord ({chord}): the drum keeps "
            "the note it has."
        ),
    }
)

#: foreign strokes told of one movement, by the length of the chord: common practice
FOREIGN = 4
#: share of the strokes up to which a drum's note is told with its place
RARE = 0.1
#: least confidence of a chord under which a stroke is called foreign
SURE = 0.75


@dataclass(frozen=True, slots=True)
class Drums:
    """The drums of one line over one movement: its rows and the pitches they play."""

    line: int
    movement: Movement
    rows: NoteArray

    @property
    def pitches(self) -> list[int]:
        return sorted({int(p) for p in self.rows["pitch"]})

    @property
    def classes(self) -> frozenset[int]:
        return frozenset(p % 12 for p in self.pitches)

    def names(self) -> list[str]:
        """The pitches from low to high, as they are spelled."""
        known = {
            int(r["pitch"]): Pitch(int(r["step"]), int(r["alter"]), int(r["octave"])).name
            for r in self.rows
        }
        return [known[p] for p in self.pitches]


def drums(table: ScoreTable) -> tuple[Drums, ...]:
    """The pitched drums of each movement in which they play."""
    return memo(table, "_drums", lambda: _drums(table))


def _drums(table: ScoreTable) -> tuple[Drums, ...]:
    found = []
    for line in table.lines:
        if line.instrument != "timpani":
            continue
        rows = table.by_line[line.index]
        for movement in table.movements:
            here = rows[(rows["bar"] >= movement.first_bar) & (rows["bar"] <= movement.last_bar)]
            if len(here):
                found.append(Drums(line.index, movement, here))
    return tuple(found)


def drum_pitches(table: ScoreTable, line: int, bar: int) -> frozenset[int]:
    """Sounding pitches (MIDI) of the drums a line has in the movement of `bar`; empty if none."""
    movement = table.bars[bar].movement
    for here in drums(table):
        if here.line == line and here.movement.index == movement:
            return frozenset(here.pitches)
    return frozenset()


def find_drums(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "open-tones" (tuning, keys served) and "chord" (foreign strokes)."""
    found = []
    for here in drums(table):
        found.append(_tuning(table, here, settings))
        found += _foreign(table, here)
    return found


def serves(classes: frozenset[int], key: Key) -> str:
    """ "both", "tonic", "dominant" or ""."""
    tonic, dominant = key.tonic in classes, (key.tonic + 7) % 12 in classes
    return "both" if tonic and dominant else "tonic" if tonic else "dominant" if dominant else ""


def _tuning(table: ScoreTable, here: Drums, settings: Settings) -> Finding:
    visited: dict[object, Stretch] = {}
    for stretch in route(stretches_of(table, settings)[here.movement.index]):
        visited.setdefault(stretch.key.sound, stretch)
    by: dict[str, list[str]] = {"both": [], "tonic": [], "dominant": [], "": []}
    for stretch in visited.values():
        by[serves(here.classes, stretch.key)].append(stretch.key.words)
    count = len(here.pitches)
    template = "pair" if count == 2 else "one" if count == 1 else "more"
    first, last = here.movement.first_bar, here.movement.last_bar
    proof = [here.rows[here.rows["pitch"] == p][:2] for p in here.pitches]
    return finding(
        table,
        {
            "kind": "open-tones",
            "parts": [part_value(table, here.line)],
            "pitches": here.names(),
        },
        start=table.bars[first].start,
        end=table.bars[last].end,
        lines=[here.line],
        evidence=[Evidence(ids=tuple(table.note_ids(np.concatenate(proof))))],
        template=f"drums.{template}",
        params={
            "place": place(table, first, last),
            "parts": names(table, [here.line]),
            "pitches": _said(here.names()),
            "relation": _relation(here, [s.key for s in visited.values()])
            if count <= 2
            else _rare(table, here),
            "serves": _serves(by),
            "not_serves": f" It has neither in {_said(by[''])}." if by[""] else "",
        },
    )


def _relation(here: Drums, keys: Sequence[Key]) -> str:
    """What the drums are in the first key they belong to; a wider pair than the classical one."""
    for key in keys:
        if serves(here.classes, key) == "both" and len(here.pitches) == 2:
            return f", tonic and dominant of {key.words}"
    if len(here.pitches) == 2 and len(here.classes) == 1:
        return ", an octave apart: not the custom of tonic and dominant"
    odd = [p for p in here.pitches if not on_a_pair(p)]
    return ", outside the compass of a classical pair (F2 to F3)" if odd else ""


def _rare(table: ScoreTable, here: Drums) -> str:
    """Where a note beyond the pair is struck, if that is seldom: "; F3 in b. 668 only"."""
    count = {p: int((here.rows["pitch"] == p).sum()) for p in here.pitches}
    seldom = [p for p in here.pitches if count[p] <= RARE * len(here.rows)]
    said = []
    for pitch, name in zip(here.pitches, here.names(), strict=True):
        bars = sorted(set(here.rows["bar"][here.rows["pitch"] == pitch].tolist()))
        if pitch in seldom and len(here.pitches) - len(seldom) >= 2 and bars:
            where = place(table, bars[0], bars[-1])
            said.append(f"{name} in {where} only")
    return f" ({', '.join(said)})" if said else ""


def _serves(by: dict[str, list[str]]) -> str:
    said = []
    if by["both"]:
        said.append(f"tonic and dominant are both there in {_said(by['both'])}")
    for word in ("tonic", "dominant"):
        if by[word]:
            said.append(f"only the {word} is there in {_said(by[word])}")
    if not said:
        return ""
    text = "; ".join(said)
    return f" Of the keys visited, {text}."


def _foreign(table: ScoreTable, here: Drums) -> list[Finding]:
    """Strokes under a sure chord that does not hold their note, one for each chord."""
    known = harmony(table)
    under: dict[int, list[int]] = {}
    for k, onset in enumerate(here.rows["onset"].tolist()):
        chord = known.at(onset)
        if chord is None or not chord.named or chord.confidence < SURE:
            continue
        if int(here.rows["pitch"][k]) % 12 in chord.classes:
            continue
        if chord.end - onset >= table.bars[int(here.rows["bar"][k])].beat_ticks:
            under.setdefault(chord.first, []).append(k)
    chords = {c.first: c for c in known.chords if c.first in under}
    told = sorted(under, key=lambda f: chords[f].start - chords[f].end)[:FOREIGN]
    return [_stroke(table, here, chords[f], here.rows[under[f]]) for f in sorted(told)]


def _stroke(table: ScoreTable, here: Drums, chord: Chord, rows: NoteArray) -> Finding:
    known = harmony(table)
    part = part_value(table, here.line)
    row = rows[0]
    start = int(row["onset"])
    end = min(chord.end, int((rows["onset"] + np.maximum(rows["duration"], 1)).max()))
    return finding(
        table,
        {
            "kind": "chord",
            "parts": [],
            "root": known.spelling.root(chord),
            "quality": chord.quality,
            "member": {part if isinstance(part, str) else table.lines[here.line].name: "foreign"},
        },
        start=start,
        end=max(end, start + 1),
        lines=[here.line],
        evidence=[Evidence(ids=tuple(table.note_ids(rows)))],
        template="drums.foreign",
        params={
            "place": span(table, start, max(end, start + 1)),
            "parts": names(table, [here.line]),
            "pitch": spelled(int(row["step"]), int(row["alter"])),
            "chord": known.spelling.words(chord),
        },
        confidence=chord.confidence,
    )


def _said(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " and " + words[-1]
