"""One layer of one staff in one bar: notes, rests, and what encloses them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from fractions import Fraction

from analysis.engine.formats.mei import notes, values
from analysis.engine.formats.mei.staves import Staff, read_change
from analysis.engine.formats.mei.tree import ID, Element
from analysis.engine.formats.piece import LENGTHS, Change, Event
from analysis.engine.gate.notices import Notices

_WRAPS = frozenset({"supplied", "unclear", "add", "damage", "restore", "corr", "reg", "expan",
                    "lem", "rdg", "sic", "orig", "abbr", "subst", "gap", "hand"})  # fmt: skip
_BEAMED = ("eighth", "16th", "32nd", "64th", "128th", "256th", "512th", "1024th")


@dataclass
class Place:
    """Where a layer stands, for refusals and notices."""

    bar: int
    label: str
    part: str

    def __str__(self) -> str:
        return f"bar {self.label or self.bar + 1}, {self.part}"


@dataclass
class Layer:
    """What was read: events and changes; `whole` are rests that fill the bar."""

    events: list[Event] = field(default_factory=list)
    changes: list[Change] = field(default_factory=list)
    length: Fraction = Fraction(0)
    whole: list[Event] = field(default_factory=list)
    bars: int = 1  # a rest of several bars
    repeat: int = 0  # the bar is as the one(s) this many bars before


@dataclass
class LayerReader:
    """Reads one layer; `known` gets the element of each id."""

    staff: Staff
    voice: int
    place: Place
    pitches: notes.Pitches
    notices: Notices
    known: dict[str, tuple[int, Event, int | None]]  # id -> bar, event, head
    parts: dict[int, int]  # id of an event -> part of the piece
    part: int
    layer: Layer = field(default_factory=Layer)
    ratio: tuple[int, int] = (1, 1)
    grace: bool = False
    cue: bool = False

    def read(self, element: Element) -> Layer:
        """All of it."""
        for child in element:
            self._one(child)
        return self.layer

    def _one(self, element: Element) -> None:
        handler: Callable[[Element], None] | None = getattr(self, f"_on_{element.tag}", None)
        if handler is not None:
            handler(element)
        elif element.tag in _WRAPS:
            for child in element:
                self._one(child)

    # -- notes and rests ------------------------------------------------------------

    def _on_note(self, element: Element) -> None:
        self._sound(element, [element])

    def _on_chord(self, element: Element) -> None:
        inside = list(_notes_of(element))
        if inside:
            self._sound(element, inside)

    def _sound(self, element: Element, heads: list[Element]) -> Event:
        event = self._timed(element, heads[0])
        for number, head in enumerate(heads):
            made, unpitched = self.pitches.head(head, self.staff, str(self.place))
            event.unpitched = event.unpitched or unpitched
            notes.ties_of(element, head, made)
            event.heads.append(made)
            self._know(head, event, number)
        self._know(element, event, None if element.tag == "chord" else 0)
        for source in dict.fromkeys([element, *heads]):
            notes.signs_of(source, event)
        self._advance(event)
        return event

    def _on_rest(self, element: Element) -> None:
        event = self._timed(element)
        self._know(element, event, None)
        notes.signs_of(element, event)
        self._advance(event)

    def _on_space(self, element: Element) -> None:
        event = self._timed(element)
        self._know(element, event, None)
        if not event.grace:
            self.layer.length += event.length

    def _on_mSpace(self, element: Element) -> None:
        pass

    def _on_mRest(self, element: Element) -> None:
        event = Event(self.layer.length, Fraction(0), voice=self.voice, staff=self.staff.index)
        event.whole_bar = True
        event.hidden = element.get("visible") == "false"
        event.cue = self.cue or element.get("cue") == "true"
        self._know(element, event, None)
        notes.signs_of(element, event)
        self.layer.events.append(event)
        self.layer.whole.append(event)

    def _on_multiRest(self, element: Element) -> None:
        self._on_mRest(element)
        self.layer.bars = values.whole(
            element.get("num", "1"), 1, 5_000, "a rest of several bars", str(self.place)
        )

    def _on_mRpt(self, _: Element) -> None:
        self.layer.repeat = 1

    def _on_mRpt2(self, _: Element) -> None:
        self.layer.repeat = 2

    def _on_multiRpt(self, element: Element) -> None:
        self.layer.repeat = values.whole(
            element.get("num", "1"), 1, 64, "a bar repeat sign", str(self.place)
        )

    def _on_beatRpt(self, _: Element) -> None:
        """The beat before, once more."""
        beat = Fraction(4, self.staff.unit)
        start = self.layer.length - beat
        for event in [e for e in self.layer.events if e.onset >= start and e.heads]:
            self._advance(notes.copied(event, event.onset + beat), at=event.onset + beat)
        self.layer.length = start + 2 * beat
        self._repeat_told()

    def _on_halfmRpt(self, _: Element) -> None:
        half = self.layer.length
        for event in list(self.layer.events):
            self._advance(notes.copied(event, event.onset + half), at=event.onset + half)
        self.layer.length = 2 * half
        self._repeat_told()

    def _repeat_told(self) -> None:
        self.notices.add("written-out", "Repeat signs within the bar line or for whole bars were "
                         "written out.", bar=self.place.bar)  # fmt: skip

    def _timed(self, element: Element, also: Element | None = None) -> Event:
        """An event with length, ratio, grace and visibility, but no heads."""
        where = str(self.place)
        event = Event(self.layer.length, Fraction(0), voice=self.voice, staff=self.staff.index)
        event.type, event.dots = notes.printed_length(element, also, self.staff, where)
        if self.ratio != (1, 1):
            event.tuplet = self.ratio
        if element.get("grace") is not None or self.grace:
            event.grace = "plain" if element.get("grace") == "acc" else "slashed"
        else:
            dotted = 2 - Fraction(1, 2**event.dots)
            event.length = LENGTHS[event.type] * dotted * self.ratio[1] / self.ratio[0]
        event.cue = self.cue or element.get("cue") == "true"
        event.hidden = element.get("visible") == "false"
        return event

    def _advance(self, event: Event, at: Fraction | None = None) -> None:
        if at is not None:
            event.onset = at
        self.layer.events.append(event)
        if not event.grace:
            self.layer.length = event.onset + event.length

    def _know(self, element: Element, event: Event, head: int | None) -> None:
        self.parts[id(event)] = self.part
        given = element.get(ID)
        if given is not None:
            self.known[given] = (self.place.bar, event, head)

    # -- what encloses notes ---------------------------------------------------------

    def _on_beam(self, element: Element) -> None:
        first = len(self.layer.events)
        for child in element:
            self._one(child)
        inside = [
            e
            for e in self.layer.events[first:]
            if e.heads and not e.grace and e.type in _BEAMED and not e.beam
        ]
        if len(inside) > 1:
            for event in inside:
                event.beam = "continue"
            inside[0].beam, inside[-1].beam = "begin", "end"

    def _on_graceGrp(self, element: Element) -> None:
        before, self.grace = self.grace, True
        for child in element:
            self._one(child)
        self.grace = before

    def _on_tuplet(self, element: Element) -> None:
        before = self.ratio
        ratio = notes.ratio_of(element, str(self.place))
        self.ratio = notes.multiplied(before, ratio, str(self.place))
        first = len(self.layer.events)
        for child in element:
            self._one(child)
        self.ratio = before
        inside = [e for e in self.layer.events[first:] if not e.grace]
        if inside and before == (1, 1):
            inside[0].tuplet_marks.append("start")
            inside[-1].tuplet_marks.append("stop")

    def _on_bTrem(self, element: Element) -> None:
        first = len(self.layer.events)
        for child in element:
            self._one(child)
        for event in self.layer.events[first:]:
            if event.heads:
                event.tremolo = notes.strokes(element, event)

    def _on_fTrem(self, element: Element) -> None:
        """Two notes in alternation: each is printed with the length of both together."""
        first = len(self.layer.events)
        start = self.layer.length
        for child in element:
            self._one(child)
        pair = [e for e in self.layer.events[first:] if e.heads and not e.grace]
        if len(pair) != 2:
            return
        at = start
        for event, kind in zip(pair, ("start", "stop"), strict=True):
            event.tremolo, event.tremolo_kind = notes.strokes(element, event), kind
            event.tuplet = notes.multiplied(event.tuplet or (1, 1), (2, 1), str(self.place))
            event.onset, event.length = at, event.length / 2
            at += event.length
        self.layer.length = at

    def _on_app(self, element: Element) -> None:
        self._choose(element, ("lem", "rdg"))

    def _on_choice(self, element: Element) -> None:
        self._choose(element, ("corr", "reg", "expan", "sic", "orig", "abbr"))

    def _choose(self, element: Element, order: tuple[str, ...]) -> None:
        variants(self.notices, self.place.bar)
        chosen = chosen_of(element, order)
        if chosen is not None:
            for child in chosen:
                self._one(child)

    # -- changes ------------------------------------------------------------------------

    def _changed(self, element: Element) -> None:
        change = read_change(element, self.staff, str(self.place))
        if change is not None:
            change.onset = self.layer.length
            self.layer.changes.append(change)

    _on_clef = _on_keySig = _on_meterSig = _on_staffDef = _changed


def _notes_of(chord: Element) -> Iterator[Element]:
    for child in chord:
        if child.tag == "note":
            yield child
        elif child.tag in _WRAPS:
            yield from _notes_of(child)
        elif child.tag in ("app", "choice"):
            chosen = chosen_of(child, ("lem", "corr", "reg", "expan", "rdg", "sic", "orig"))
            if chosen is not None:
                yield from _notes_of(chosen)


def chosen_of(element: Element, order: tuple[str, ...]) -> Element | None:
    """The reading that is read where a file offers several."""
    for name in order:
        for child in element.iterchildren(name):
            return child
    return next(iter(element), None)


def variants(notices: Notices, bar: int | None) -> None:
    """Say that other readings were left out."""
    notices.add("variants", "The file offers several readings of some places; the editor's "
                "choice, or the first, was read.", bar=bar)  # fmt: skip
