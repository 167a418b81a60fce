"""Write a score as MusicXML 4.0 (partwise), the same bytes every time."""

from __future__ import annotations

from fractions import Fraction
from xml.etree import ElementTree as ET

from .notation import STEPS, Bar, Event, Part, Pitch, Score

DIVISIONS = 24
CLEFS = {"treble": ("G", 2), "bass": ("F", 4), "alto": ("C", 3), "tenor": ("C", 4)}
TYPES = {"1": "whole", "2": "half", "4": "quarter", "8": "eighth", "16": "16th", "32": "32nd"}
SHARPS, FLATS = "fcgdaeb", "beadgcf"
ACCIDENTALS = {
    -2: "flat-flat",
    -1: "flat",
    0: "natural",
    1: "sharp",
    2: "double-sharp",
}
HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN"'
    ' "http://www.musicxml.org/dtds/partwise.dtd">\n'
)


def sub(parent: ET.Element, tag: str, text: object = None, **attributes: str) -> ET.Element:
    child = ET.SubElement(parent, tag, {k.replace("_", "-"): v for k, v in attributes.items()})
    if text is not None:
        child.text = str(text)
    return child


def divisions(length: Fraction) -> int:
    ticks = length * DIVISIONS
    if ticks.denominator != 1:
        raise ValueError(f"{length} does not fit the divisions")
    return int(ticks)


def written(part: Part, pitch: Pitch) -> Pitch:
    return pitch.moved(-part.diatonic, -part.chromatic)


def fifths_of(score: Score, part: Part) -> int:
    return 0 if part.key_shift is None else score.fifths + part.key_shift


def signature(fifths: int) -> dict[int, int]:
    names = SHARPS[:fifths] if fifths > 0 else FLATS[:-fifths]
    return {STEPS.index(n): (1 if fifths > 0 else -1) for n in names}


def to_xml(score: Score) -> str:
    root = ET.Element("score-partwise", version="4.0")
    sub(sub(root, "work"), "work-title", "Due letture")
    sub(root, "movement-title", score.title)
    identification = sub(root, "identification")
    sub(identification, "creator", "composed for this project", type="composer")
    sub(identification, "rights", "An original piece written for this project's demonstration.")
    sub(sub(identification, "encoding"), "software", "demo/piece/compose.py")
    _part_list(root, score)
    for index, part in enumerate(score.parts, 1):
        _part(root, score, part, f"P{index}")
    ET.indent(root, " ")
    return HEAD + ET.tostring(root, encoding="unicode") + "\n"


def _part_list(root: ET.Element, score: Score) -> None:
    listing = sub(root, "part-list")
    open_family = ""
    numbers = {"woodwind": "1", "brass": "2", "strings": "3"}

    def close() -> None:
        if open_family in numbers:
            sub(listing, "part-group", number=numbers[open_family], type="stop")

    for index, part in enumerate(score.parts, 1):
        if part.family != open_family:
            close()
            open_family = part.family
            if open_family in numbers:
                group = sub(listing, "part-group", number=numbers[open_family], type="start")
                sub(group, "group-symbol", "bracket")
                sub(group, "group-barline", "yes")
        item = sub(listing, "score-part", id=f"P{index}")
        sub(item, "part-name", part.label)
        sub(item, "part-abbreviation", part.short)
        instrument = sub(item, "score-instrument", id=f"P{index}-I1")
        sub(instrument, "instrument-name", part.instrument)
        sub(instrument, "instrument-sound", part.sound)
        midi = sub(item, "midi-instrument", id=f"P{index}-I1")
        sub(midi, "midi-channel", index if index < 10 else index % 16 + 1 if index < 16 else 16)
        sub(midi, "midi-program", part.program)
    close()


def _part(root: ET.Element, score: Score, part: Part, ident: str) -> None:
    element = sub(root, "part", id=ident)
    key = signature(fifths_of(score, part))
    tied: set[Pitch] = set()
    clef = part.clef
    for at, bar in enumerate(score.bars):
        measure = sub(element, "measure", number=bar.label)
        if bar.implicit:
            measure.set("implicit", "yes")
        if bar.repeat_forward or bar.ending:
            left = sub(measure, "barline", location="left")
            if bar.repeat_forward:
                sub(left, "bar-style", "heavy-light")
            if bar.ending:
                sub(left, "ending", f"{bar.ending}.", number=bar.ending, type="start")
            if bar.repeat_forward:
                sub(left, "repeat", direction="forward")
        change = score.clefs.get((part.key, bar.label))
        if at == 0:
            _attributes(measure, score, part, change or clef)
        elif change and change != clef:
            _clef(sub(measure, "attributes"), change)
        clef = change or clef
        if part is score.parts[0]:
            _above_the_system(measure, bar)
        elif part.key == "V1":
            _above_the_system(measure, bar, tempo=True)
        _music(measure, score, part, bar, key, tied)
        _right_barline(measure, bar)


def _attributes(measure: ET.Element, score: Score, part: Part, clef: str) -> None:
    attributes = sub(measure, "attributes")
    sub(attributes, "divisions", DIVISIONS)
    key = sub(attributes, "key")
    sub(key, "fifths", fifths_of(score, part))
    if part.key_shift is not None:
        sub(key, "mode", "minor" if score.minor else "major")
    common = score.beats == score.beat_type == 4
    time = sub(attributes, "time", **({"symbol": "common"} if common else {}))
    sub(time, "beats", score.beats)
    sub(time, "beat-type", score.beat_type)
    _clef(attributes, clef)
    if part.chromatic:
        octave = int(part.diatonic / 7)
        transpose = sub(attributes, "transpose")
        sub(transpose, "diatonic", part.diatonic - 7 * octave)
        sub(transpose, "chromatic", part.chromatic - 12 * octave)
        if octave:
            sub(transpose, "octave-change", octave)


def _clef(attributes: ET.Element, name: str) -> None:
    clef = sub(attributes, "clef")
    sub(clef, "sign", CLEFS[name][0])
    sub(clef, "line", CLEFS[name][1])


def _above_the_system(measure: ET.Element, bar: Bar, tempo: bool = False) -> None:
    if bar.rehearsal and not tempo:
        direction = sub(measure, "direction", placement="above")
        sub(sub(direction, "direction-type"), "rehearsal", bar.rehearsal)
    if bar.tempo and not tempo:
        words, beats, unit = bar.tempo
        direction = sub(measure, "direction", placement="above")
        sub(sub(direction, "direction-type"), "words", words + " ", font_weight="bold")
        metronome = sub(sub(direction, "direction-type"), "metronome", parentheses="yes")
        sub(metronome, "beat-unit", unit.rstrip("."))
        if unit.endswith("."):
            sub(metronome, "beat-unit-dot")
        sub(metronome, "per-minute", beats)
        quarter = beats * (3 if unit.endswith(".") else 2) // 2
        sub(direction, "sound", tempo=str(quarter))


def _right_barline(measure: ET.Element, bar: Bar) -> None:
    if not (bar.repeat_back or bar.ending or bar.double or bar.final):
        return
    right = sub(measure, "barline", location="right")
    if bar.repeat_back or bar.final:
        sub(right, "bar-style", "light-heavy")
    elif bar.double:
        sub(right, "bar-style", "light-light")
    if bar.ending:
        kind = "stop" if bar.repeat_back else "discontinue"
        sub(right, "ending", number=bar.ending, type=kind)
    if bar.repeat_back:
        sub(right, "repeat", direction="backward")


def _music(
    measure: ET.Element, score: Score, part: Part, bar: Bar, key: dict[int, int], tied: set[Pitch]
) -> None:
    events = score.notes.get(part.key, {}).get(bar.label)
    if events is None or not any(e.pitches for e in events):
        events = [Event((), bar.length, "", whole_bar=True)]
    marks = sorted(score.directions.get((part.key, bar.label), []), key=_mark_order)
    seen: dict[tuple[int, int], int] = {}
    beams = beam_marks(score, bar, events)
    at = Fraction(0)
    for index, event in enumerate(events):
        while marks and marks[0].at <= at:
            _direction(measure, marks.pop(0), Fraction(0))
        inside = [m for m in marks if m.at < at + event.length]
        for mark in inside:  # a mark that falls within a held note
            _direction(measure, mark, mark.at - at)
            marks.remove(mark)
        for grace in event.graces:
            note = sub(measure, "note")
            sub(note, "grace", slash="yes")
            _pitch(note, written(part, grace))
            sub(note, "voice", 1)
            sub(note, "type", "eighth")
            _accidental(note, written(part, grace), key, seen, False)
        _event(measure, part, event, beams.get(index, []), key, seen, tied)
        at += event.length
    for mark in marks:
        _direction(measure, mark, mark.at - at)


def _mark_order(mark) -> tuple[Fraction, int]:
    rank = {"words": 0, "dynamic": 2, "wedge": 3}[mark.kind]
    if mark.text == "stop":
        rank = 1
    return mark.at, rank


def _direction(measure: ET.Element, mark, offset: Fraction) -> None:
    above = mark.kind == "words"
    direction = sub(measure, "direction", placement="above" if above else "below")
    kind = sub(direction, "direction-type")
    if mark.kind == "dynamic":
        sub(sub(kind, "dynamics"), mark.text)
    elif mark.kind == "words":
        sub(kind, "words", mark.text, font_style="italic")
    else:
        sub(kind, "wedge", type=mark.text, number="1")
    if offset:
        sub(direction, "offset", divisions(offset))


def _pitch(note: ET.Element, pitch: Pitch) -> None:
    element = sub(note, "pitch")
    sub(element, "step", STEPS[pitch.step].upper())
    if pitch.alter:
        sub(element, "alter", pitch.alter)
    sub(element, "octave", pitch.octave)


def _accidental(
    note: ET.Element,
    pitch: Pitch,
    key: dict[int, int],
    seen: dict[tuple[int, int], int],
    is_tied: bool,
) -> None:
    place = (pitch.step, pitch.octave)
    stands = seen.get(place, key.get(pitch.step, 0))
    if pitch.alter != stands and not is_tied:
        sub(note, "accidental", ACCIDENTALS[pitch.alter])
        seen[place] = pitch.alter


def _event(
    measure: ET.Element,
    part: Part,
    event: Event,
    beam: list[str],
    key: dict[int, int],
    seen: dict[tuple[int, int], int],
    tied: set[Pitch],
) -> None:
    if not event.pitches:
        note = sub(measure, "note")
        sub(note, "rest", **({"measure": "yes"} if event.whole_bar else {}))
        sub(note, "duration", divisions(event.length))
        sub(note, "voice", 1)
        if not event.whole_bar:
            _type(note, event.kind)
        tied.clear()
        return
    coming = set(event.pitches) if "~" in event.marks else set()
    for position, pitch in enumerate(sorted(event.pitches, key=lambda p: p.midi)):
        note = sub(measure, "note")
        if position:
            sub(note, "chord")
        _pitch(note, written(part, pitch))
        sub(note, "duration", divisions(event.length))
        if pitch in tied:
            sub(note, "tie", type="stop")
        if pitch in coming:
            sub(note, "tie", type="start")
        sub(note, "voice", 1)
        _type(note, event.kind)
        _accidental(note, written(part, pitch), key, seen, pitch in tied)
        if not position:
            for number, value in enumerate(beam, 1):
                sub(note, "beam", value, number=str(number))
        _notations(note, event, pitch, position == 0, tied)
    tied.clear()
    tied.update(coming)


def _type(note: ET.Element, kind: str) -> None:
    sub(note, "type", TYPES[kind.rstrip(".")])
    if kind.endswith("."):
        sub(note, "dot")


def _notations(note: ET.Element, event: Event, pitch: Pitch, first: bool, tied: set[Pitch]) -> None:
    notations = ET.Element("notations")
    if pitch in tied:
        sub(notations, "tied", type="stop")
    if "~" in event.marks:
        sub(notations, "tied", type="start")
    if first:
        if ")" in event.marks:
            sub(notations, "slur", type="stop", number="1")
        if "(" in event.marks:
            sub(notations, "slur", type="start", number="1")
        if event.tremolo:
            sub(sub(notations, "ornaments"), "tremolo", event.tremolo, type="single")
        signs = {"'": "staccato", ">": "accent", "-": "tenuto"}
        if any(s in event.marks for s in signs):
            articulations = sub(notations, "articulations")
            for sign, name in signs.items():
                if sign in event.marks:
                    sub(articulations, name)
        if "@" in event.marks:
            sub(notations, "fermata", type="upright")
    if len(notations):
        note.append(notations)


def beam_marks(score: Score, bar: Bar, events: list[Event]) -> dict[int, list[str]]:
    """Beams by beat; four even quavers of a half bar share one beam."""
    compound = score.beat_type == 8
    beat = Fraction(3, 2) if compound else Fraction(1)
    groups: dict[Fraction, list[int]] = {}
    at = Fraction(0)
    where: dict[int, Fraction] = {}
    for index, event in enumerate(events):
        where[index] = at
        groups.setdefault(at // beat * beat, []).append(index)
        at += event.length
    if not compound and bar.length == 4:
        for half in (Fraction(0), Fraction(2)):
            both = groups.get(half, []) + groups.get(half + 1, [])
            if len(both) == 4 and all(events[i].kind == "8" and events[i].pitches for i in both):
                groups[half] = both
                groups[half + 1] = []
    result: dict[int, list[str]] = {}
    for members in groups.values():
        run: list[int] = []
        for index in [*members, -1]:
            short = index >= 0 and events[index].pitches and events[index].length < 1
            if short:
                run.append(index)
                continue
            if len(run) > 1:
                _beam_run(events, run, result)
            run = []
    return result


def _beam_run(events: list[Event], run: list[int], result: dict[int, list[str]]) -> None:
    depth = {i: {"8": 1, "16": 2, "32": 3}[events[i].kind.rstrip(".")] for i in run}
    for place, index in enumerate(run):
        marks = []
        for level in range(1, depth[index] + 1):
            before = place > 0 and depth[run[place - 1]] >= level
            after = place + 1 < len(run) and depth[run[place + 1]] >= level
            if before and after:
                marks.append("continue")
            elif after:
                marks.append("begin")
            elif before:
                marks.append("end")
            else:
                marks.append("backward hook" if place else "forward hook")
        result[index] = marks
