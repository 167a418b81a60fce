"""Notes of a MusicXML file cut in two and tied: the same music in more signs."""

from __future__ import annotations

import copy
import random

from lxml import etree

#: signs that belong to the end of a note; the others stay at its beginning
_AT_THE_END = {"slur", "tuplet"}
_SHAPE = ("type", "dot", "beam", "accidental", "lyric")


def notes_split(data: bytes, seed: int, share: float = 0.6) -> bytes:
    """About `share` of all notes (chords as wholes) as two tied ones. Graces, cues, rests and
    tremolos stay."""
    rng = random.Random(seed)
    root = etree.fromstring(data)
    for measure in root.iter("measure"):
        for chord in _chords(measure):
            if rng.random() < share and all(_divisible(n) for n in chord):
                _split(chord)
    for note in root.iter("note"):
        note.attrib.pop("id", None)
    return etree.tostring(root)


def _chords(measure):
    chords = []
    for note in measure.findall("note"):
        if note.find("chord") is not None and chords:
            chords[-1].append(note)
        else:
            chords.append([note])
    return chords


def _divisible(note):
    if any(note.find(tag) is not None for tag in ("grace", "cue", "rest")):
        return False
    if note.find("notations/ornaments/tremolo") is not None:
        return False
    duration = note.findtext("duration")
    return duration is not None and float(duration) >= 2 and float(duration) % 2 == 0


def _split(chord):
    after = []
    for note in chord:
        second = copy.deepcopy(note)
        for half in (note, second):
            duration = half.find("duration")
            duration.text = str(int(float(duration.text)) // 2)
        for tag in _SHAPE:
            for sign in note.findall(tag) + second.findall(tag):
                sign.getparent().remove(sign)
        _tie(note, "start")
        _tie(second, "stop")
        _share_signs(note, second)
        after.append(second)
    place = chord[-1]
    for second in after:
        place.addnext(second)
        place = second


def _tie(note, kind):
    """Give the note a tie at this end; what it had at the other end stays."""
    for tie in note.findall("tie"):
        if tie.get("type") == kind:
            note.remove(tie)
    tie = etree.Element("tie", type=kind)
    note.find("duration").addnext(tie)


def _share_signs(first, second):
    for notations in list(first.iter("notations")):
        for sign in list(notations):
            if sign.tag == "tied" or (sign.tag in _AT_THE_END and sign.get("type") == "stop"):
                notations.remove(sign)
    for notations in list(second.iter("notations")):
        for sign in list(notations):
            if not (sign.tag in _AT_THE_END and sign.get("type") == "stop"):
                notations.remove(sign)
