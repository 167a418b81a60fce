"""The files of the demo piece, read by lxml alone: nothing of the engine is used here."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from pathlib import Path

from lxml import etree

PIECE = Path(__file__).resolve().parents[2] / "demo" / "piece"
STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


@dataclass(frozen=True)
class Note:
    """One sounding note; ties are joined, chord notes stand apart."""

    bar: int  # index in the file
    at: Fraction  # quarters from the beginning of the file
    length: Fraction
    written: int  # MIDI number as written
    sounding: int


@dataclass
class Part:
    id: str
    label: str
    notes: list[Note] = field(default_factory=list)
    filled: dict[int, dict[str, Fraction]] = field(default_factory=dict)  # bar -> voice -> quarters
    bars: list[bytes] = field(default_factory=list)  # what stands in each bar

    def chord_at(self, time: Fraction) -> list[Note]:
        return [n for n in self.notes if n.at <= time < n.at + n.length]


@dataclass
class Movement:
    labels: list[str]
    starts: list[Fraction]
    lengths: list[Fraction]
    parts: dict[str, Part]

    def bar(self, label: str) -> int:
        return self.labels.index(label)


def path(number: int) -> Path:
    return PIECE / f"movement-{number}.musicxml"


@cache
def movement(number: int) -> Movement:
    root = etree.parse(str(path(number))).getroot()
    labels = {p.get("id"): p.findtext("part-name") for p in root.iter("score-part")}
    parts = {}
    starts: list[Fraction] = []
    lengths: list[Fraction] = []
    for element in root.findall("part"):
        part = Part(element.get("id"), labels[element.get("id")])
        starts, lengths = _read(element, part)
        parts[part.label] = part
    bars = [m.get("number") for m in root.find("part").findall("measure")]
    return Movement(bars, starts, lengths, parts)


def _read(element, part: Part) -> tuple[list[Fraction], list[Fraction]]:
    divisions, shift, beats = 1, 0, Fraction(4)
    now = Fraction(0)
    starts, lengths = [], []
    tied: dict[int, Note] = {}
    for index, measure in enumerate(element.findall("measure")):
        for attributes in measure.findall("attributes"):
            divisions = int(attributes.findtext("divisions", str(divisions)))
            if (time := attributes.find("time")) is not None:
                beats = Fraction(4 * int(time.findtext("beats")), int(time.findtext("beat-type")))
            if (move := attributes.find("transpose")) is not None:
                octaves = int(move.findtext("octave-change", "0"))
                shift = int(move.findtext("chromatic")) + 12 * octaves
        end = _bar(measure, index, now, divisions, shift, part, tied)
        implicit = measure.get("implicit") == "yes"
        starts.append(now)
        lengths.append(end - now if implicit else beats)
        now += lengths[-1]
    part.notes.sort(key=lambda n: (n.at, n.sounding))
    return starts, lengths


def _bar(measure, index, start, divisions, shift, part, tied) -> Fraction:
    place = last = start
    voices: dict[str, Fraction] = defaultdict(Fraction)
    said = []
    for item in measure:
        if item.tag not in ("note", "backup", "forward") or item.find("grace") is not None:
            continue
        length = Fraction(int(item.findtext("duration")), divisions)
        if item.tag == "backup":
            place -= length
            continue
        if item.tag == "forward":
            place += length
            continue
        chord = item.find("chord") is not None
        at = last if chord else place
        if not chord:
            voices[item.findtext("voice", "1")] += length
            last, place = at, at + length
        pitch = item.find("pitch")
        said.append((at - start, length, None if pitch is None else _midi(pitch)))
        if pitch is not None:
            _keep(part, tied, item, Note(index, at, length, _midi(pitch), _midi(pitch) + shift))
    part.filled[index] = dict(voices)
    part.bars.append(repr(said).encode())
    return max((start + v for v in voices.values()), default=start)


def _midi(pitch) -> int:
    octave, alter = int(pitch.findtext("octave")), int(pitch.findtext("alter", "0"))
    return 12 * (octave + 1) + STEPS[pitch.findtext("step")] + alter


def _keep(part: Part, tied: dict[int, Note], item, note: Note) -> None:
    """Store a note; one tied to the note before makes that longer."""
    kinds = {t.get("type") for t in item.findall("tie")}
    if "stop" in kinds:
        before = tied.pop(note.written)
        part.notes.remove(before)
        note = Note(before.bar, before.at, before.length + note.length, note.written, note.sounding)
    part.notes.append(note)
    if "start" in kinds:
        tied[note.written] = note
