"""From the canonical copy to what the engraver gets: parts chosen, pitch decided."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lxml import etree

from analysis.engine.engrave.counted import counts, lead
from analysis.engine.engrave.cut import cut, kept
from analysis.engine.engrave.fitting import complete_accidentals
from analysis.engine.engrave.sounding import make_sounding
from analysis.engine.engrave.staves import planned, set_anew
from analysis.engine.engrave.view import View
from analysis.engine.errors import EngineError
from analysis.engine.model import PartReading

Element = etree._Element


@dataclass(frozen=True, slots=True)
class Prepared:
    """MusicXML for the engraver.

    Attributes
    ----------
    xml : bytes
    staves : tuple of (int, str)
        Part index and part id of every staff, top to bottom; of a staff that two parts share
        the first one's index and both ids, parted by a space.
    bars : int
        In the whole file.
    counted : tuple of (int, int)
        Rests to be drawn as one: first bar index, number of bars.
    """

    xml: bytes
    staves: tuple[tuple[int, str], ...]
    bars: int
    counted: tuple[tuple[int, int], ...] = ()


def prepare(canonical: bytes, view: View, readings: Sequence[PartReading] = ()) -> Prepared:
    """Keep the view's parts and turn them to sounding pitch if it asks for that.

    A passage keeps a margin of bars (`cut.kept`), which the engraver hides.

    Raises
    ------
    EngineError
        If the view names a part or bar the score does not have.
    """
    root = etree.fromstring(canonical, etree.XMLParser(resolve_entities=False, huge_tree=True))
    parts = root.findall("part")
    bars = max((len(p) for p in parts), default=0)
    shown = view.parts or tuple(range(len(parts)))
    if shown[-1] >= len(parts):
        raise EngineError(f"The score has {len(parts)} parts; part {shown[-1] + 1} is not there.")
    if view.bars is not None and view.bars[1] >= bars:
        raise EngineError(f"The score has {bars} bars; the passage ends after them.")
    if view.hide_resting:
        first, last = view.bars if view.bars is not None else (0, bars - 1)
        shown = tuple(n for n in shown if _plays(parts[n], first, last)) or shown
    plan = planned(root, canonical, view, readings, shown, parts)
    if view.rests == "counted":
        lead(parts, shown)
    _drop_parts(root, parts, shown)
    for index in shown:
        _one_bar_each(parts[index])
        _staves(parts[index])
    low, high = kept(view.bars, bars) if view.bars is not None else (0, bars - 1)
    counted: list[tuple[int, int]] = []
    if view.rests == "counted":
        edges = (view.bars[0], view.bars[1] + 1) if view.bars is not None else ()
        counted = counts([parts[n] for n in shown], edges)
    if view.bars is not None:
        for index in shown:
            cut(parts[index], low, high)
    staves = []
    for index, ids, part, own in set_anew(root, view, plan, shown, parts):
        staves += [(index, ids)] * _staves(part)
        if view.pitch == "sounding":
            make_sounding(part, own, low)
        if view.staves != "printed":
            complete_accidentals(part)
    for k, bar in enumerate(next(root.iterchildren("part"))):
        bar.set("id", f"b{low + k}")
    for credit in root.findall("credit"):
        root.remove(credit)
    xml = etree.tostring(root, encoding="utf-8", xml_declaration=True)
    return Prepared(xml, tuple(staves), bars, tuple(counted))


def _plays(part: Element, first: int, last: int) -> bool:
    """Whether a part has a note in these bars; cues are another part's."""
    return any(
        note.find("rest") is None and note.find("cue") is None
        for bar in list(part)[first : last + 1]
        for note in bar.iterchildren("note")
    )


def _drop_parts(root: Element, parts: list[Element], shown: tuple[int, ...]) -> None:
    part_list = root.find("part-list")
    if part_list is None:
        raise EngineError("The score has no list of its parts.")
    kept = {parts[i].get("id") for i in shown}
    for index, part in enumerate(parts):
        if index not in shown:
            root.remove(part)
    for entry in part_list.findall("score-part"):
        if entry.get("id") not in kept:
            part_list.remove(entry)
    _drop_empty_groups(part_list)


def _drop_empty_groups(part_list: Element) -> None:
    """Brackets around nothing, or around a single part, go."""
    opened: dict[str, tuple[Element, int]] = {}
    seen = 0
    for child in list(part_list):
        if child.tag == "score-part":
            seen += 1
        elif child.tag == "part-group":
            number = child.get("number", "1")
            if child.get("type") == "start":
                opened[number] = (child, seen)
            elif number in opened:
                start, before = opened.pop(number)
                if seen - before < 2:
                    part_list.remove(start)
                    part_list.remove(child)


def _staves(part: Element) -> int:
    """Count the staves of a part, and say it where the engraver looks for it."""
    said = [int(s.text or 1) for s in part.iterfind("measure/attributes/staves")]
    used = [int(s.text or 1) for s in part.iterfind("measure/note/staff")]
    count = max((*said, *used), default=1)
    first = part.find("measure")
    if count > 1 and first is not None:
        _say_staves(first, count)
    return count


def _say_staves(bar: Element, count: int) -> None:
    """Put the number into the first attributes of a bar, after what must precede it."""
    attributes = bar.find("attributes")
    if attributes is None:
        attributes = etree.Element("attributes")
        bar.insert(0, attributes)
    for old in attributes.findall("staves"):
        attributes.remove(old)
    before = [c for c in attributes if c.tag in ("divisions", "key", "time", "footnote", "level")]
    staves = etree.Element("staves")
    staves.text = str(count)
    attributes.insert(attributes.index(before[-1]) + 1 if before else 0, staves)


def _one_bar_each(part: Element) -> None:
    """Rests over several bars are drawn bar by bar, so that every bar can be found."""
    for style in part.findall("measure/attributes/measure-style"):
        if style.find("multiple-rest") is not None:
            parent = style.getparent()
            assert parent is not None
            parent.remove(style)
