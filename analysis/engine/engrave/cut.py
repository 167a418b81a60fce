"""A passage cut out of a score, with what was in force before it.

Loading a whole movement to show eight bars costs the engraver seconds. So all
bars but those of the passage and a few around it are left out first; the
engraver then hides the margin, which it needs for ties and slurs that reach
across the passage's edges.
"""

from __future__ import annotations

from copy import deepcopy

from lxml import etree

Element = etree._Element

MARGIN = 4  # bars kept on either side

#: what stays in force from bar to bar, in the order MusicXML 4.0 asks for
_IN_FORCE = ("divisions", "key", "time", "staves", "part-symbol", "instruments", "clef",
             "staff-details", "transpose")  # fmt: skip


def kept(bars: tuple[int, int], count: int) -> tuple[int, int]:
    """First and last bar index that stay for a passage, margin included."""
    return max(0, bars[0] - MARGIN), min(count - 1, bars[1] + MARGIN)


def cut(part: Element, first: int, last: int) -> None:
    """Leave only bars `first` to `last` of a part, in place."""
    bars = list(part)
    force: dict[str, dict[str, Element]] = {}
    for bar in bars[:first]:
        for attributes in bar.iterchildren("attributes"):
            _take(force, attributes)
        part.remove(bar)
    for bar in bars[last + 1 :]:
        part.remove(bar)
    if force and first < len(bars):
        _state(bars[first], force)


def _take(force: dict[str, dict[str, Element]], attributes: Element) -> None:
    for child in attributes:
        tag = str(child.tag)
        if tag not in _IN_FORCE:
            continue
        number = child.get("number", "")
        if not number:
            force[tag] = {}
        force.setdefault(tag, {})[number] = child


def _state(bar: Element, force: dict[str, dict[str, Element]]) -> None:
    """Write what is in force at the start of `bar`, where the bar says nothing else."""
    own = next(iter(bar), None)
    if own is not None and own.tag == "print":
        own = own.getnext()
    if own is not None and own.tag == "attributes":
        _take(force, own)
        rest = [c for c in own if c.tag not in _IN_FORCE]
        bar.remove(own)
    else:
        rest = []
    attributes = etree.Element("attributes")
    for tag in _IN_FORCE:
        for number in sorted(force.get(tag, {})):
            attributes.append(deepcopy(force[tag][number]))
    attributes.extend(rest)
    bar.insert(0, attributes)
