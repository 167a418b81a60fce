"""One pass over the file: parts, bars, notes and signs as they stand there.

The file is read part by part with `lxml.etree.iterparse` and every bar is
dropped once it has been read, so that memory stays flat however long the
score is.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from fractions import Fraction
from functools import lru_cache
from typing import Any

from lxml import etree

from analysis.engine.errors import Refused
from analysis.engine.model import TICKS, NoteFlag
from analysis.engine.reader import attributes, directions, head, note_signs
from analysis.engine.reader.numbers import Number, alteration, exact, number
from analysis.engine.reader.raw import (
    PITCHED,
    REST,
    TIE_START,
    TIE_STOP,
    UNPITCHED,
    RawBar,
    Scan,
)

STEPS = {"C": 0, "D": 1, "E": 2, "F": 3, "G": 4, "A": 5, "B": 6}
_STEMS = {"up": 1, "down": -1}

_GRACE = int(NoteFlag.GRACE)
_CUE = int(NoteFlag.CUE)
_CHORD = int(NoteFlag.CHORD)
_ROUNDED = int(NoteFlag.ROUNDED)
_UNPITCHED = int(NoteFlag.UNPITCHED)
_QUARTERS = {
    name: Fraction(4, 2**n)
    for n, name in enumerate(
        ("whole", "half", "quarter", "eighth", "16th", "32nd", "64th", "128th", "256th")
    )
} | {"breve": Fraction(8), "long": Fraction(16)}


def scan(canonical: bytes) -> Scan:
    """Read a canonical MusicXML file.

    Parameters
    ----------
    canonical : bytes
        Score-partwise MusicXML without a DTD subset, as the gate writes it.

    Returns
    -------
    Scan
        In document order; nothing is joined or interpreted yet.

    Raises
    ------
    Refused
        If the bytes are not well-formed score-partwise MusicXML.
    """
    out = Scan()
    indices: dict[str, int] = {}
    readers: dict[int, PartReader] = {}
    events = etree.iterparse(
        io.BytesIO(canonical),
        events=("end",),
        tag=("measure", "part-list", "work-title", "movement-title", "credit", "identification"),
        resolve_entities=False,
        load_dtd=False,
        no_network=True,
        remove_comments=True,
        remove_pis=True,
    )
    try:
        for _, element in events:
            if element.tag == "measure":
                parent = element.getparent()
                key = parent.get("id", "") if parent is not None else ""
                index = indices.get(key)
                if index is None:
                    index = head.forgotten_part(out, indices, key)
                reader = readers.get(index)
                if reader is None:
                    reader = readers[index] = PartReader(out, index)
                reader.measure(element)
                element.clear()
            else:
                head.read_head(out, element, indices)
    except etree.XMLSyntaxError as error:
        raise Refused(
            "This file is not complete MusicXML. Export it again from your notation program.",
            code="not-well-formed",
        ) from error
    if not any(out.bars):
        raise Refused("There is no bar of music in this file.", code="no-music")
    return out


class PartReader:
    """Reads the bars of one part in order, carrying what stays in force."""

    def __init__(self, out: Scan, part: int) -> None:
        self.out = out
        self.part = part
        self.divisions = 1
        self.bar = -1
        self.raw = RawBar("")
        self.unit = 1  # positions are counted in 1/unit of a quarter
        self.factor = 1  # unit // divisions
        self.per = TICKS  # ticks of one position unit, 0 if not whole
        self.cursor: Number = 0
        self.furthest: Number = 0
        self.last_onset: Number = 0
        self.last_chord_row = -1
        self.graces: list[int] = []  # rows waiting for their main note
        self.shifts: dict[int, tuple[int, int]] = {}  # staff -> semitones, steps
        self.shift = (0, 0)
        self.clefs: dict[int, int] = {}  # staff -> index into Scan.clefs
        self.voices: dict[str, int] = {}
        self.open_slurs: dict[str, int] = {}
        self.open_spans: dict[tuple[str, str], int] = {}
        self.instrument = ""
        self.handlers: dict[str, Callable[[Any], None]] = {
            "note": self.note,
            "backup": self.backup,
            "forward": self.forward,
            "attributes": lambda e: attributes.read(self, e),
            "direction": lambda e: directions.read(self, e),
            "sound": lambda e: directions.sound(self, e),
            "barline": self.barline,
        }

    # -- time ---------------------------------------------------------------

    def set_divisions(self, divisions: int) -> None:
        """Take new divisions, also in the middle of a bar."""
        self.divisions = divisions
        if self.unit % divisions:
            unit = self.unit * divisions if self.cursor else divisions
            scale = Fraction(unit, self.unit)
            self.cursor = exact(self.cursor * scale)
            self.furthest = exact(self.furthest * scale)
            self.last_onset = exact(self.last_onset * scale)
            self.unit = unit
        self._rescale()

    def _rescale(self) -> None:
        self.factor = self.unit // self.divisions
        self.per = TICKS // self.unit if TICKS % self.unit == 0 else 0

    def ticks(self, position: Number) -> int:
        """Ticks of a position in this bar; what does not fit is rounded and remembered."""
        if self.per and isinstance(position, int):
            return position * self.per
        exact = Fraction(position) * TICKS / self.unit
        if exact.denominator != 1:
            self.out.rounded.add((self.part, self.bar))
        return round(exact)

    def move(self, by: Number) -> None:
        self.cursor = max(self.cursor + by, 0)
        if self.cursor > self.furthest:
            self.furthest = self.cursor

    # -- elements -----------------------------------------------------------

    def measure(self, element: Any) -> None:
        """Read one `<measure>`."""
        get = element.get
        self.bar += 1
        self.raw = RawBar(
            number=get("number", "").strip(),
            text=(get("text") or "").strip(),
            implicit=get("implicit") == "yes",
        )
        self.out.bars[self.part].append(self.raw)
        self.unit = self.divisions
        self._rescale()
        self.cursor = self.furthest = self.last_onset = 0
        self.last_chord_row = -1
        self.graces.clear()
        handlers = self.handlers
        for child in element:
            handler = handlers.get(child.tag)
            if handler is not None:
                handler(child)
        if self.graces:
            self._number_graces()
        if self.furthest > 0:
            self.raw.length = max(self.raw.length, self.ticks(self.furthest))

    def backup(self, element: Any) -> None:
        self.move(-number(element.findtext("duration")) * self.factor)
        if self.graces:
            self._number_graces()

    def forward(self, element: Any) -> None:
        self.move(number(element.findtext("duration")) * self.factor)

    def barline(self, element: Any) -> None:
        """Repeat signs and endings; where the same sign stands in several parts, once is enough."""
        raw = self.raw
        style = element.findtext("bar-style")
        repeat = element.find("repeat")
        if repeat is not None:
            if repeat.get("direction") == "forward":
                raw.forward = True
            else:
                raw.backward = max(raw.backward, int(number(repeat.get("times"))) or 2)
        elif style == "light-heavy" and element.get("location", "right") == "right":
            raw.final = True
        ending = element.find("ending")
        if ending is not None:
            if ending.get("type") == "start":
                raw.ending = ending.get("number", "").strip() or "1"
            else:
                raw.ending_stop = True
        for name in ("segno", "coda"):
            if element.find(name) is not None:
                raw.jumps.setdefault(name, name)

    def note(self, element: Any) -> None:
        """Read one `<note>`: a row, and the signs that hang on it."""
        out = self.out
        duration: Number = 0
        kind = REST
        step = alter = octave = cents = flags = articulation = technique = tie = stem = 0
        voice = "1"
        staff = 1
        whole_rest = chord = False
        notations: list[Any] = []
        type_, dots, ratio = "", 0, None
        for child in element:
            tag = child.tag
            if tag == "duration":
                try:
                    duration = int(child.text)
                except (TypeError, ValueError):
                    duration = number(child.text)
            elif tag == "voice":
                voice = child.text or "1"
            elif tag == "type":
                type_ = child.text or ""
            elif tag == "pitch":
                kind = PITCHED
                for x in child:
                    part_of = x.tag
                    if part_of == "step":
                        step = STEPS.get((x.text or "C").strip(), 0)
                    elif part_of == "octave":
                        octave = int(x.text or 4)
                    elif part_of == "alter":
                        alter, cents = alteration(x.text)
            elif tag == "stem":
                stem = _STEMS.get(child.text or "", 0)
            elif tag == "notations":
                notations.append(child)
            elif tag == "beam" or tag == "accidental":
                continue  # as engraved; the pitch and the duration say it
            elif tag == "rest":
                whole_rest = child.get("measure") == "yes"
            elif tag == "time-modification":
                ratio = child
            elif tag == "tie":
                tie |= TIE_START if child.get("type") == "start" else TIE_STOP
            elif tag == "chord":
                chord = True
            elif tag == "dot":
                dots += 1
            elif tag == "staff":
                staff = int(child.text or 1)
            elif tag == "grace":
                flags |= _GRACE
            elif tag == "cue":
                flags |= _CUE
            elif tag == "unpitched":
                kind = UNPITCHED
                flags |= _UNPITCHED
                step = STEPS.get((child.findtext("display-step") or "C").strip(), 0)
                octave = int(child.findtext("display-octave") or 4)
            elif tag == "lyric":
                out.lyrics[self.part] = True
            elif tag == "instrument":
                self._instrument(child.get("id", ""))
        row = len(out.rows)
        if element.get("print-object") == "no":
            # Nobody can read it on the page: it takes part in no analysis.
            flags |= _CUE
            if kind:
                out.hidden.add((self.part, self.bar))
        if notations:
            more = note_signs.read(self, notations, row)
            flags |= more.flags
            articulation = more.articulation
            technique = more.technique
            tie |= more.tie
        onset = self.last_onset if chord else self.cursor
        if chord:
            flags |= _CHORD
            self._mark_chord_head()
        grace = bool(flags & _GRACE)
        if grace:
            duration = 0
        start = self.ticks(onset)
        length = 0
        if duration:
            length = self.ticks(onset + duration * self.factor) - start
            if not self.per:
                exact = (
                    Fraction(onset) * TICKS % self.unit or Fraction(duration) * TICKS % self.unit
                )
                flags |= _ROUNDED if exact else 0
        if ratio is not None and length and self._rounded_tuplet(type_, dots, ratio, duration):
            flags |= _ROUNDED
        try:
            number_of_voice = self.voices[voice]
        except KeyError:
            number_of_voice = self._voice(voice)
        semitones, steps = self.shifts.get(staff, self.shift) if self.shifts else self.shift
        out.ids.append(element.get("id") or f"n{self.part}-{self.bar}-{self.raw.notes}")
        self.raw.notes += 1
        out.rows.append(
            (
                self.part,
                self.bar,
                start,
                length,
                staff,
                number_of_voice,
                kind,
                step,
                alter,
                octave,
                cents,
                flags,
                articulation,
                technique,
                tie,
                stem,
                semitones,
                steps,
                self.clefs.get(staff, 0),
                0,
            )
        )
        if grace:
            self._grace(row, chord)
        elif not chord:
            if self.graces:
                self._number_graces()
            self.last_onset = self.cursor
            self._advance(duration * self.factor, whole_rest)
        if not chord:
            self.last_onset = onset
            self.last_chord_row = row

    # -- helpers of note ----------------------------------------------------

    def _advance(self, by: Number, whole_rest: bool) -> None:
        if not whole_rest:
            self.move(by)
            return
        # A rest over the whole bar says nothing of how long the bar is: some
        # programs always write four quarters. It is kept apart.
        start = self.cursor
        self.cursor = start + by
        self.raw.rest_length = max(self.raw.rest_length, self.ticks(self.cursor))

    def _rounded_tuplet(self, type_: str, dots: int, ratio: Any, duration: Number) -> bool:
        """Whether the file itself rounds this tuplet note to its own divisions."""
        actual, normal = ratio.findtext("actual-notes"), ratio.findtext("normal-notes")
        rounded = _is_rounded(type_, dots, actual, normal, self.divisions, duration)
        if rounded:
            self.out.tuplets.add((self.part, self.bar))
        return rounded

    def _voice(self, voice: str) -> int:
        text = voice.strip()
        value = int(text) if text.isdigit() and int(text) < 1000 else 1001 + len(self.voices)
        self.voices[voice] = value
        return value

    def _instrument(self, key: str) -> None:
        if key and key != self.instrument:
            if self.instrument:
                name = self.out.heads[self.part].instruments.get(key, "")
                self.out.instrument_changes[self.part].append((self.bar, name))
            self.instrument = key

    def _mark_chord_head(self) -> None:
        rows = self.out.rows
        head = self.last_chord_row
        if 0 <= head < len(rows) and not rows[head][11] & _CHORD:
            row = rows[head]
            rows[head] = (*row[:11], row[11] | _CHORD, *row[12:])

    def _grace(self, row: int, chord: bool) -> None:
        self.graces.append(-row - 1 if chord else row)

    def _number_graces(self) -> None:
        """Number waiting graces -n .. -1; notes of one grace chord share their number."""
        heads = sum(1 for g in self.graces if g >= 0)
        order = -heads - 1
        for g in self.graces:
            row = g if g >= 0 else -g - 1
            order += 1 if g >= 0 else 0
            self.out.rows[row] = (*self.out.rows[row][:19], max(order, -127))
        self.graces.clear()


@lru_cache(maxsize=4096)
def _is_rounded(
    type_: str,
    dots: int,
    actual: str | None,
    normal: str | None,
    divisions: int,
    duration: Number,
) -> bool:
    quarters = _QUARTERS.get(type_)
    if quarters is None or not number(actual) or not number(normal):
        return False
    exact = quarters * (2 - Fraction(1, 2**dots)) * divisions * number(normal) / number(actual)
    return 0 < abs(exact - duration) < 1
