"""A `Piece` as MusicXML, for the gate to read like any other upload."""

from __future__ import annotations

import math
from collections.abc import Iterable
from fractions import Fraction
from xml.sax.saxutils import escape, quoteattr

from analysis.engine.formats import write_note
from analysis.engine.formats.piece import Change, Event, Frame, Mark, Part, PartBar, Piece
from analysis.engine.gate.names import INVISIBLE
from analysis.engine.gate.notices import Notices

#: The finest time unit that is written; the note table has the same (2^5 3^2 5 7).
FINEST = 10_080
_LARGEST = 65_535
DYNAMICS = ("p", "pp", "ppp", "pppp", "f", "ff", "fff", "ffff", "mp", "mf", "sf", "sfz", "sffz",
            "sfp", "sfpp", "fp", "fz", "rf", "rfz")  # fmt: skip


def musicxml(piece: Piece, notices: Notices) -> bytes:
    """The whole score, partwise."""
    out = ['<?xml version="1.0" encoding="UTF-8"?>\n<score-partwise version="4.0">\n']
    if piece.title:
        out.append(f"<movement-title>{text(piece.title)}</movement-title>\n")
    out.append(_identification(piece))
    out.append(_part_list(piece))
    for n, part in enumerate(piece.parts, 1):
        out.append(f'<part id="P{n}">\n')
        divisions = _divisions(part, notices)
        last = len(piece.frames) - 1
        for i, (frame, bar) in enumerate(zip(piece.frames, part.bars, strict=True)):
            out += _bar(part, frame, bar, divisions, first=i == 0, last=i == last)
        out.append("</part>\n")
    out.append("</score-partwise>\n")
    return "".join(out).encode("utf-8")


#: Tells the reader that note names and who plays at which pitch are guessed.
KEYS_ONLY = "keys-only"


def _identification(piece: Piece) -> str:
    out = ""
    if piece.composer:
        out += f'<creator type="composer">{text(piece.composer)}</creator>'
    if piece.keys_only:
        out += (
            f'<miscellaneous><miscellaneous-field name="source">{KEYS_ONLY}'
            "</miscellaneous-field></miscellaneous>"
        )
    return f"<identification>{out}</identification>\n" if out else ""


def text(value: str) -> str:
    """Fit to stand in XML."""
    tidy = INVISIBLE.sub(" ", value)
    return escape(
        "".join(c for c in tidy if c not in "\ufffe\uffff" and not 0xD800 <= ord(c) < 0xE000)
    )


def quoted(value: str) -> str:
    return quoteattr(INVISIBLE.sub(" ", value))


# -- head ------------------------------------------------------------------------


def _part_list(piece: Piece) -> str:
    out = ["<part-list>\n"]
    for n, part in enumerate(piece.parts):
        for g, group in enumerate(piece.groups, 1):
            if group.first == n:
                out.append(f'<part-group number="{g}" type="start">')
                if group.name:
                    out.append(f"<group-name>{text(group.name)}</group-name>")
                if group.symbol:
                    out.append(f"<group-symbol>{group.symbol}</group-symbol>")
                out.append("</part-group>\n")
        out.append(f'<score-part id="P{n + 1}"><part-name>{text(part.name)}</part-name>')
        if part.abbreviation:
            out.append(f"<part-abbreviation>{text(part.abbreviation)}</part-abbreviation>")
        if part.program is not None or part.drums:
            out.append(
                f'<score-instrument id="P{n + 1}-I1"><instrument-name>{text(part.name)}'
                f'</instrument-name></score-instrument><midi-instrument id="P{n + 1}-I1">'
            )
            if part.drums:
                out.append("<midi-channel>10</midi-channel>")
            if part.program is not None:
                out.append(f"<midi-program>{part.program + 1}</midi-program>")
            out.append("</midi-instrument>")
        out.append("</score-part>\n")
        for g, group in reversed(list(enumerate(piece.groups, 1))):
            if group.last == n:
                out.append(f'<part-group number="{g}" type="stop"/>\n')
    out.append("</part-list>\n")
    return "".join(out)


def _divisions(part: Part, notices: Notices) -> int:
    unit = 1
    for time in _times(part):
        unit = math.lcm(unit, time.denominator)
        if unit > _LARGEST:
            notices.add("rounded", "Some lengths fit no common grid; they were rounded to the "
                        "nearest of 10,080 steps a quarter.")  # fmt: skip
            return FINEST
    return unit


def _times(part: Part) -> Iterable[Fraction]:
    for bar in part.bars:
        for event in bar.events:
            yield event.onset
            yield event.length
        for mark in bar.marks:
            yield mark.onset
        for change in bar.changes:
            yield change.onset


# -- one bar ----------------------------------------------------------------------


def _bar(
    part: Part, frame: Frame, bar: PartBar, divisions: int, *, first: bool, last: bool
) -> list[str]:
    implicit = ' implicit="yes"' if frame.implicit else ""
    out = [f"<measure number={quoted(frame.label)}{implicit}>"]
    out.append(_left(frame))
    begin = [c for c in bar.changes if c.onset == 0]
    out.append(_attributes(part, begin, divisions if first else 0))
    later = [c for c in bar.changes if c.onset > 0]
    out += _music(part, bar, later, divisions)
    out.append(_right(frame, last))
    out.append("</measure>\n")
    return out


def _left(frame: Frame) -> str:
    if not (frame.repeat_start or frame.ending_start or frame.left):
        return ""
    out = ['<barline location="left">']
    style = "heavy-light" if frame.repeat_start else frame.left
    if style:
        out.append(f"<bar-style>{style}</bar-style>")
    if frame.ending_start:
        out.append(f'<ending number={quoted(frame.ending_start)} type="start"/>')
    if frame.repeat_start:
        out.append('<repeat direction="forward"/>')
    out.append("</barline>")
    return "".join(out)


def _right(frame: Frame, last: bool) -> str:
    style = "light-heavy" if frame.repeat_end else frame.right
    if not (style or frame.ending_stop):
        return ""
    out = ['<barline location="right">']
    if style:
        out.append(f"<bar-style>{style}</bar-style>")
    if frame.ending_stop:
        kind = "discontinue" if frame.ending_open else "stop"
        out.append(f'<ending number={quoted(frame.ending_stop)} type="{kind}"/>')
    if frame.repeat_end:
        out.append('<repeat direction="backward"/>')
    out.append("</barline>")
    return "".join(out)


def _attributes(part: Part, changes: list[Change], divisions: int) -> str:
    """Changes that fall together, in the order the format wants."""
    if not changes and not divisions:
        return ""
    out = ["<attributes>"]
    if divisions:
        out.append(f"<divisions>{divisions}</divisions>")
    key = next((c for c in changes if c.fifths is not None), None)
    if key is not None:
        mode = f"<mode>{key.mode}</mode>" if key.mode in ("major", "minor") else ""
        out.append(f"<key><fifths>{key.fifths}</fifths>{mode}</key>")
    time = next((c for c in changes if c.time is not None or c.unmetered), None)
    if time is not None:
        out.append(_time(time))
    if divisions and part.staves > 1:
        out.append(f"<staves>{part.staves}</staves>")

    def number(c: Change) -> str:
        return f' number="{c.staff}"' if part.staves > 1 else ""

    for c in changes:
        if c.clef is not None:
            octave = f"<clef-octave-change>{c.clef.octave}</clef-octave-change>"
            out.append(
                f"<clef{number(c)}><sign>{c.clef.sign}</sign>"
                + (f"<line>{c.clef.line}</line>" if c.clef.line else "")
                + (octave if c.clef.octave else "")
                + "</clef>"
            )
    for c in changes:
        if c.lines is not None:
            out.append(
                f"<staff-details{number(c)}><staff-lines>{c.lines}</staff-lines></staff-details>"
            )
    moved = next((c for c in changes if c.transpose is not None), None)
    if moved is not None and moved.transpose is not None:
        out.append(_transpose(*moved.transpose))
    out.append("</attributes>")
    return "".join(out)


def _time(change: Change) -> str:
    if change.time is None:
        return "<time><senza-misura/></time>"
    beats, unit = change.time
    symbol = f' symbol="{change.time_symbol}"' if change.time_symbol else ""
    return f"<time{symbol}><beats>{beats}</beats><beat-type>{unit}</beat-type></time>"


def _transpose(steps: int, semitones: int) -> str:
    octaves = int(semitones / 12)
    out = (
        f"<transpose><diatonic>{steps - 7 * octaves}</diatonic>"
        f"<chromatic>{semitones - 12 * octaves}</chromatic>"
    )
    if octaves:
        out += f"<octave-change>{octaves}</octave-change>"
    return out + "</transpose>"


# -- voices, and signs at their times -------------------------------------------------


def _music(part: Part, bar: PartBar, later: list[Change], divisions: int) -> list[str]:
    clock = _Clock(divisions)
    voices: dict[int, list[Event]] = {}
    for event in bar.events:
        voices.setdefault(event.voice, []).append(event)
    pending = [(m.onset, 1, _direction(m, part)) for m in bar.marks]
    for onset in sorted({c.onset for c in later}):
        pending.append((onset, 0, _attributes(part, [c for c in later if c.onset == onset], 0)))
    pending.sort(key=lambda p: (p[0], p[1]))
    for _, events in sorted(voices.items()):
        clock.back_to_start()
        for event in events:
            while pending and not clock.in_chord and pending[0][0] <= event.onset:
                clock.to(pending[0][0])
                clock.out.append(pending.pop(0)[2])
            clock.to(event.onset)
            end = clock.ticks(event.onset + event.length)
            clock.out.append(write_note.note(event, part.staves, end - clock.ticks(event.onset)))
            if not event.grace:
                clock.now = end
        if pending:  # those after the last note of this voice
            for onset, _, xml in pending:
                clock.to(onset)
                clock.out.append(xml)
            pending = []
    for onset, _, xml in pending:
        clock.to(onset)
        clock.out.append(xml)
    return clock.out


class _Clock:
    """Where the writing stands in the bar, in divisions."""

    in_chord = False

    def __init__(self, divisions: int) -> None:
        self.divisions = divisions
        self.now = 0
        self.out: list[str] = []

    def ticks(self, time: Fraction) -> int:
        return round(time * self.divisions)

    def to(self, time: Fraction) -> None:
        target = self.ticks(time)
        if target > self.now:
            self.out.append(f"<forward><duration>{target - self.now}</duration></forward>")
        elif target < self.now:
            self.out.append(f"<backup><duration>{self.now - target}</duration></backup>")
        self.now = target

    def back_to_start(self) -> None:
        self.to(Fraction(0))


def _direction(mark: Mark, part: Part) -> str:
    place = "" if mark.above is None else f' placement="{"above" if mark.above else "below"}"'
    staff = f"<staff>{mark.staff}</staff>" if part.staves > 1 else ""
    sound = f'<sound tempo="{mark.tempo:g}"/>' if mark.tempo else ""
    body = _direction_body(mark)
    return f"<direction{place}>{body}{staff}{sound}</direction>"


def _direction_body(mark: Mark) -> str:
    kind, value = mark.kind, mark.value
    out: list[str] = []
    if kind == "dynamics":
        inner = (
            f"<{value}/>"
            if value in DYNAMICS
            else f"<other-dynamics>{text(value)}</other-dynamics>"
        )
        out.append(f"<dynamics>{inner}</dynamics>")
    elif kind == "wedge":
        out.append(f'<wedge type="{value}" number="{mark.number}"/>')
    elif kind == "octave-shift":
        out.append(f'<octave-shift type="{value}" size="{mark.size}" number="{mark.number}"/>')
    elif kind == "pedal":
        out.append(f'<pedal type="{value}"/>')
    elif kind == "rehearsal":
        out.append(f"<rehearsal>{text(value)}</rehearsal>")
    else:
        if value.strip():
            out.append(f"<words>{text(value)}</words>")
        if mark.beat is not None:
            name, dots, count = mark.beat
            out.append(
                f"<metronome><beat-unit>{name}</beat-unit>{'<beat-unit-dot/>' * dots}"
                f"<per-minute>{text(count)}</per-minute></metronome>"
            )
        if not out:
            out.append("<words/>")
    return "".join(f"<direction-type>{o}</direction-type>" for o in out)
