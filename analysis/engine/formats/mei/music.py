"""Movements, sections and bars: the walk over the whole piece."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from analysis.engine.errors import Refused
from analysis.engine.formats.mei import notes, values
from analysis.engine.formats.mei.layer import Layer, LayerReader, Place, chosen_of, variants
from analysis.engine.formats.mei.staves import Layout, Staff, label, layout, take
from analysis.engine.formats.mei.tree import Element, words
from analysis.engine.formats.piece import Event, Frame, Mark, Part, PartBar, Piece
from analysis.engine.gate.limits import Limits
from analysis.engine.gate.notices import Notices

_AGAIN = "Export the score again, best as MusicXML, and upload the new file."
_WRAPS = frozenset({"section", "supplied", "unclear", "add", "damage", "restore", "corr", "reg",
                    "lem", "rdg", "expan", "sic", "orig", "subst"})  # fmt: skip


@dataclass
class Known:
    """What later passes look up: events by id, control signs by bar."""

    events: dict[str, tuple[int, Event, int | None]] = field(default_factory=dict)
    parts: dict[int, int] = field(default_factory=dict)  # id of an event -> part
    controls: list[tuple[int, Element]] = field(default_factory=list)
    staves: list[dict[str, Staff]] = field(default_factory=list)  # of each bar
    into: list[dict[int, int]] = field(default_factory=list)  # of each bar: parts of the piece
    meters: list[tuple[Fraction | None, int]] = field(default_factory=list)  # of each bar
    lengths: list[Fraction] = field(default_factory=list)  # of each bar, in quarters


class Walker:
    """Reads all movements of a file into one piece."""

    def __init__(self, root: Element, limits: Limits, notices: Notices) -> None:
        self.limits = limits
        self.notices = notices
        self.piece = Piece()
        self.known = Known()
        self.pitches = notes.Pitches(notes.says_accidentals(root))
        self.layout = Layout()
        self.into: dict[int, int] = {}  # part of this movement -> part of the piece
        self.left_repeat = False
        self.rename: list[tuple[int, str]] = []  # parts named anew before the next bar

    def read(self, music: Element) -> Piece:
        """All movements, one after the other."""
        scores = [e for e in music.iter("mdiv") if e.find("score") is not None]
        if not scores:
            if next(music.iter("parts"), None) is not None:
                raise Refused("The file holds single parts and no score of them all. Export the "
                              "full score and upload that.", code="parts-only")  # fmt: skip
            raise Refused(f"The file holds no bar of music. {_AGAIN}", code="no-music")
        for mdiv in scores:
            self._movement(mdiv)
        if not self.piece.frames:
            raise Refused(f"The file holds no bar of music. {_AGAIN}", code="no-music")
        return self.piece

    def _movement(self, mdiv: Element) -> None:
        score = mdiv.find("score")
        assert score is not None
        definition = score.find("scoreDef")
        if definition is None:
            raise Refused(f"The file defines no staff. {_AGAIN}", code="no-staff")
        self.layout = layout(definition, self.limits)
        first = len(self.piece.frames)
        self._join_parts(first)
        seen = False
        for child in score:
            if child is definition and not seen:
                seen = True
                continue
            self._walk(child)
        if len(self.piece.frames) == first:
            return
        if first:
            self.piece.frames[first - 1].right = "light-heavy"
            if mdiv.get("label"):
                title = Mark(Fraction(0), "words", str(mdiv.get("label")), above=True)
                self.piece.parts[0].bars[first].marks.append(title)

    def _join_parts(self, bars: int) -> None:
        """Parts of a later movement go on in those of the same name."""
        if not self.piece.parts:
            self.piece.parts, self.piece.groups = self.layout.parts, self.layout.groups
            self.into = {i: i for i in range(len(self.layout.parts))}
            return
        free = list(range(len(self.piece.parts)))
        self.into = {}
        for i, part in enumerate(self.layout.parts):
            same = [k for k in free if self.piece.parts[k].name.lower() == part.name.lower()
                    and self.piece.parts[k].staves == part.staves]  # fmt: skip
            if same:
                self.into[i] = same[0]
                free.remove(same[0])
                continue
            self.into[i] = len(self.piece.parts)
            part.bars = [_empty(Fraction(4)) for _ in range(bars)]
            self.piece.parts.append(part)

    # -- sections ----------------------------------------------------------------------

    def _walk(self, element: Element) -> None:
        tag = element.tag
        if tag == "measure":
            self._measure(element)
        elif tag == "ending":
            self._ending(element)
        elif tag in ("scoreDef", "staffDef"):
            self._redefine(element)
        elif tag in ("app", "choice"):
            variants(self.notices, None)
            chosen = chosen_of(element, ("lem", "corr", "reg", "expan", "rdg", "sic", "orig"))
            if chosen is not None:
                self._walk(chosen)
        elif tag in _WRAPS:
            for child in element:
                self._walk(child)
        elif tag in ("staff", "layer"):
            raise Refused(f"The file has music outside its bars. {_AGAIN}", code="layout")

    def _ending(self, element: Element) -> None:
        first = len(self.piece.frames)
        for child in element:
            self._walk(child)
        if len(self.piece.frames) == first:
            return
        number = "".join(c for c in element.get("n", "1") if c.isdigit() or c in ", ") or "1"
        self.piece.frames[first].ending_start = number
        last = self.piece.frames[-1]
        last.ending_stop, last.ending_open = number, not last.repeat_end

    def _redefine(self, element: Element) -> None:
        where = f"before bar {len(self.piece.frames) + 1}"
        if element.tag == "scoreDef":
            for staff in self.layout.staves.values():
                take(element, staff, where)
        for definition in element.iter("staffDef"):
            known = self.layout.staves.get(definition.get("n", ""))
            if known is None:
                continue
            take(definition, known, where)
            name = label(definition)
            part = self.piece.parts[self.into[known.part]]
            if name and name != part.name:
                self.notices.add("renamed", "Parts change their names within the file; the names "
                                 "at the start were kept, and the new ones written over the "
                                 "staff.", bar=len(self.piece.frames))  # fmt: skip
                self.rename.append((self.into[known.part], name))

    # -- bars --------------------------------------------------------------------------

    def _measure(self, measure: Element) -> None:
        index = len(self.piece.frames)
        if index >= self.limits.bars:
            raise Refused(
                f"The score has more than {self.limits.bars} bars; upload its movements as files "
                "of their own.", code="bars")  # fmt: skip
        shown = " ".join(measure.get("n", str(index + 1)).split())[:20]
        self.pitches.new_bar()
        layers: list[tuple[Staff, Layer]] = []
        seen: set[str] = set()
        for staff_element in _inside(measure, "staff", self.notices, index):
            n = staff_element.get("n", "")
            staff = self.layout.staves.get(n)
            if staff is None or n in seen:
                raise Refused(
                    f"Bar {shown}: a staff of the music is not defined, or stands there twice. "
                    f"{_AGAIN}", code="staff-unlisted", where=f"bar {shown}")  # fmt: skip
            seen.add(n)
            layers += self._staff(staff_element, staff, index, shown)
        first = next(iter(self.layout.staves.values()))
        self.known.meters.append((first.meter, first.unit))
        self.known.staves.append(self.layout.staves)
        self.known.into.append(self.into)
        length = self._length(measure, layers, first)
        self.known.lengths.append(length)
        self._frame(measure, shown)
        self._place(layers, length, index)
        for child in measure:
            self.known.controls += [(index, e) for e in _controls(child)]
        self._more_rests(max((layer.bars for _, layer in layers), default=1), length, shown)

    def _staff(
        self, element: Element, staff: Staff, index: int, shown: str
    ) -> list[tuple[Staff, Layer]]:
        part = self.layout.parts[staff.part]
        place = Place(index, shown, part.name)
        read = []
        for child in element:
            if child.tag in ("clef", "keySig", "meterSig", "staffDef"):
                take(child, staff, str(place))
        for number, layer in enumerate(_inside(element, "layer", self.notices, index)):
            voice = (staff.index - 1) * 4 + number + 1
            reader = LayerReader(
                staff,
                voice,
                place,
                self.pitches,
                self.notices,
                self.known.events,
                self.known.parts,
                self.into[staff.part],
            )
            made = reader.read(layer)
            read.append((staff, made))
        return read

    def _length(
        self, measure: Element, layers: list[tuple[Staff, Layer]], staff: Staff
    ) -> Fraction:
        """Length of the bar: its metre's, or what its voices hold where that is less."""
        held = max((layer.length for _, layer in layers), default=Fraction(0))
        if staff.meter is None:
            return held or Fraction(4)
        if held and (measure.get("metcon") == "false" or held < staff.meter):
            return held
        return staff.meter

    def _frame(self, measure: Element, shown: str) -> None:
        left, right = measure.get("left", ""), measure.get("right", "")
        frame = Frame(shown)
        frame.implicit = measure.get("metcon") == "false"
        frame.repeat_start = self.left_repeat or left in ("rptstart", "rptboth")
        frame.repeat_end = right in ("rptend", "rptboth")
        if left in ("rptend", "rptboth") and self.piece.frames:
            self.piece.frames[-1].repeat_end = True
        self.left_repeat = right in ("rptstart", "rptboth")
        frame.right = values.BARLINES.get(right, "")
        self.piece.frames.append(frame)

    def _place(self, layers: list[tuple[Staff, Layer]], length: Fraction, index: int) -> None:
        """The bar of every part; those without a staff rest."""
        bars: dict[int, PartBar] = {}
        for staff, layer in layers:
            bar = bars.setdefault(self.into[staff.part], PartBar())
            if layer.repeat:
                self._repeat(layer, staff, index)
            for rest in layer.whole:
                rest.length = max(length - rest.onset, Fraction(0))
            bar.events += layer.events
            bar.changes += layer.changes
        for staff in self.layout.staves.values():
            if staff.pending:
                into = bars.setdefault(self.into[staff.part], _empty(length))
                into.changes = staff.pending + into.changes
                staff.pending = []
        for number, part in enumerate(self.piece.parts):
            made = bars.get(number) or _empty(length)
            for staves in range(1, part.staves + 1):
                if not any(e.staff == staves for e in made.events):
                    made.events.append(_rest(length, staves))
            part.bars.append(made)
        for number, name in self.rename:
            mark = Mark(Fraction(0), "words", name, above=True)
            self.piece.parts[number].bars[-1].marks.append(mark)
        self.rename = []

    def _repeat(self, layer: Layer, staff: Staff, index: int) -> None:
        source = index - layer.repeat
        self.notices.add("written-out", "Repeat signs within the bar line or for whole bars were "
                         "written out.", bar=index)  # fmt: skip
        if source < 0:
            return
        before = self.piece.parts[self.into[staff.part]].bars[source]
        for event in before.events:
            if event.staff == staff.index:
                again = notes.copied(event, event.onset)
                layer.events.append(again)
                self.known.parts[id(again)] = self.into[staff.part]

    def _more_rests(self, count: int, length: Fraction, shown: str) -> None:
        """The further bars of a rest of several bars."""
        if len(self.piece.frames) + count - 1 > self.limits.bars:
            raise Refused(
                f"The score has more than {self.limits.bars} bars; upload its movements as files "
                "of their own.", code="bars")  # fmt: skip
        number = int(shown) if shown.isdecimal() else None
        for k in range(1, count):
            after = str(number + k) if number is not None else f"{shown}+{k}"
            last = self.piece.frames[-1]
            frame = Frame(after, right=last.right, repeat_end=last.repeat_end)
            last.right, last.repeat_end = "", False
            self.piece.frames.append(frame)
            for part in self.piece.parts:
                bar = PartBar([_rest(length, s) for s in range(1, part.staves + 1)])
                part.bars.append(bar)
            self.known.meters.append(self.known.meters[-1])
            self.known.staves.append(self.known.staves[-1])
            self.known.into.append(self.into)
            self.known.lengths.append(length)


def _inside(element: Element, name: str, notices: Notices, bar: int) -> list[Element]:
    """Children of one name, also those within editorial marks."""
    found = []
    for child in element:
        if child.tag == name:
            found.append(child)
        elif child.tag in ("app", "choice"):
            variants(notices, bar)
            chosen = chosen_of(child, ("lem", "corr", "reg", "expan", "rdg", "sic", "orig"))
            if chosen is not None:
                found += _inside(chosen, name, notices, bar)
        elif child.tag in _WRAPS:
            found += _inside(child, name, notices, bar)
        elif child.tag == "ossia":
            notices.add("ossia", "Alternative staves (ossia) were left out; the main text was "
                        "read.", bar=bar)  # fmt: skip
            found += [e for e in child.iterchildren(name)]
    return found


def _controls(element: Element) -> list[Element]:
    if element.tag in ("staff", "ossia"):
        return []
    if element.tag in ("app", "choice"):
        chosen = chosen_of(element, ("lem", "corr", "reg", "expan", "rdg", "sic", "orig"))
        return [] if chosen is None else _controls(chosen)
    if element.tag in _WRAPS:
        return [e for child in element for e in _controls(child)]
    return [element]


def _rest(length: Fraction, staff: int) -> Event:
    return Event(Fraction(0), length, voice=(staff - 1) * 4 + 1, staff=staff, whole_bar=True)


def _empty(length: Fraction) -> PartBar:
    return PartBar([_rest(length, 1)])


def titles(root: Element) -> tuple[str, str]:
    """Title and composer of the head."""
    head = root.find("meiHead")
    if head is None:
        return "", ""
    title = next((words(t) for t in head.iter("title") if words(t)), "")
    composer = next((words(c) for c in head.iter("composer") if words(c)), "")
    if not composer:
        composer = next(
            (words(p) for p in head.iter("persName") if p.get("role") == "composer"), ""
        )
    return title, composer


__all__ = ["Known", "Part", "Walker", "titles"]
