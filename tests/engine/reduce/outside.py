"""A short score as music21, and as plain lxml, read it. Nothing of ours."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import music21
from lxml import etree


@dataclass(frozen=True)
class Attack:
    bar: int  # from 0
    at: Fraction  # quarters from the start of the bar
    pitch: float  # sounding MIDI, .5 for a quarter-tone


@dataclass(frozen=True)
class Staff:
    name: str
    attacks: list[Attack]  # notes that no tie continues
    lengths: list[list[Fraction]]  # by bar: what each voice that begins with the bar lasts


def parsed(xml: bytes) -> list[Staff]:
    """The staves of a MusicXML file."""
    score = music21.converter.parse(xml, format="musicxml", forceSource=True)
    return [_staff(part) for part in score.parts]


def _staff(part) -> Staff:
    attacks, lengths = [], []
    for bar, measure in enumerate(part.getElementsByClass("Measure")):
        voices = list(measure.voices) or [measure]
        ends = []
        for voice in voices:
            things = [e for e in voice.notesAndRests if not e.duration.isGrace]
            full = sum((Fraction(e.quarterLength) for e in things), Fraction(0))
            ends.append(full)
            for thing in things:
                heads = thing.notes if thing.isChord else [] if thing.isRest else [thing]
                for note in heads:
                    if note.tie is None or note.tie.type == "start":
                        at = Fraction(thing.getOffsetInHierarchy(measure))
                        attacks.append(Attack(bar, at, note.pitch.ps))
        lengths.append(ends)
    return Staff(part.partName, attacks, lengths)


def by_id(xml: bytes) -> dict[str, tuple[int, Fraction]]:
    """Id of each sounding note element to its bar (from 0) and onset in it, in quarters."""
    found: dict[str, tuple[int, Fraction]] = {}
    for part in etree.fromstring(xml).findall("part"):
        divisions = int(part.findtext("measure/attributes/divisions", "1"))
        for bar, measure in enumerate(part):
            now = last = Fraction(0)
            for thing in measure:
                length = Fraction(int(thing.findtext("duration") or 0), divisions)
                if thing.tag == "backup":
                    now -= length
                elif thing.tag == "forward":
                    now += length
                elif thing.tag == "note":
                    if thing.find("chord") is None:
                        last, now = now, now + length
                    if thing.find("rest") is None:
                        assert thing.get("id") not in found
                        found[thing.get("id")] = bar, last
    return found
