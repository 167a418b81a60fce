"""A performance as a Standard MIDI File, format 1.

One track a channel; ports are named by the MIDI port meta event (0x21), so a
score of more than 15 parts keeps one channel a part. Source: Standard MIDI
Files 1.0.
"""

from __future__ import annotations

import struct
from collections import defaultdict

from analysis.engine.instruments import INSTRUMENTS, parse_label
from analysis.engine.model import TICKS, ScoreTable
from analysis.engine.sound.performance import Performance, Stroke, Voice

_VOLUME, _PAN = 7, 10
#: Head room: a tutti of twenty channels must not clip.
_CHANNEL_VOLUME = 84
#: Seats, left 0 .. right 127, as an audience sees a classical orchestra (common practice).
_SEATS = {
    "violin": 40, "viola": 80, "cello": 88, "double-bass": 98, "cello-and-bass": 92,
    "flute": 56, "piccolo": 52, "oboe": 72, "clarinet": 56, "bassoon": 72,
    "horn": 44, "trumpet": 80, "trombone": 84, "tuba": 90, "timpani": 50, "harp": 34,
}  # fmt: skip
_SECOND_VIOLINS = 52

Event = tuple[int, int, bytes]  # tick, rank among equals, bytes


def midi_file(performance: Performance, table: ScoreTable) -> bytes:
    """Write a performance.

    Parameters
    ----------
    performance : Performance
        From `perform`.
    table : ScoreTable
        For part names and instruments.

    Returns
    -------
    bytes
        10,080 ticks a quarter, as the table counts.
    """
    by_voice: dict[int, list[Stroke]] = defaultdict(list)
    for stroke in performance.strokes:
        by_voice[stroke.voice].append(stroke)
    tracks = [_conductor(performance, table)]
    heard = {performance.voices[index].port for index in by_voice}
    for index, voice in enumerate(performance.voices):
        tracks.append(_voice_track(voice, by_voice[index], table, marked=voice.port not in heard))
        heard.add(voice.port)
    head = b"MThd" + struct.pack(">IHHH", 6, 1, len(tracks), TICKS)
    return head + b"".join(b"MTrk" + struct.pack(">I", len(t)) + t for t in tracks)


def _conductor(performance: Performance, table: ScoreTable) -> bytes:
    events: list[Event] = [(0, 0, _text(0x03, table.title))]
    for change in performance.tempo:
        microseconds = min(round(60_000_000 / change.quarters), 0xFFFFFF)
        events.append((change.tick, 1, b"\xff\x51\x03" + microseconds.to_bytes(3, "big")))
    metre = (0, 0)
    for played in performance.bars:
        bar = table.bars[played.index]
        if bar.beats and (bar.beats, bar.beat_type) != metre and bar.beat_type.bit_count() == 1:
            metre = (bar.beats, bar.beat_type)
            power = bar.beat_type.bit_length() - 1
            data = bytes((min(bar.beats, 255), power, 24, 8))
            events.append((played.start, 2, b"\xff\x58\x04" + data))
    end = performance.bars[-1].end if performance.bars else 0
    return _track(events, end)


def _voice_track(
    voice: Voice, strokes: list[Stroke], table: ScoreTable, *, marked: bool = False
) -> bytes:
    """`marked`: with a note nobody can hear, for players count only the ports that have notes."""
    channel = voice.channel
    events: list[Event] = [
        (0, 0, _text(0x03, voice.label)),
        (0, 1, b"\xff\x21\x01" + bytes((voice.port,))),
        (0, 2, bytes((0xB0 | channel, _VOLUME, _CHANNEL_VOLUME))),
        (0, 2, bytes((0xB0 | channel, _PAN, seat(voice, table)))),
    ]
    program = -1
    if not strokes and not voice.drums:
        events.append((0, 3, bytes((0xC0 | channel, voice.program))))
    if marked:
        events += [(0, 6, bytes((0x90 | channel, 0, 1))), (1, 4, bytes((0x80 | channel, 0, 64)))]
    for stroke in strokes:
        if not voice.drums and stroke.program != program:
            program = stroke.program
            tick = stroke.on if len(events) > 4 else 0
            events.append((tick, 5, bytes((0xC0 | channel, program))))
        events.append((stroke.on, 6, bytes((0x90 | channel, stroke.pitch, stroke.velocity))))
        events.append((stroke.off, 4, bytes((0x80 | channel, stroke.pitch, 64))))
    return _track(events, max((s.off for s in strokes), default=0))


def seat(voice: Voice, table: ScoreTable) -> int:
    reading = table.first_readings[voice.part]
    if reading.instrument == "violin" and _is_second(reading.label):
        return _SECOND_VIOLINS
    if reading.instrument in _SEATS:
        return _SEATS[reading.instrument]
    record = INSTRUMENTS.get(reading.instrument)
    return 74 if record and record.family == "brass" else 64


def _is_second(label: str) -> bool:
    return parse_label(label).players.numbers[:1] == (2,)


def _track(events: list[Event], end: int) -> bytes:
    out = bytearray()
    now = 0
    for tick, _, data in sorted(events, key=lambda e: (e[0], e[1])):
        out += _variable(tick - now) + data
        now = tick
    out += _variable(max(end - now, 0)) + b"\xff\x2f\x00"
    return bytes(out)


def _text(kind: int, text: str) -> bytes:
    data = " ".join(text.split()).encode("utf-8")[:120]
    return b"\xff" + bytes((kind,)) + _variable(len(data)) + data


def _variable(value: int) -> bytes:
    """A variable-length quantity, seven bits a byte.

    >>> _variable(0x80).hex(), _variable(0x0FFFFFFF).hex()
    ('8100', 'ffffff7f')
    """
    out = [value & 0x7F]
    value >>= 7
    while value:
        out.append(0x80 | (value & 0x7F))
        value >>= 7
    return bytes(reversed(out))
