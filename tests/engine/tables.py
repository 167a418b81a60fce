"""Hand-made note tables from terse text, for tests of analyses and claims.

>>> t = table({"Fl": "C5 q D5 E5 F5 | G5 w", "Ob 1": "r w | C5+E5 h r", "Ob 2": "C4 w | r"})

One string a line, bars divided by ``|``, movements by ``||`` (labels restart).
Tokens, any spacing:

* a pitch ``C5``, ``Eb4``, ``F#3`` (SOUNDING; C4 = middle C); a chord ``C5+E5``; a rest ``r``;
  ``x`` an unpitched stroke;
* a length after it: w h q e s t (whole .. thirty-second), dots ``q.``, triplets ``e3``, or a
  number of quarters ``1.5``; it holds until the next length (quarters to begin with);
  a pitch without a length takes the last one;
* after a pitch: ``~`` tied to the next equal pitch, ``>`` accent, ``.`` staccato,
  ``!cue``, ``!trem``, ``!div``, ``!a2``; a grace note in brackets, ``(D5)``.

A bar that is not filled up is filled with a rest; a bar too full is a ValueError.
``r`` or nothing alone in a bar rests for the whole bar.

Names: "Vl II" and "Vl II div 2" are a section and the second line of its divisi (rests there mean
that it is not divided). "Ob 1" and "Ob 2" are two lines of the part "Ob"; "Vl I" and "Vl II" are
two parts.
The first word tells instrument and family (see `INSTRUMENTS`); "Cor in Eb 1" tells the crook.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

import numpy as np

from analysis.engine.model import (
    NOTE,
    TICKS,
    Articulation,
    Bar,
    Family,
    Line,
    Movement,
    NoteFlag,
    PartReading,
    ScoreTable,
)

#: first word of a name -> instrument, family, semitones from written to sounding
INSTRUMENTS: dict[str, tuple[str, Family, int]] = {
    "Picc": ("piccolo", "woodwind", 12),
    "Fl": ("flute", "woodwind", 0),
    "Ob": ("oboe", "woodwind", 0),
    "Cl": ("clarinet", "woodwind", -2),
    "Fg": ("bassoon", "woodwind", 0),
    "Cor": ("horn", "brass", -7),
    "Tr": ("trumpet", "brass", 0),
    "Trb": ("trombone", "brass", 0),
    "Timp": ("timpani", "percussion", 0),
    "Arp": ("harp", "plucked", 0),
    "Pf": ("piano", "keyboard", 0),
    "S": ("soprano", "voice", 0),
    "Vl": ("violin", "strings", 0),
    "Vla": ("viola", "strings", 0),
    "Vc": ("cello", "strings", 0),
    "Cb": ("double-bass", "strings", -12),
}
#: crook -> semitones; trade-facts 2.2 and 2.3
HORN = {
    "C alto": 0, "Bb alto": -2, "A": -3, "Ab": -4, "G": -5, "F": -7, "E": -8, "Eb": -9, "D": -10,
    "C": -12, "C basso": -12, "Bb basso": -14,
}  # fmt: skip
TRUMPET = {"Bb": -2, "C": 0, "D": 2, "Eb": 3, "E": 4, "F": 5, "G": 7}

STEPS = "CDEFGAB"
SEMITONES = (0, 2, 4, 5, 7, 9, 11)
LENGTHS = {"w": 4, "h": 2, "q": 1, "e": Fraction(1, 2), "s": Fraction(1, 4), "t": Fraction(1, 8)}
FLAGS = {
    "cue": NoteFlag.CUE, "trem": NoteFlag.TREMOLO, "div": NoteFlag.DIVISI, "a2": NoteFlag.A2,
}  # fmt: skip

_PITCH = re.compile(r"([A-G])(b{1,2}|#{1,2})?(-?\d)")
_ARTICULATIONS = {".": int(Articulation.STACCATO), ">": int(Articulation.ACCENT)}
_NOTE = re.compile(r"^(?P<pitches>\(?[A-G][^~>.!]*|r|x)(?P<signs>[~>.]*)(?P<flags>(?:!\w+)*)$")
_LENGTH = re.compile(r"^(?:([whqest])(\.*)(3?)|(\d+(?:\.\d+)?))$")


@dataclass
class _Sound:
    onset: int
    duration: int
    pitches: list[tuple[int, int, int]]  # step, alter, octave; empty: rest
    unpitched: bool = False
    grace: bool = False
    tied: bool = False
    flags: int = 0
    articulation: int = 0


@dataclass
class _Builder:
    rows: list[tuple[int, ...]] = field(default_factory=list)
    ids: list[str] = field(default_factory=list)
    continuations: list[tuple[int, int]] = field(default_factory=list)
    counts: dict[tuple[int, int], int] = field(default_factory=dict)

    def new_id(self, part: int, bar: int) -> int:
        k = self.counts[part, bar] = self.counts.get((part, bar), -1) + 1
        self.ids.append(f"n{part}-{bar}-{k}")
        return len(self.ids) - 1


def midi(text: str) -> int:
    """MIDI number of a pitch as the tables write it: ``midi("Eb4") == 63``."""
    step, alter, octave = _pitch(text)
    return 12 * (octave + 1) + SEMITONES[step] + alter


def table(
    lines: Mapping[str, str],
    *,
    time: str = "4/4",
    pickup: float = 0,
    title: str = "A table",
    transpose: Mapping[str, int] | None = None,
    labels: Sequence[str] | None = None,
) -> ScoreTable:
    """Build a table; see the module for the text.

    `time` is the metre of every bar, `pickup` the quarters of a short first bar (labelled 0),
    `transpose` semitones by part name where they differ from the instrument's usual ones.
    """
    texts = {name: _bars(text) for name, text in lines.items()}
    count = max(len(bars) for bars, _ in texts.values())
    breaks = sorted({b for _, cuts in texts.values() for b in cuts})
    bars = _make_bars(count, breaks, time, pickup, labels)
    parts, slots = _make_parts(list(lines), transpose or {})
    made_lines, build = [], _Builder()
    for index, (name, (texts_of_bars, _)) in enumerate(texts.items()):
        part, player = slots[name]
        reading = parts[part]
        mask = 1 << (player - 1) if player else 0
        made_lines.append(Line(index, part, mask, name, reading.instrument, reading.family))
        _fill(build, texts_of_bars, bars, made_lines[-1], reading)
    notes = np.array(build.rows, dtype=NOTE)
    order = np.lexsort((notes["order"], notes["voice"], notes["part"], notes["onset"]))
    position = {int(old): new for new, old in enumerate(order)}
    pairs = [(position[row], src) for row, src in build.continuations]
    starts = [0, *breaks]
    ends = [*(b - 1 for b in breaks), count - 1]
    return ScoreTable(
        title=title,
        movements=tuple(
            Movement(i, f"Movement {i + 1}", a, b)
            for i, (a, b) in enumerate(zip(starts, ends, strict=True))
        ),
        parts=tuple(parts),
        bars=tuple(bars),
        lines=tuple(made_lines),
        notes=notes[order],
        ids=tuple(build.ids),
        continuations=np.array(pairs, dtype=np.int32).reshape(-1, 2),
        marks=(),
        order=tuple((b.index, 1) for b in bars),
    )


def _bars(text: str) -> tuple[list[str], list[int]]:
    movements = [[bar.strip() for bar in m.split("|")] for m in text.split("||")]
    cuts, total = [], 0
    for movement in movements[:-1]:
        total += len(movement)
        cuts.append(total)
    return [bar for movement in movements for bar in movement], cuts


def _make_bars(
    count: int, breaks: list[int], time: str, pickup: float, labels: Sequence[str] | None
) -> list[Bar]:
    beats, beat_type = (int(x) for x in time.split("/"))
    full = 4 * TICKS * beats // beat_type
    bars: list[Bar] = []
    start = first = movement = 0
    for i in range(count):
        if i in breaks:
            movement, first = movement + 1, i
        short = i == first and pickup > 0
        length = int(pickup * TICKS) if short else full
        number = i - first + (0 if pickup else 1)
        label = labels[i] if labels else str(number)
        bars.append(Bar(i, label, 1, start, length, beats, beat_type, movement, implicit=short))
        start += length
    return bars


def _make_parts(
    names: list[str], transpose: Mapping[str, int]
) -> tuple[list[PartReading], dict[str, tuple[int, int]]]:
    slots: dict[str, tuple[int, int]] = {}
    players: dict[str, list[int]] = {}
    for name in names:
        base, _, last = name.rpartition(" ")
        label, player = (base, int(last)) if last.isdigit() and base else (name, 0)
        divided = label.endswith(" div")
        label = label.removesuffix(" div")
        players.setdefault(label, [])
        if player and not divided:
            players[label].append(player)
        slots[name] = (list(players).index(label), player)
    parts = []
    for index, (label, numbers) in enumerate(players.items()):
        instrument, family, semitones = INSTRUMENTS.get(label.split()[0], ("unknown", "unknown", 0))
        crook = label.split(" in ", 1)[1] if " in " in label else None
        if crook and instrument in {"horn", "trumpet"}:
            semitones = (HORN if instrument == "horn" else TRUMPET)[crook]
        parts.append(
            PartReading(
                id=f"P{index + 1}",
                index=index,
                label=label,
                instrument=instrument,
                family=family,
                transposition=transpose.get(label, semitones),
                crook=crook,
                players=tuple(numbers),
            )
        )
    return parts, slots


def _fill(
    build: _Builder, texts: list[str], bars: list[Bar], line: Line, reading: PartReading
) -> None:
    length = Fraction(1)
    open_ties: dict[tuple[int, int, int], int] = {}
    for bar, text in zip(bars, texts, strict=False):
        sounds, length = _read_bar(text, bar, length)
        order = 0
        for sound in sounds:
            order = order + 1 if sound.grace else 0
            if not sound.pitches and not sound.unpitched:
                build.new_id(line.part, bar.index)
                continue
            chord = NoteFlag.CHORD if len(sound.pitches) > 1 else 0
            for pitch in sound.pitches or [(0, 0, 0)]:
                src = build.new_id(line.part, bar.index)
                row = open_ties.pop(pitch, None)
                if row is not None and not sound.grace:
                    _lengthen(build, row, sound.duration, src)
                else:
                    row = len(build.rows)
                    build.rows.append(
                        _row(line, bar, sound, pitch, int(chord), order, src, reading)
                    )
                if sound.tied:
                    open_ties[pitch] = row


def _lengthen(build: _Builder, row: int, duration: int, src: int) -> None:
    names = list(NOTE.names or ())
    old = list(build.rows[row])
    old[names.index("duration")] += duration
    build.rows[row] = tuple(old)
    build.continuations.append((row, src))


def _row(
    line: Line,
    bar: Bar,
    sound: _Sound,
    pitch: tuple[int, int, int],
    chord: int,
    order: int,
    src: int,
    reading: PartReading,
) -> tuple[int, ...]:
    step, alter, octave = pitch
    number = -1 if sound.unpitched else 12 * (octave + 1) + SEMITONES[step] + alter
    wstep, walter, woctave = _written(pitch, -reading.transposition)
    flags = sound.flags | chord
    flags |= int(NoteFlag.GRACE) if sound.grace else 0
    flags |= int(NoteFlag.UNPITCHED) if sound.unpitched else 0
    voice = (line.players.bit_length() or 1) if line.players else 1
    return (
        line.part, 1, voice, line.index, line.players, bar.index, sound.onset, sound.duration,
        number, 0, step, alter, octave, wstep, walter, woctave, flags, 0, sound.articulation, 0,
        order, src,
    )  # fmt: skip


def _written(pitch: tuple[int, int, int], semitones: int) -> tuple[int, int, int]:
    """Transpose to the usual spelling of the interval: a second for 1-2 semitones, and so on."""
    step, alter, octave = pitch
    up, octaves = abs(semitones) % 12, abs(semitones) // 12
    degrees = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)[up] + 7 * octaves
    position = 7 * octave + step + (degrees if semitones >= 0 else -degrees)
    wstep, woctave = position % 7, position // 7
    target = 12 * octave + SEMITONES[step] + alter + semitones
    return wstep, target - 12 * woctave - SEMITONES[wstep], woctave


def _read_bar(text: str, bar: Bar, length: Fraction) -> tuple[list[_Sound], Fraction]:
    tokens = text.split()
    if tokens in ([], ["r"]):
        return [_Sound(bar.start, bar.length, [])], length
    sounds: list[_Sound] = []
    at, i = bar.start, 0
    while i < len(tokens):
        found = _NOTE.match(tokens[i])
        if not found:
            raise ValueError(f"bar {bar.label}: I do not understand {tokens[i]!r}")
        i += 1
        if i < len(tokens) and _LENGTH.match(tokens[i]):
            length = _quarters(tokens[i])
            i += 1
        sound = _sound(found, at, int(length * TICKS))
        at += 0 if sound.grace else sound.duration
        sounds.append(sound)
    if at > bar.end:
        raise ValueError(f"bar {bar.label} is too full: {text!r}")
    if at < bar.end:
        sounds.append(_Sound(at, bar.end - at, []))
    return sounds, length


def _sound(found: re.Match[str], onset: int, duration: int) -> _Sound:
    body, signs = found["pitches"], found["signs"]
    grace = body.startswith("(")
    names = [] if body in {"r", "x"} else body.strip("()").split("+")
    flags = 0
    for word in filter(None, found["flags"].split("!")):
        flags |= int(FLAGS[word])
    return _Sound(
        onset=onset,
        duration=0 if grace else duration,
        pitches=[_pitch(name) for name in names],
        unpitched=body == "x",
        grace=grace,
        tied="~" in signs,
        flags=flags,
        articulation=sum(v for sign, v in _ARTICULATIONS.items() if sign in signs),
    )


def _pitch(text: str) -> tuple[int, int, int]:
    found = _PITCH.fullmatch(text)
    if not found:
        raise ValueError(f"{text!r} is no pitch")
    alter = {"": 0, "b": -1, "bb": -2, "#": 1, "##": 2}[found[2] or ""]
    return STEPS.index(found[1]), alter, int(found[3])


def _quarters(text: str) -> Fraction:
    found = _LENGTH.match(text)
    assert found
    if found[4]:
        return Fraction(found[4])
    value = Fraction(LENGTHS[found[1]])
    value *= 2 - Fraction(1, 2 ** len(found[2]))
    return value * Fraction(2, 3) if found[3] else value
