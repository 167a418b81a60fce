"""Written notes turned into sounding ones before they are engraved.

The engraver has a switch for this, but it ignores a transposition that
changes within a part ("muta in A") and knows nothing of what the tutor
confirmed. So notes, key signatures and accidentals are rewritten here.

Instruments that sound whole octaves away keep their place on the staff: their
clef gets the small 8 instead, as in scores "in C" (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from lxml import etree

from analysis.engine.engrave.children import add_child
from analysis.engine.model import PartReading

Element = etree._Element

_STEPS = "CDEFGAB"
_NATURALS = (0, 2, 4, 5, 7, 9, 11)
_FIFTHS = "FCGDAEB"
_SIGNS = {-2: "flat-flat", -1: "flat", 0: "natural", 1: "sharp", 2: "double-sharp"}


@dataclass(frozen=True, slots=True)
class Shift:
    """From written to sounding, octaves included."""

    semitones: int = 0
    steps: int = 0

    @property
    def octaves_only(self) -> bool:
        return self.semitones % 12 == 0 and self.steps * 12 == self.semitones * 7

    def plus(self, octaves: int) -> Shift:
        return Shift(self.semitones + 12 * octaves, self.steps + 7 * octaves)


def transposed(step: int, alter: float, octave: int, shift: Shift) -> tuple[int, float, int]:
    """Sounding step (0 = C), alteration and octave of a written pitch.

    The letter moves by the steps, the alteration takes up what is left; more
    than a double accidental is written a step away.
    """
    place = 7 * octave + step + shift.steps
    target = 12 * octave + _NATURALS[step] + alter + shift.semitones
    for _ in range(2):
        rest = target - (12 * (place // 7) + _NATURALS[place % 7])
        place += (rest > 2) - (rest < -2)
    rest = target - (12 * (place // 7) + _NATURALS[place % 7])
    return place % 7, rest, place // 7


def moved_key(fifths: int, shift: Shift) -> int:
    """The key signature after a shift, in fifths; folded so that at most seven signs stand."""
    moved = fifths + 7 * shift.semitones - 12 * shift.steps
    while moved > 7:
        moved -= 12
    while moved < -7:
        moved += 12
    return moved


def key_alteration(step: int, fifths: int) -> int:
    """What the key signature does to a letter."""
    place = _FIFTHS.index(_STEPS[step])
    return (fifths + 6 - place) // 7


@dataclass
class _Part:
    """What holds while the bars of a part go by."""

    readings: tuple[PartReading, ...]
    reading: PartReading | None = None  # in force
    written_key: dict[str, int] = field(default_factory=dict)  # staff -> fifths
    clefs: dict[str, tuple[str, int]] = field(default_factory=dict)  # staff -> sign, octaves
    shift: Shift = Shift()
    tied: set[tuple[int, float, int]] = field(default_factory=set)
    shown: dict[str, tuple[int, int]] = field(default_factory=dict)  # staff -> key, clef octave


def make_sounding(part: Element, readings: Sequence[PartReading], first: int = 0) -> None:
    """Rewrite one part in place.

    Parameters
    ----------
    part : element
        Of a canonical copy, its bars from one on that says all that is in force.
    first : int
        Index of that bar.
    readings : sequence of PartReading
        Those of this part, by `from_bar`; if there is none the file's own
        transpositions are followed.
    """
    state = _Part(tuple(readings))
    for index, bar in enumerate(part.iterchildren("measure"), first):
        _bar(bar, index, state)


def _bar(bar: Element, index: int, state: _Part) -> None:
    if state.readings:
        state.reading = _reading(state.readings, index)
        _take_shift(bar, state.reading, state, index)
    notes: list[tuple[int, int, Element, Shift]] = []
    at, onset, order = 0, 0, 0
    for child in list(bar):
        if child.tag == "attributes":
            _attributes(child, state)
        elif child.tag == "backup":
            at -= _length(child)
        elif child.tag == "forward":
            at += _length(child)
        elif child.tag == "note":
            if child.find("chord") is None:
                onset, at = at, at + (0 if child.find("grace") is not None else _length(child))
            notes.append((onset, order, child, _of_note(child, state)))
            order += 1
    _pitches([(n, s) for _, _, n, s in sorted(notes, key=lambda row: row[:2])], state)


def _length(element: Element) -> int:
    return int(element.findtext("duration") or 0)


def _reading(readings: tuple[PartReading, ...], index: int) -> PartReading:
    best = readings[0]
    for reading in readings:
        if reading.from_bar <= index:
            best = reading
    return best


def _take_shift(bar: Element, reading: PartReading, state: _Part, index: int) -> None:
    """Follow a reading; at a change the key is printed anew."""
    shift = Shift(reading.transposition, reading.diatonic)
    if shift == state.shift:
        return
    state.shift = shift
    if not index or (not state.written_key and not state.clefs):
        return
    first = bar.find("attributes")
    if first is None:
        first = etree.Element("attributes")
        bar.insert(0, first)
    _restate(first, state)


def _restate(attributes: Element, state: _Part) -> None:
    """Write key and clefs again, where these attributes do not."""
    if attributes.find("key") is None:
        for staff, fifths in reversed(state.written_key.items()):
            key = etree.Element("key")
            if staff:
                key.set("number", staff)
            etree.SubElement(key, "fifths").text = str(fifths)
            after = attributes.find("divisions")
            attributes.insert(0 if after is None else 1, key)
    moves = state.shift.octaves_only and state.shift.semitones != 0
    if attributes.find("clef") is None and (moves or any(o for _, o in state.shown.values())):
        for staff, (sign, octaves) in state.clefs.items():
            _write_clef(attributes, staff, sign, octaves)


_CLEF_LINES = {"G": "2", "F": "4", "C": "3"}


def _write_clef(attributes: Element, staff: str, sign: str, octaves: int) -> None:
    letter, _, line = sign.partition("/")
    clef = etree.SubElement(attributes, "clef")
    if staff:
        clef.set("number", staff)
    etree.SubElement(clef, "sign").text = letter
    etree.SubElement(clef, "line").text = line or _CLEF_LINES.get(letter, "2")
    if octaves:
        etree.SubElement(clef, "clef-octave-change").text = str(octaves)


def _attributes(attributes: Element, state: _Part) -> None:
    transpose = attributes.find("transpose")
    if transpose is not None:
        if not state.readings:
            changed = _from_file(transpose)
            if changed != state.shift:
                state.shift = changed
                _restate(attributes, state)
        for old in attributes.findall("transpose"):
            attributes.remove(old)
    for key in attributes.findall("key"):
        fifths = key.find("fifths")
        if fifths is None:
            continue
        written = int(fifths.text or 0)
        state.written_key[key.get("number", "")] = written
        moved = written if state.shift.octaves_only else moved_key(written, state.shift)
        fifths.text = str(moved)
        for cancel in key.findall("cancel"):
            key.remove(cancel)
        state.shown[key.get("number", "")] = (moved, 0)
    for clef in attributes.findall("clef"):
        _clef(clef, state)


def _from_file(transpose: Element) -> Shift:
    octaves = int(transpose.findtext("octave-change") or 0)
    semitones = int(float(transpose.findtext("chromatic") or 0))
    return Shift(semitones, int(transpose.findtext("diatonic") or 0)).plus(octaves)


def _clef(clef: Element, state: _Part) -> None:
    staff = clef.get("number", "")
    sign, line = clef.findtext("sign") or "G", clef.findtext("line") or ""
    change = clef.find("clef-octave-change")
    octaves = int(change.text or 0) if change is not None else 0
    state.clefs[staff] = (f"{sign}/{line}", octaves)
    if not state.shift.octaves_only or sign not in "GFC":
        return
    moved = octaves + state.shift.semitones // 12
    if change is not None:
        clef.remove(change)
    if moved:
        change = etree.Element("clef-octave-change")
        change.text = str(max(-2, min(2, moved)))
        after = clef.find("line")
        (after if after is not None else clef[0]).addnext(change)
    fifths = state.shown.get(staff, (0, 0))[0]
    state.shown[staff] = (fifths, moved)


def _of_note(note: Element, state: _Part) -> Shift:
    """The shift of one note: that of the part, an octave aside under certain clefs."""
    reading = state.reading
    if reading is None:
        return state.shift
    staff = note.findtext("staff") or "1"
    sign, octaves = state.clefs.get(staff, state.clefs.get("", ("G", 0)))
    if reading.old_bass_clef and sign.startswith("F"):
        return state.shift.plus(1)
    if reading.octave_switch and sign.startswith("G") and not octaves:
        return state.shift.plus(-1)
    return state.shift


def _pitches(notes: list[tuple[Element, Shift]], state: _Part) -> None:
    """Write sounding pitches and the accidentals they need, bar-wide by staff and octave."""
    standing: dict[tuple[str, int, int], float] = {}
    ending: set[tuple[int, float, int]] = set()
    for note, shift in notes:
        pitch = note.find("pitch")
        if pitch is None:
            continue
        old = (
            _STEPS.index(pitch.findtext("step") or "C"),
            float(pitch.findtext("alter") or 0),
            int(pitch.findtext("octave") or 4),
        )
        new = transposed(*old, shift)
        _write_pitch(pitch, new)
        staff = note.findtext("staff") or ""
        fifths = state.shown.get(staff, state.shown.get("1", state.shown.get("", (0, 0))))[0]
        place = (staff, new[0], new[2])
        before = standing.get(place, key_alteration(new[0], fifths))
        ties = {t.get("type") for t in note.iterchildren("tie")}
        held = "stop" in ties and new in state.tied
        if not held:
            standing[place] = new[1]
        _write_accidental(note, new[1], new[1] != before and not held)
        if "start" in ties:
            ending.add(new)
            state.tied.add(new)
    state.tied = ending


def _write_pitch(pitch: Element, new: tuple[int, float, int]) -> None:
    step, alter, octave = new
    for child in list(pitch):
        pitch.remove(child)
    etree.SubElement(pitch, "step").text = _STEPS[step]
    if alter:
        etree.SubElement(pitch, "alter").text = f"{alter:g}"
    etree.SubElement(pitch, "octave").text = str(octave)


def _write_accidental(note: Element, alter: float, needed: bool) -> None:
    old = note.find("accidental")
    sign = _SIGNS.get(int(alter)) if alter == int(alter) else None
    if old is not None:
        editorial = {k: v for k, v in old.attrib.items() if k in ("cautionary", "parentheses",
                                                                  "editorial")}  # fmt: skip
        needed = needed or bool(editorial)
        note.remove(old)
    if not needed or sign is None:
        return
    add_child(note, "accidental", sign)
