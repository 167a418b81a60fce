"""Signs that stand beside the notes: ties, slurs, dynamics, words, octave lines."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from fractions import Fraction

from analysis.engine.formats.mei import values
from analysis.engine.formats.mei.music import Known
from analysis.engine.formats.mei.notes import multiplied, ratio_of
from analysis.engine.formats.mei.tree import Element, words
from analysis.engine.formats.piece import Event, Mark, Piece
from analysis.engine.formats.write import DYNAMICS
from analysis.engine.gate.notices import Notices

#: position in the piece: bar and quarters from its start
At = tuple[int, Fraction]
_TSTAMP = re.compile(r"(?:(\d{1,4})m\s*\+\s*)?(\d{1,4}(?:\.\d{1,9})?)")
_ORNAMENTS = {"trill": "trill-mark", "mordent": "mordent", "turn": "turn"}
_SILENT = frozenset({"mNum", "sb", "pb", "cb", "annot", "fing", "fingGrp", "beamSpan", "lv",
                     "symbol", "line", "curve", "anchoredText", "bracketSpan", "ornam", "cpMark",
                     "metaMark", "div", "fig", "lyrics"})  # fmt: skip


@dataclass
class Controls:
    """Applies all control signs to a piece that was walked."""

    piece: Piece
    known: Known
    notices: Notices
    sounding: bool  # whether the file gives sounding octaves (`oct.ges`)
    slurs: list[tuple[int, At, Event, At, Event]] = field(default_factory=list)
    spans: list[tuple[int, str, At, Mark, At, Mark]] = field(default_factory=list)
    left: set[str] = field(default_factory=set)

    def apply(self) -> None:
        """Everything, in file order; then numbers for what may overlap."""
        for bar, element in self.known.controls:
            handler: Callable[[int, Element], None] | None
            handler = getattr(self, f"_on_{element.tag}", None)
            if handler is not None:
                handler(bar, element)
            elif element.tag not in _SILENT:
                self._lost(bar)
        self._number()

    def _lost(self, bar: int) -> None:
        self.notices.add("signs", "Some signs beside the notes have no place in the copy that is "
                         "read here; they were left out.", bar=bar)  # fmt: skip

    # -- where --------------------------------------------------------------------------

    def _found(self, element: Element, name: str) -> tuple[int, Event, int | None] | None:
        return self.known.events.get(element.get(name, "").strip().lstrip("#"))

    def _part(self, bar: int, element: Element) -> tuple[int, int]:
        """Part and staff a sign belongs to."""
        given = element.get("staff", "").split()
        staff = self.known.staves[bar].get(given[0]) if given else None
        event = self._found(element, "startid")
        if event is not None:
            part = self.known.parts.get(id(event[1]), 0)
            own = event[1].staff
            return part, own
        if staff is None:
            return 0, 1
        return self.known.into[bar][staff.part], staff.index

    def _start(self, bar: int, element: Element) -> At | None:
        event = self._found(element, "startid")
        if event is not None:
            return event[0], event[1].onset
        return self._stamp(bar, element.get("tstamp"))

    def _end(self, bar: int, element: Element, *, after: bool) -> At | None:
        event = self._found(element, "endid")
        if event is not None:
            return event[0], event[1].onset + (event[1].length if after else 0)
        return self._stamp(bar, element.get("tstamp2"))

    def _stamp(self, bar: int, value: str | None) -> At | None:
        """A time stamp: "2.5", or "1m+2.5" in a later bar."""
        found = _TSTAMP.fullmatch((value or "").strip())
        if found is None:
            return None
        target = min(bar + int(found[1] or 0), len(self.piece.frames) - 1)
        quarters = (Fraction(found[2]) - 1) * 4 / self.known.meters[target][1]
        quarters = quarters.limit_denominator(64)
        return target, min(max(quarters, Fraction(0)), self.known.lengths[target])

    def _mark(self, bar: int, element: Element, kind: str, value: str) -> Mark | None:
        at = self._start(bar, element)
        if at is None:
            at = (bar, Fraction(0))
        part, staff = self._part(bar, element)
        mark = Mark(at[1], kind, value, staff=staff, above=_above(element))
        self.piece.parts[part].bars[at[0]].marks.append(mark)
        return mark

    # -- ties, slurs, tuplets ---------------------------------------------------------------

    def _on_tie(self, bar: int, element: Element) -> None:
        for name, ends in (("startid", False), ("endid", True)):
            found = self._found(element, name)
            if found is None:
                if element.get(name):
                    self.notices.add("tie-lost", "Ties lead to notes that are not in the file; "
                                     "they were left out.", bar=bar)  # fmt: skip
                continue
            _, event, number = found
            for head in event.heads if number is None else [event.heads[number]]:
                if ends:
                    head.tie_stop = True
                else:
                    head.tie_start = True

    def _on_slur(self, bar: int, element: Element) -> None:
        start, end = self._found(element, "startid"), self._found(element, "endid")
        if start is None or end is None or not (start[1].heads and end[1].heads):
            self._lost(bar)
            return
        part = self.known.parts.get(id(start[1]), 0)
        if part != self.known.parts.get(id(end[1]), 0):
            self._lost(bar)
            return
        self.slurs.append(
            (part, (start[0], start[1].onset), start[1], (end[0], end[1].onset), end[1])
        )

    _on_phrase = _on_slur

    def _on_tupletSpan(self, bar: int, element: Element) -> None:
        """Lengths were read as printed; a span over notes without a bracket shortens them."""
        start, end = self._found(element, "startid"), self._found(element, "endid")
        if start is None or end is None or start[0] != end[0]:
            self._lost(bar)
            return
        part = self.piece.parts[self.known.parts[id(start[1])]].bars[start[0]]
        voice = [e for e in part.events if e.voice == start[1].voice]
        try:
            first, last = _index(voice, start[1]), _index(voice, end[1])
        except ValueError:
            return
        ratio = ratio_of(element, f"bar {self.piece.frames[bar].label}")
        inside = [e for e in voice[first : last + 1] if not e.grace]
        if not inside or any(e.tuplet for e in inside):
            return
        saved = Fraction(0)
        for event in voice[first:]:
            event.onset -= saved
            if event in inside and any(event is e for e in inside):
                event.tuplet = multiplied((1, 1), ratio, "")
                shorter = event.length * ratio[1] / ratio[0]
                saved += event.length - shorter
                event.length = shorter
        inside[0].tuplet_marks.append("start")
        inside[-1].tuplet_marks.append("stop")

    # -- signs at notes ------------------------------------------------------------------------

    def _at_note(self, bar: int, element: Element) -> Event | None:
        found = self._found(element, "startid")
        if found is not None:
            return found[1]
        at = self._start(bar, element)
        if at is None:
            return None
        part, staff = self._part(bar, element)
        here = self.piece.parts[part].bars[at[0]].events
        same = [e for e in here if e.onset == at[1] and e.staff == staff and not e.grace]
        return same[0] if same else None

    def _on_fermata(self, bar: int, element: Element) -> None:
        event = self._at_note(bar, element)
        if event is not None:
            event.fermata = True

    def _ornament(self, bar: int, element: Element) -> None:
        event = self._at_note(bar, element)
        if event is None or not event.heads:
            self._lost(bar)
            return
        name = _ORNAMENTS[str(element.tag)]
        if name == "mordent" and element.get("form") == "upper":
            name = "inverted-mordent"
        if name == "turn" and element.get("form") == "lower":
            name = "inverted-turn"
        if name not in event.ornaments:
            event.ornaments.append(name)

    _on_trill = _on_mordent = _on_turn = _ornament

    def _on_arpeg(self, bar: int, element: Element) -> None:
        targets = element.get("plist", element.get("startid", "")).split()
        for target in targets:
            found = self.known.events.get(target.lstrip("#"))
            if found is not None:
                found[1].arpeggio = True

    def _on_breath(self, bar: int, element: Element) -> None:
        event = self._at_note(bar, element)
        name = "caesura" if element.tag == "caesura" else "breath-mark"
        if event is not None and event.heads and name not in event.articulations:
            event.articulations.append(name)

    _on_caesura = _on_breath

    # -- signs over the staff ---------------------------------------------------------------------

    def _on_dynam(self, bar: int, element: Element) -> None:
        said = words(element)
        first, _, rest = said.partition(" ")
        if first in DYNAMICS:
            mark = self._mark(bar, element, "dynamics", first)
            said = rest
            if mark is None or not rest:
                return
        if said:
            self._mark(bar, element, "words", said)

    def _on_dir(self, bar: int, element: Element) -> None:
        said = words(element)
        if said:
            self._mark(bar, element, "words", said)

    _on_repeatMark = _on_dir

    def _on_tempo(self, bar: int, element: Element) -> None:
        mark = self._mark(bar, element, "tempo", words(element))
        if mark is None:
            return
        mark.above = True if mark.above is None else mark.above
        unit, count = values.TYPES.get(element.get("mm.unit", "")), element.get("mm")
        if unit and count and re.fullmatch(r"\d{1,4}(\.\d{1,4})?", count):
            dots = min(
                2,
                int(element.get("mm.dots", "0")) if element.get("mm.dots", "0").isdecimal() else 0,
            )
            if not re.search(r"=\s*\d", mark.value):
                mark.beat = (unit, dots, count)
            elif not re.search(r"[A-Za-z]{3}", mark.value):
                mark.value, mark.beat = "", (unit, dots, count)
        bpm = element.get("midi.bpm")
        if bpm and re.fullmatch(r"\d{1,4}(\.\d{1,6})?", bpm):
            mark.tempo = float(bpm)

    def _on_reh(self, bar: int, element: Element) -> None:
        said = words(element)
        if said:
            self._mark(bar, element, "rehearsal", said)

    def _on_pedal(self, bar: int, element: Element) -> None:
        direction = {"down": "start", "up": "stop", "bounce": "change"}.get(element.get("dir", ""))
        if direction:
            self._mark(bar, element, "pedal", direction)

    def _span(self, bar: int, element: Element, kind: str, begin: str) -> tuple[At, At] | None:
        start = self._start(bar, element)
        end = self._end(bar, element, after=True)
        if start is None or end is None or end < start:
            self._lost(bar)
            return None
        part, staff = self._part(bar, element)
        above = _above(element)
        opened = Mark(start[1], kind, begin, staff=staff, above=above)
        closed = Mark(end[1], kind, "stop", staff=staff, above=above)
        self.spans.append((part, kind, start, opened, end, closed))
        return start, end

    def _on_hairpin(self, bar: int, element: Element) -> None:
        form = "crescendo" if element.get("form") == "cres" else "diminuendo"
        self._span(bar, element, "wedge", form)

    def _on_octave(self, bar: int, element: Element) -> None:
        """An octave line; it moves the notes of files that give no sounding octaves."""
        size = {"8": 8, "15": 15, "22": 22}.get(element.get("dis", "8"), 8)
        above = element.get("dis.place") != "below"
        found = self._span(bar, element, "octave-shift", "down" if above else "up")
        if found is None:
            return
        _, _, start, opened, end, closed = self.spans[-1]
        opened.size = closed.size = size
        part, staff = self._part(bar, element)
        if self.sounding:
            return
        moved = (1 if above else -1) * ((size - 1) // 7)
        for index in range(start[0], end[0] + 1):
            for event in self.piece.parts[part].bars[index].events:
                if event.staff == staff and start <= (index, event.onset) < end:
                    for head in event.heads:
                        head.octave += moved

    # -- numbers ---

    def _number(self) -> None:
        """Slurs and spans that overlap get numbers of their own; at most six are told apart."""
        self.slurs.sort(key=lambda s: (s[0], s[1]))
        busy: dict[tuple[int, int], At] = {}
        for part, start, first, end, last in self.slurs:
            free = next((n for n in range(1, 7) if (busy.get((part, n), (-1, Fraction(0))) <= start
                         and (part, n) not in busy) or busy.get((part, n), start) < start),
                        None)  # fmt: skip
            if free is None:
                self._lost(start[0])
                continue
            busy[part, free] = end
            first.slurs.append((free, "start"))
            last.slurs.append((free, "stop"))
        self.spans.sort(key=lambda s: (s[0], s[2]))
        taken: dict[tuple[int, str, int], At] = {}
        for part, kind, start, opened, end, closed in self.spans:
            number = next(
                (n for n in range(1, 7) if taken.get((part, kind, n), (-1, Fraction(0))) <= start),
                6,
            )
            taken[part, kind, number] = end
            opened.number = closed.number = number
            self.piece.parts[part].bars[start[0]].marks.append(opened)
            self.piece.parts[part].bars[end[0]].marks.insert(0, closed)


def _index(events: list[Event], wanted: Event) -> int:
    for i, event in enumerate(events):
        if event is wanted:
            return i
    raise ValueError


def _above(element: Element) -> bool | None:
    return {"above": True, "below": False}.get(element.get("place", ""))
