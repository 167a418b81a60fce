"""From the note table to what is played: strokes with onset, length, loudness, sound.

Everything is in ticks of the *performance*: printed order, or the order as
played with repeats. One channel a part (two where cellos and basses share a
staff), 15 to a port; channel 10 of each port is for drums.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np

from analysis.engine.errors import EngineError
from analysis.engine.model import (
    TICKS,
    Articulation,
    Bar,
    NoteFlag,
    ScoreTable,
    Technique,
)
from analysis.engine.sound.loudness import Loudness
from analysis.engine.sound.programs import base_program, drum_key, is_drum, muted, program_in
from analysis.engine.sound.signs import Signs
from analysis.engine.sound.tempo import Clock, TempoChange, tempo_changes

Order = Literal["printed", "played", "once"]
_ORDERS = ("printed", "played", "once")
DRUM_CHANNEL = 9
_PLAIN_CHANNELS = tuple(c for c in range(16) if c != DRUM_CHANNEL)
GRACE_SECONDS = 0.07
#: Sounding share of the written length (common practice; a player's breath between notes).
_LENGTH = ((int(Articulation.STACCATISSIMO), 0.35), (int(Articulation.STACCATO), 0.5))
#: Flags as plain numbers: a flag's own "and" costs ten times as much, and is asked of every note.
_WHOLE = int(Articulation.SLURRED | Articulation.TENUTO)
_GRACE = int(NoteFlag.GRACE)
_PIZZICATO = int(Technique.PIZZICATO)
_DETACHED = 0.92
_PLUCKED = 0.27  # so that a plucked note is at most .3 as long as a bowed one


@dataclass(frozen=True, slots=True)
class Voice:
    """What sounds on one channel: a part, or one of the lines that share a staff."""

    part: int
    line: int | None  # None: every line of the part
    port: int
    channel: int  # 0..15
    program: int
    drums: bool
    label: str

    @property
    def number(self) -> int:
        """Channel over all ports."""
        return 16 * self.port + self.channel


@dataclass(frozen=True, slots=True)
class Stroke:
    """One sounding note of the performance."""

    voice: int  # index into Performance.voices
    on: int  # ticks
    off: int
    pitch: int  # MIDI, or a drum key
    velocity: int
    program: int
    src: int  # index into ScoreTable.ids
    row: int  # index into ScoreTable.notes
    again: bool = False  # a further stroke of the note before: of its trill, tremolo, turn


@dataclass(frozen=True, slots=True)
class PlayedBar:
    """A bar as it comes in the performance."""

    index: int
    turn: int  # 1 = first pass
    start: int  # ticks
    end: int


@dataclass(frozen=True, slots=True)
class Performance:
    """All that is played, and when."""

    order: Order
    bars: tuple[PlayedBar, ...]
    voices: tuple[Voice, ...]
    strokes: tuple[Stroke, ...]  # by onset
    tempo: tuple[TempoChange, ...]  # ticks of the performance

    @property
    def clock(self) -> Clock:
        return Clock.of(self.tempo)


def perform(
    table: ScoreTable,
    *,
    order: Order = "printed",
    programs: Mapping[str, int] | None = None,
    within: tuple[int, int] | None = None,
    keep: Callable[[int], bool] | None = None,
) -> Performance:
    """Play a score by the table.

    Parameters
    ----------
    table : ScoreTable
    order : {"printed", "played", "once"}, default "printed"
        Every bar as it stands, with repeats as the bar map says, or once through: of endings the
        last alone.
    programs : mapping, optional
        Part id -> General MIDI program (0-based), the tutor's choice.
    within : (int, int), optional
        First and last bar index that sound; the others keep their time and are silent.
    keep : callable, optional
        Row of `table.notes` -> whether it sounds.

    Returns
    -------
    Performance
        Pitches sounding; cue notes are not played. Trills, turns, tremolos and broken chords as
        `ornaments` says; a fermata sounds as a plain note: playback is a help, not the text.

    Raises
    ------
    EngineError
        If `order` is none of the three.
    """
    if order not in _ORDERS:
        raise EngineError(f"order must be printed, played or once, got {order!r}")
    bars = _played_bars(table, order)
    voices = _voices(table, programs or {})
    tempo = _played_tempo(table, bars)
    strokes = sorted(
        _without_doubles(_strokes(table, bars, voices, Clock.of(tempo), within, keep)),
        key=lambda s: (s.on, s.voice, s.pitch),
    )
    return Performance(order, bars, voices, tuple(strokes), tempo)


def _played_bars(table: ScoreTable, order: Order) -> tuple[PlayedBar, ...]:
    steps = table.order if order == "played" else [(b.index, 1) for b in table.bars]
    if order == "once":
        steps = [step for step in steps if not another_ending_follows(table.bars, step[0])]
    out: list[PlayedBar] = []
    now = 0
    for index, turn in steps:
        bar = table.bars[index]
        out.append(PlayedBar(index, turn, now, now + bar.length))
        now += bar.length
    return tuple(out)


def another_ending_follows(bars: Sequence[Bar], index: int) -> bool:
    """Whether a bar stands under an ending after which another one of the group comes."""
    own = _ending(bars[index])
    after = index
    while own and after < len(bars) and _ending(bars[after]) == own:
        after += 1
    later = _ending(bars[after]) if own and after < len(bars) else ()
    return bool(later) and bars[after].movement == bars[index].movement and min(later) > max(own)


def _ending(bar: Bar) -> tuple[int, ...]:
    return tuple(int(n) for n in re.findall(r"\d+", bar.ending))


def _voices(table: ScoreTable, programs: Mapping[str, int]) -> tuple[Voice, ...]:
    """Channels in score order; a staff shared by cellos and basses takes two."""
    out: list[Voice] = []
    plain = drums = 0
    for reading in table.first_readings:
        base = programs.get(reading.id, base_program(reading))
        shared = reading.instrument == "cello-and-bass"
        lines = [x for x in table.lines if x.part == reading.index]
        for line in lines if shared and len(lines) > 1 else [None]:
            drum = is_drum(reading)
            place = drums if drum else plain
            port, channel = (
                (place, DRUM_CHANNEL) if drum else (place // 15, _PLAIN_CHANNELS[place % 15])
            )
            drums, plain = drums + drum, plain + (not drum)
            out.append(
                Voice(
                    reading.index,
                    line.index if line else None,
                    port,
                    channel,
                    base,
                    drum,
                    line.name if line else reading.label,
                )
            )
    return tuple(out)


def _played_tempo(table: ScoreTable, bars: tuple[PlayedBar, ...]) -> tuple[TempoChange, ...]:
    changes = tempo_changes(table)
    printed = Clock.of(changes)
    out: list[TempoChange] = []
    for played in bars:
        bar = table.bars[played.index]
        here = [c for c in changes if bar.start < c.tick < bar.end]
        wanted = [TempoChange(played.start, printed.quarters_at(bar.start))]
        wanted += [TempoChange(played.start + c.tick - bar.start, c.quarters) for c in here]
        for change in wanted:
            if not out or out[-1].quarters != change.quarters:
                out.append(change)
    return tuple(out) or (TempoChange(0, 92.0),)


def _strokes(
    table: ScoreTable,
    bars: tuple[PlayedBar, ...],
    voices: tuple[Voice, ...],
    clock: Clock,
    within: tuple[int, int] | None,
    keep: Callable[[int], bool] | None,
) -> Iterator[Stroke]:
    rows = _rows_by_bar(table)
    loud = Loudness(table)
    signs = Signs(table, clock)
    voice_of = {(v.part, v.line): i for i, v in enumerate(voices)}
    for place, played in enumerate(bars):
        if within and not within[0] <= played.index <= within[1]:
            continue
        bar = table.bars[played.index]
        follows = place + 1 == len(bars) or bars[place + 1].index == played.index + 1
        for row in rows.get(played.index, ()):
            if keep and not keep(row):
                continue
            note = table.notes[row]
            part = int(note["part"])
            key = (part, int(note["line"]))
            voice = voice_of.get(key, voice_of.get((part, None)))
            if voice is None:
                continue
            reading = table.reading_at(part, played.index)
            pitch = drum_key(reading) if voices[voice].drums else int(note["pitch"])
            if not 0 <= pitch <= 127:
                continue
            on = played.start + int(note["onset"]) - bar.start
            technique = int(note["technique"])
            plain = Stroke(
                voice,
                *_span(note, on, clock),
                pitch,
                max(round(loud.velocity(note) * muted(reading, technique)), 1),
                program_in(reading, voices[voice].program, technique, signs.blurred(note, on)),
                int(note["src"]),
                row,
            )
            rolls = voices[voice].drums or reading.instrument == "timpani"
            for stroke in signs.played(plain, note, rolls=rolls):
                if follows:
                    yield stroke
                elif stroke.on < played.end:
                    # a jump: what is tied over it stops at the double bar
                    yield replace(stroke, off=max(min(stroke.off, played.end), stroke.on + 1))


def _rows_by_bar(table: ScoreTable) -> dict[int, list[int]]:
    out: dict[int, list[int]] = defaultdict(list)
    for row in np.flatnonzero((table.notes["flags"] & NoteFlag.CUE) == 0):
        out[int(table.notes["bar"][row])].append(int(row))
    return out


def _span(note: Any, on: int, clock: Clock) -> tuple[int, int]:
    """On and off of a note in ticks; graces are played just before the beat."""
    if int(note["flags"]) & _GRACE:
        each = max(int(GRACE_SECONDS * clock.quarters_at(on) / 60 * TICKS), 1)
        before = -int(note["order"]) or 1
        start = max(on - before * each, 0)
        return start, max(start + each, start + 1)
    duration = int(note["duration"])
    articulation = int(note["articulation"])
    share = next((x for bit, x in _LENGTH if articulation & bit), None)
    if share is None:
        share = 1.0 if articulation & _WHOLE else _DETACHED
    if int(note["technique"]) & _PIZZICATO:
        share = min(share, _PLUCKED)
    return on, on + max(int(duration * share), 1)


def _without_doubles(strokes: Iterator[Stroke]) -> list[Stroke]:
    """One stroke a channel, pitch and onset; an older one ends where a new one begins.

    Two players in unison on one staff are one sound, and a note that is
    struck again must be let go before.
    """
    by_key: dict[tuple[int, int], list[Stroke]] = defaultdict(list)
    for stroke in strokes:
        by_key[stroke.voice, stroke.pitch].append(stroke)
    out: list[Stroke] = []
    for group in by_key.values():
        group.sort(key=lambda s: (s.on, -s.off))
        kept: list[Stroke] = []
        for stroke in group:
            if kept and kept[-1].on == stroke.on:
                continue
            if kept and kept[-1].off > stroke.on:
                kept[-1] = _until(kept[-1], stroke.on)
            kept.append(stroke)
        out += kept
    return out


def _until(stroke: Stroke, off: int) -> Stroke:
    return replace(stroke, off=max(off, stroke.on + 1))
