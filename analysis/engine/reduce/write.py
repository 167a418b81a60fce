"""The chosen notes as MusicXML: staves, voices, ties over bars, rests; ids with their sources."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from lxml import etree

from analysis.engine.describe.page import Passage
from analysis.engine.formats.piece import (
    Change,
    Clef,
    Event,
    Frame,
    Group,
    Head,
    Part,
    PartBar,
    Piece,
)
from analysis.engine.formats.rhythm import beam_by_beats, bracket_tuplets
from analysis.engine.formats.write import musicxml
from analysis.engine.gate.notices import Notices
from analysis.engine.model import TICKS, Bar, ScoreTable
from analysis.engine.reduce.lengths import beat_of, split
from analysis.engine.reduce.pick import BASS, Picked
from analysis.engine.reduce.signs import BASS_CLEF, TREBLE, accidentals, clefs, signatures
from analysis.engine.reduce.voices import Chord


@dataclass(frozen=True, slots=True)
class Staff:
    """A staff of the short score: what it is, its printed name, its chords."""

    key: str  # of pick.STAVES
    name: str
    chords: Sequence[Chord]


@dataclass(frozen=True, slots=True)
class Written:
    """MusicXML with ids ``n{staff}-{bar}-{k}`` (bars from 0), and what each id was made from."""

    xml: bytes
    sources: dict[str, tuple[str, ...]]


def written(p: Passage, staves: Sequence[Staff]) -> Written:
    """Write the staves of a passage, all of them in all of its bars."""
    piece = Piece(frames=[_frame(p, index) for index in p.bars])
    keys = signatures(p)
    made_from: dict[int, list[tuple[str, ...]]] = {}
    for staff in staves:
        bars = _events(p, staff.chords, made_from)
        part = Part(staff.name)
        accidentals(bars, keys)
        usual = BASS_CLEF if staff.key == BASS else TREBLE
        signs = clefs(_begun(p, staff.chords), usual)
        for n, events in enumerate(bars):
            part.bars.append(PartBar(events, [], _changes(p, n, keys, signs)))
        piece.parts.append(part)
    if len(piece.parts) > 1:
        piece.groups.append(Group(0, len(piece.parts) - 1, "bracket"))
    return _stamped(musicxml(piece, Notices()), piece, made_from)


def _frame(p: Passage, index: int) -> Frame:
    bar = p.table.bars[index]
    end = "light-heavy" if index == p.movement.last_bar else ""
    return Frame(bar.label, implicit=bar.implicit, right=end)


def _begun(p: Passage, chords: Sequence[Chord]) -> list[list[Chord]]:
    found: list[list[Chord]] = [[] for _ in p.bars]
    starts = np.array([p.table.bars[i].start for i in p.bars])
    for chord in chords:
        found[int(np.searchsorted(starts, chord.start, side="right")) - 1].append(chord)
    return found


def _changes(p: Passage, n: int, keys: Sequence[int], signs: Sequence[Clef]) -> list[Change]:
    bar = p.table.bars[p.first + n]
    before = p.table.bars[p.first + n - 1] if n else None
    change = Change()
    if before is None or (before.beats, before.beat_type) != (bar.beats, bar.beat_type):
        change.unmetered = not bar.beats
        change.time = (str(bar.beats), bar.beat_type) if bar.beats else None
    if not n or keys[n] != keys[n - 1]:
        change.fifths = keys[n]
    if not n or signs[n] != signs[n - 1]:
        change.clef = signs[n]
    return [change]


# --- notes and rests ----------------------------------------------------------------


def _events(
    p: Passage, chords: Sequence[Chord], made_from: dict[int, list[tuple[str, ...]]]
) -> list[list[Event]]:
    """Events bar by bar, each voice in order; `made_from` by identity of the event."""
    bars = [p.table.bars[i] for i in p.bars]
    found: list[list[Event]] = []
    for bar in bars:
        here = [c for c in chords if c.start < bar.end and c.end > bar.start]
        events: list[Event] = []
        for voice in (1, 2):
            own = sorted((c for c in here if c.voice == voice), key=lambda c: c.start)
            if voice == 1 or own:
                events += _voice(p.table, bar, voice, own, made_from)
        found.append(events)
    return found


def _voice(
    table: ScoreTable,
    bar: Bar,
    voice: int,
    chords: Sequence[Chord],
    made_from: dict[int, list[tuple[str, ...]]],
) -> list[Event]:
    beat, whole = beat_of(bar), _quarters(bar.length)
    if not chords and bar.length == bar.beats * bar.beat_ticks:  # a rest of a short bar is no whole
        return [Event(Fraction(0), whole, voice=voice, whole_bar=True)]
    events: list[Event] = []
    at = Fraction(0)
    for chord in chords:
        begin = _quarters(max(chord.start, bar.start) - bar.start)
        end = _quarters(min(chord.end, bar.end) - bar.start)
        if voice == 1:
            events += _rests(at, begin, beat, voice)
        pieces = [
            Event(v.onset, v.length, _heads(table, chord), voice, type=v.type, dots=v.dots,
                  tuplet=v.tuplet)
            for v in split(begin, end, beat)
        ]  # fmt: skip
        for n, event in enumerate(pieces):
            made_from[id(event)] = [_sources(table, note) for note in chord.notes]
            for head, note in zip(event.heads, chord.notes, strict=True):
                head.tie_stop = n > 0 or chord.start < bar.start or note.held
                head.tie_start = n < len(pieces) - 1 or chord.end > bar.end
        events += pieces
        at = end
    if voice == 1:
        events += _rests(at, whole, beat, voice)
    bracket_tuplets(events)
    beam_by_beats(events, max(beat, Fraction(1)))
    return events


def _rests(start: Fraction, end: Fraction, beat: Fraction, voice: int) -> list[Event]:
    return [
        Event(v.onset, v.length, voice=voice, type=v.type, dots=v.dots, tuplet=v.tuplet)
        for v in split(start, end, beat)
    ]


def _quarters(ticks: int) -> Fraction:
    return Fraction(ticks, TICKS)


def _heads(table: ScoreTable, chord: Chord) -> list[Head]:
    made = []
    for note in chord.notes:
        row = table.notes[note.row]
        alter = int(row["alter"]) + round(int(row["cents"]) / 50) / 2
        made.append(Head("CDEFGAB"[int(row["step"])], alter, int(row["octave"])))
    return made


def _sources(table: ScoreTable, note: Picked) -> tuple[str, ...]:
    """Ids of the printed notes behind a row, tied-on ones too."""
    tied = table.continuations[table.continuations[:, 0] == note.row, 1].tolist()
    return tuple(dict.fromkeys(table.ids[k] for k in [int(table.notes[note.row]["src"]), *tied]))


# --- ids -----------------------------------------------------------------------------


def _stamped(xml: bytes, piece: Piece, made_from: dict[int, list[tuple[str, ...]]]) -> Written:
    """Give every note element its id; the elements stand in the order of voices and events."""
    root = etree.fromstring(xml)
    sources: dict[str, tuple[str, ...]] = {}
    for s, (element, part) in enumerate(zip(root.findall("part"), piece.parts, strict=True)):
        for b, (measure, bar) in enumerate(zip(element, part.bars, strict=True)):
            voices: dict[int, list[Event]] = defaultdict(list)
            for event in bar.events:
                voices[event.voice].append(event)
            made: list[tuple[str, ...]] = []
            for voice in sorted(voices):
                for event in voices[voice]:
                    made += made_from.get(id(event), [()])
            for k, (note, ids) in enumerate(zip(measure.iterfind("note"), made, strict=True)):
                note.set("id", f"n{s}-{b}-{k}")
                if ids:
                    sources[f"n{s}-{b}-{k}"] = ids
    return Written(etree.tostring(root, encoding="utf-8", xml_declaration=True), sources)
