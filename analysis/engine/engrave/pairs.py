"""Two parts of one instrument on one staff, in two voices, as scores print pairs of winds.

Both voices keep their notes, so that every id stays on the page; where one player rests the
other's number stands above the staff ("1.").
"""

from __future__ import annotations

from collections.abc import Sequence
from copy import deepcopy
from itertools import pairwise
from math import lcm

from lxml import etree

from analysis.engine.engrave.children import add_child
from analysis.engine.model import PartReading

Element = etree._Element
_APART = 6  # added to the numbers of the second part's slurs and ties


def pairs_of(readings: Sequence[PartReading], shown: Sequence[int]) -> list[tuple[int, int]]:
    """Neighbours among the parts shown that can share a staff: single players, one instrument,
    the same crook or transposition all the way."""
    by: dict[int, list[PartReading]] = {}
    for reading in readings:
        by.setdefault(reading.index, []).append(reading)
    kinds = {
        n: (mine[0].instrument, [(r.from_bar, r.transposition, r.diatonic) for r in mine])
        for n, mine in by.items()
        if mine[0].instrument != "unknown" and len(mine[0].players) == 1
    }
    found: list[tuple[int, int]] = []
    for one, two in pairwise(shown):
        used = bool(found) and found[-1][1] == one
        if not used and two == one + 1 and one in kinds and kinds[one] == kinds.get(two):
            found.append((one, two))
    return found


def fits(one: Element, two: Element) -> bool:
    """Whether bars, keys and staves of two parts are alike."""
    if len(one) != len(two) or any(p.find("measure/attributes/staves") is not None
                                   for p in (one, two)):  # fmt: skip
        return False
    return all(_keys(a) == _keys(b) for a, b in zip(one, two, strict=True))


def _keys(bar: Element) -> list[str]:
    return [k.text or "" for k in bar.iterfind("attributes/key/fifths")]


def together(one: Element, two: Element, numbers: tuple[str, str]) -> None:
    """Set the second part into the first, in place."""
    common = lcm(*(int(d.text or 1) for p in (one, two)
                   for d in p.iterfind("measure/attributes/divisions")))  # fmt: skip
    for part in (one, two):
        _rescale(part, common)
    alone = ""
    for bar, other in zip(one, two, strict=True):
        first, second = _plays(bar), _plays(other)
        now = numbers[0] if first and not second else numbers[1] if second and not first else ""
        if first and second:
            _stems(bar, "up")
            _stems(other, "down")
        if first or second:
            if now and now != alone:
                _say(bar, now)
            alone = now
        if second and not first:
            for note in bar.findall("note"):
                bar.remove(note)
            for tag in ("backup", "forward"):
                for move in bar.findall(tag):
                    bar.remove(move)
        if second:
            _set_in(bar, other)


def _rescale(part: Element, common: int) -> None:
    now = common
    for bar in part:
        for child in bar:
            if child.tag == "attributes":
                divisions = child.find("divisions")
                if divisions is not None:
                    now = int(divisions.text or 1)
                    divisions.text = str(common)
            for name in ("duration", "offset"):
                length = child.find(name)
                if length is not None:
                    length.text = str(round(float(length.text or 0) * common / now))


def _plays(bar: Element) -> bool:
    return any(n.find("rest") is None for n in bar.iterchildren("note"))


def _stems(bar: Element, way: str) -> None:
    for note in bar.iterchildren("note"):
        for old in note.findall("stem"):
            note.remove(old)
        if note.find("rest") is not None:
            continue
        add_child(note, "stem", way)


def _say(bar: Element, number: str) -> None:
    direction = etree.Element("direction", placement="above")
    kind = etree.SubElement(direction, "direction-type")
    etree.SubElement(kind, "words").text = f"{number}."
    at = 0
    while at < len(bar) and bar[at].tag in ("print", "attributes"):
        at += 1
    bar.insert(at, direction)


def _set_in(bar: Element, other: Element) -> None:
    """The second part's notes and signs after the first's, from the bar's start."""
    length = 0
    for child in bar:
        if child.tag in ("note", "forward") and child.find("chord") is None:
            length += int(child.findtext("duration") or 0) if child.find("grace") is None else 0
        elif child.tag == "backup":
            length -= int(child.findtext("duration") or 0)
    there = {(at, _said(d)) for at, d in timed(bar) if d.tag == "direction"}
    resting = {_rest(at, n) for at, n in timed(bar) if n.find("rest") is not None}
    ends = [n for n, c in enumerate(bar) if c.tag == "barline" and c.get("location") != "left"]
    place = ends[0] if ends else len(bar)
    made = []
    if length:
        back = etree.Element("backup")
        etree.SubElement(back, "duration").text = str(length)
        made.append(back)
    for at, child in timed(other):
        if child.find("rest") is not None and _rest(at, child) in resting:
            space = etree.Element("forward")  # one rest stands for both
            etree.SubElement(space, "duration").text = child.findtext("duration")
            made.append(space)
        elif child.tag in ("note", "backup", "forward"):
            copy = deepcopy(child)
            voice = copy.find("voice")
            if voice is not None:
                voice.text = str(int(voice.text or 1) + 4) if (voice.text or "1").isdigit() else "5"
            elif copy.tag == "note":
                _voiced(copy)
            for sign in copy.iterfind("notations/slur"):
                sign.set("number", str(int(sign.get("number", "1")) + _APART))
            made.append(copy)
        elif child.tag == "direction" and (at, _said(child)) not in there:
            copy = deepcopy(child)
            for wedge in copy.iterfind("direction-type/wedge"):
                wedge.set("number", str(int(wedge.get("number", "1")) + _APART))
            made.append(copy)
    for n, child in enumerate(made):
        bar.insert(place + n, child)


def _voiced(note: Element) -> None:
    add_child(note, "voice", "5")


def _said(direction: Element) -> str:
    signs = direction.iterfind("direction-type/*")
    return " ".join(f"{s.tag} {s.get('type', '')} {' '.join(map(str, s.itertext()))}"
                    f"{''.join(str(c.tag) for c in s)}" for s in signs)  # fmt: skip


def _rest(at: int, note: Element) -> tuple[int, str]:
    return at, note.findtext("duration") or ""


def timed(bar: Element) -> list[tuple[int, Element]]:
    """The children of a bar, each with its place from the bar's start."""
    at = onset = 0
    found = []
    for child in bar:
        length = int(child.findtext("duration") or 0)
        if child.tag == "note" and child.find("chord") is not None:
            found.append((onset, child))
            continue
        onset = at
        found.append((at, child))
        if child.tag == "backup":
            at -= length
        elif child.tag == "forward" or (child.tag == "note" and child.find("grace") is None):
            at += length
    return found
