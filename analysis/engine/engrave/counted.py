"""One part as its player has it: bars of rest counted, the signs all players need set in.

A score prints tempo words and rehearsal letters above its top staff only; a part cut out of it
would lose them. Rests are counted up to the next sign one must not miss (letter, tempo, new
metre or key, double bar, repeat), as parts are printed (common practice, no source).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from copy import deepcopy

from lxml import etree

Element = etree._Element

_MEI = "{http://www.music-encoding.org/ns/mei}"
_ID = "{http://www.w3.org/XML/1998/namespace}id"
_MEASURE = re.compile(rb'<measure [^>]*?xml:id="b(\d+)"')
#: what a player resting must see, so that no counted rest runs over it
_SIGNS = ("direction", "harmony", "figured-bass", "sound")


def lead(parts: Sequence[Element], shown: Iterable[int]) -> None:
    """Give the first part shown the tempo and letters that only hidden parts print."""
    kept = list(shown)
    own = parts[kept[0]]
    scales = _divisions(own)
    for k, bar in enumerate(own):
        there = {sign for n in kept for sign in _leading(parts[n], k)}
        for n, part in enumerate(parts):
            if n in kept:
                continue
            for place, (direction, quarters) in _leading(part, k).items():
                if place not in there:
                    there.add(place)
                    _set_in(bar, direction, round(quarters * scales[k]))


def _divisions(part: Element) -> list[int]:
    """Divisions of a quarter in force in each bar."""
    found, now = [], 1
    for bar in part:
        now = int(bar.findtext("attributes/divisions") or now)
        found.append(now)
    return found


def _leading(part: Element, k: int) -> dict[tuple[str, float], tuple[Element, float]]:
    """Tempo and rehearsal signs of a bar: (what, where) to the sign and its place in quarters."""
    if k >= len(part):
        return {}
    found: dict[tuple[str, float], tuple[Element, float]] = {}
    scale = 0
    at = 0
    for child in part[k]:
        length = int(child.findtext("duration") or 0)
        if child.tag == "backup":
            at -= length
        elif child.tag == "forward" or (
            child.tag == "note" and child.find("chord") is None and child.find("grace") is None
        ):
            at += length
        elif child.tag == "direction" and _leads(child):
            scale = scale or _divisions(part)[k]
            place = (at + int(float(child.findtext("offset") or 0))) / scale
            found[_said(child), place] = (child, place)
    return found


def _leads(direction: Element) -> bool:
    kinds = {str(sign.tag) for sign in direction.iterfind("direction-type/*")}
    sound = direction.find("sound")
    tempo = sound is not None and sound.get("tempo") is not None
    return bool(kinds & {"rehearsal", "metronome"}) or (tempo and "words" in kinds)


def _said(direction: Element) -> str:
    words = (str(t) for e in direction.iterfind("direction-type") for t in e.itertext())
    return " ".join("".join(words).split())


def _set_in(bar: Element, direction: Element, offset: int) -> None:
    made = deepcopy(direction)
    if "id" in made.attrib:
        del made.attrib["id"]
    made.set("placement", "above")
    for tag in ("offset", "voice", "staff"):
        for old in made.findall(tag):
            made.remove(old)
    if offset:
        last = made.findall("direction-type")[-1]
        moved = etree.Element("offset")
        moved.text = str(offset)
        last.addnext(moved)
    at = 0
    while at < len(bar) and bar[at].tag in ("print", "attributes", "barline", "direction"):
        if bar[at].tag == "barline" and bar[at].get("location") != "left":
            break
        at += 1
    bar.insert(at, made)


def counts(parts: Sequence[Element], edges: Iterable[int] = ()) -> list[tuple[int, int]]:
    """Rests to be counted: index of the first bar, how many bars. All parts given must rest.

    `edges` are bar indices before which a count ends in any case.
    """
    bars = min(map(len, parts))
    cuts = set(edges)
    found: list[tuple[int, int]] = []
    first = None
    for k in range(bars + 1):
        resting = k < bars and all(_rests(part[k]) for part in parts)
        opens = k in cuts or (resting and any(_begins(part[k]) for part in parts))
        closes = k > 0 and any(_ends(part[k - 1]) for part in parts)
        if first is not None and (not resting or opens or closes):
            found.append((first, k - first))
            first = None
        if resting and first is None:
            first = k
    return [(first, count) for first, count in found if count > 1]


def _rests(bar: Element) -> bool:
    """Nothing is played, nothing is cued, and nothing is said in the middle."""
    if bar.get("implicit") == "yes":
        return False
    played = False
    for child in bar:
        if child.tag == "note":
            if child.find("rest") is None or child.find("notations/fermata") is not None:
                return False
            played = True
        elif played and child.tag in (*_SIGNS, "attributes"):
            return False
    return played


def _begins(bar: Element) -> bool:
    """Whether a count must begin anew here: something stands at the bar's start."""
    for child in bar:
        if child.tag in _SIGNS:
            return True
        if child.tag == "attributes" and any(c.tag in ("key", "time", "clef") for c in child):
            return True
        if child.tag == "barline" and child.get("location") == "left":
            return True
    return False


def _ends(bar: Element) -> bool:
    return any(b.get("location", "right") == "right" for b in bar.iterchildren("barline"))


def count_in(mei: bytes, rests: Iterable[tuple[int, int]]) -> bytes:
    """Draw counted rests as one each, in the engraver's own copy.

    The engraver knows such rests from MusicXML too, but then loses the letter or tempo that
    stands where one begins.
    """
    root = etree.fromstring(mei, etree.XMLParser(resolve_entities=False, huge_tree=True))
    bars = {e.get(_ID): e for e in root.iter(f"{_MEI}measure")}
    for first, count in rests:
        bar = bars.get(f"b{first}")
        if bar is None:
            continue
        for staff in bar.findall(f"{_MEI}staff"):
            for old in list(staff):
                staff.remove(old)
            layer = etree.SubElement(staff, f"{_MEI}layer", n="1")
            etree.SubElement(layer, f"{_MEI}multiRest", num=str(count))
        for k in range(first + 1, first + count):
            gone = bars.get(f"b{k}")
            above = gone.getparent() if gone is not None else None
            if gone is None or above is None:
                continue
            if gone.get("right"):
                bar.set("right", gone.get("right", ""))
            above.remove(gone)
    return etree.tostring(root, encoding="utf-8", xml_declaration=True)


def bars_of(mei: bytes) -> list[int]:
    """Indices of the bars that stand in the engraver's copy; those counted in are missing."""
    return [int(k) for k in _MEASURE.findall(mei)]


def last_of(bars: Sequence[int], end: int) -> dict[int, int]:
    """Of each bar that stands for several, the last one: bars shown, end of the last."""
    following = [*bars[1:], end + 1]
    return {k: n - 1 for k, n in zip(bars, following, strict=True) if n - 1 > k}
