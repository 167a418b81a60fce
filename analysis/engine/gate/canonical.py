"""ONE canonical copy of a score: what every later step reads instead of the upload.

Shape
-----
UTF-8 without mark, score-partwise 4.0, no document type, no comments, one bar
a line. Every note, rests included, carries ``id="n{part}-{bar}-{k}"``, part
and bar counted from 0 in document order, k from 0 within that bar of that
part. Bars carry ``id="b{bar}"`` in the first part and ``id="b{bar}-p{part}"``
in the others: ids must be unique in XML, and the engraver keeps the first
part's only. All parts have equally many bars (short ones get empty bars). The
list of parts has the parts' own order and names no part without music.

All of this depends on the file's bytes alone, and a canonical copy comes out
of the gate as it went in, byte for byte.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from lxml import etree

from analysis.engine.errors import Refused
from analysis.engine.gate import clean, guard, head
from analysis.engine.gate.bar import BarReader, PartState
from analysis.engine.gate.limits import Limits
from analysis.engine.gate.notices import Notices
from analysis.engine.gate.repeats import Repeats

Element = etree._Element

_AGAIN = "Correct it in your notation program and export the score again."
_VERSIONS = ("1.0", "1.1", "2.0", "3.0", "3.1", "4.0")


@dataclass
class Written:
    """The canonical copy and what was counted on the way."""

    canonical: bytes
    title: str
    parts: int
    bars: int
    notes: int
    sounding: int  # notes that are neither rests nor cues


@dataclass
class _Score:
    above: list[Element] = field(default_factory=list)  # titles and the like
    part_list: Element | None = None
    listed: dict[str, head.ListedPart] = field(default_factory=dict)
    states: dict[str, PartState] = field(default_factory=dict)  # in document order
    bars: dict[str, list[bytes]] = field(default_factory=dict)
    shells: list[dict[str, str]] = field(default_factory=list)  # attributes of each bar


class Writer:
    """Takes the guarded events of either layout and writes the canonical copy."""

    def __init__(self, limits: Limits, notices: Notices) -> None:
        self.limits = limits
        self.notices = notices
        self.reader = BarReader(limits, notices)
        self.repeats = Repeats(limits, notices)
        self.score = _Score()

    def write(self, stream: Iterator[guard.Event]) -> Written:
        """Consume all events.

        Raises
        ------
        Refused
            If parts, bars or values are not those of a score.
        """
        timewise, outer, inner = False, "part", "measure"
        for kind, element in stream:
            tag, depth = element.tag, _depth(element)
            if depth == 0:
                if kind == "start":
                    timewise = tag == "score-timewise"
                    outer, inner = ("measure", "part") if timewise else ("part", "measure")
                    self._version(element)
            elif tag == "part-list" and depth == 1:
                if kind == "end":
                    self._read_head(element)
            elif depth == 1 and tag == outer:
                self._outer(kind, element, timewise)
            elif depth == 2 and tag == inner:
                if kind == "end":
                    self._bar(element, timewise)
            else:
                raise Refused(f"The file's parts and bars are mixed up. {_AGAIN}", code="layout")
        return self._finish()

    # -- head --------------------------------------------------------------------

    def _version(self, root: Element) -> None:
        version = root.get("version", "1.0")
        if version not in _VERSIONS:
            self.notices.add("version", "The file is written in a version of MusicXML that is "
                             "not known here; it was read as version 4.0.")  # fmt: skip

    def _read_head(self, part_list: Element) -> None:
        if self.score.part_list is not None or self.score.states:
            raise Refused(f"The file lists its parts twice or too late. {_AGAIN}", code="layout")
        root = part_list.getparent()
        assert root is not None
        above = [e for e in part_list.itersiblings(preceding=True)][::-1]
        for element in (*above, part_list):
            head.tidy_head(element, self.limits, self.notices)
        listed = head.listed_parts(part_list)
        if len(listed) > self.limits.parts:
            raise Refused(
                f"The score lists {len(listed)} parts; at most {self.limits.parts} are taken. "
                "Put several players on one staff, or leave parts out, and upload it again.",
                code="parts",
            )
        self.score.listed = {p.id: p for p in listed}
        self.score.above = [_detached(e) for e in above if not clean.unwanted(e.tag)]
        self.score.part_list = _detached(part_list)

    # -- parts and bars ----------------------------------------------------------

    def _outer(self, kind: str, element: Element, timewise: bool) -> None:
        if timewise:
            if kind == "start":
                self.score.shells.append(dict(clean.pairs(element)))
            else:
                guard.forget(element)
            return
        if kind == "start":
            id_ = clean.reference(element.get("id", ""))
            if id_ in self.score.states:
                raise Refused(f"Two parts share the id “{id_}”. {_AGAIN}", code="part-id")
            self._state(id_)
        else:
            guard.forget(element)

    def _state(self, id_: str) -> PartState:
        """The state of a part, made when it is first met."""
        state = self.score.states.get(id_)
        if state is not None:
            return state
        if self.score.part_list is None:
            raise Refused(f"The file has no list of its parts. {_AGAIN}", code="layout")
        listed = self.score.listed.get(id_)
        if listed is None:
            n = len(self.score.states) + 1
            raise Refused(
                f"Part {n} of the music is not in the list of parts. {_AGAIN}",
                code="part-unlisted", where=f"part {n}")  # fmt: skip
        state = PartState(len(self.score.states), id_, listed.name)
        self.score.states[id_] = state
        self.score.bars[id_] = []
        return state

    def _bar(self, element: Element, timewise: bool) -> None:
        outer = element.getparent()
        assert outer is not None
        state = self._state(clean.reference((element if timewise else outer).get("id", "")))
        shell = self.score.shells[-1] if timewise else None
        if timewise:
            self._catch_up(state, len(self.score.shells) - 1)
        bar = etree.Element("measure", shell) if shell is not None else element
        if shell is not None:
            bar.extend(list(element))
        if state.bars >= self.limits.bars:
            raise Refused(
                f"The score has more than {self.limits.bars} bars; upload its movements as files "
                "of their own.", code="bars")  # fmt: skip
        label = clean.tidy_text(bar.get("number", ""), 20)
        index = state.bars
        self.reader.read(bar, state, label)
        if self.reader.notes > self.limits.notes:
            raise Refused(
                f"The score has more than {self.limits.notes} notes; upload its movements as "
                "files of their own.", code="notes")  # fmt: skip
        self.repeats.look(bar, index)
        bar.tail = None
        self.score.bars[state.id].append(etree.tostring(bar, encoding="utf-8"))
        guard.forget(element)

    def _catch_up(self, state: PartState, bars: int) -> None:
        while state.bars < bars:
            self._empty_bar(state)

    def _empty_bar(self, state: PartState) -> None:
        bar = etree.Element("measure", number=str(state.bars + 1))
        own = f"b{state.bars}" if state.index == 0 else f"b{state.bars}-p{state.index}"
        bar.set("id", own)
        if not state.bars:
            etree.SubElement(etree.SubElement(bar, "attributes"), "divisions").text = "1"
        self.score.bars[state.id].append(etree.tostring(bar, encoding="utf-8"))
        state.bars += 1
        self.notices.add("unequal", "Parts have different numbers of bars; empty bars were added "
                         "to the short ones.", part=state.id)  # fmt: skip

    # -- end ---------------------------------------------------------------------

    def _finish(self) -> Written:
        states = list(self.score.states.values())
        bars = max((s.bars for s in states), default=0)
        if self.score.part_list is None or not bars:
            raise Refused(f"The file holds no bar of music. {_AGAIN}", code="no-music")
        for state in states:
            self._catch_up(state, bars)
            self.reader.finish(state)
        self.repeats.finish()
        sounding = sum(s.pitched for s in states)
        if not sounding:
            self.notices.add("silent", "Nothing sounds in this score: it holds rests or cues only.")
        head.fit_list(self.score.part_list, [s.id for s in states], self.notices)
        return Written(
            canonical=self._joined(states),
            title=head.title_of(self.score.above),
            parts=len(states),
            bars=bars,
            notes=self.reader.notes,
            sounding=sounding,
        )

    def _joined(self, states: list[PartState]) -> bytes:
        assert self.score.part_list is not None
        pieces = [b'<?xml version="1.0" encoding="UTF-8"?>\n<score-partwise version="4.0">\n']
        for element in (*self.score.above, self.score.part_list):
            pieces += [etree.tostring(element, encoding="utf-8"), b"\n"]
        for state in states:
            part = etree.Element("part", id=state.id)
            pieces += [etree.tostring(part, encoding="utf-8").replace(b"/>", b">"), b"\n"]
            for bar in self.score.bars.pop(state.id):
                pieces += [bar, b"\n"]
            pieces.append(b"</part>\n")
        pieces.append(b"</score-partwise>\n")
        return b"".join(pieces)


def _depth(element: Element) -> int:
    depth = 0
    parent = element.getparent()
    while parent is not None:
        depth += 1
        parent = parent.getparent()
    return depth


def _detached(element: Element) -> Element:
    """A copy that the parser knows nothing of."""
    return etree.fromstring(etree.tostring(element, with_tail=False))
