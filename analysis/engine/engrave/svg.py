"""The last wall before a browser: an SVG built anew out of a list of what may stand in it.

Nothing is copied because it looks harmless; an element or attribute is
written only if it is on the list and its value has the shape the list asks
for. No script, no foreign object, no style, no image, no address but that of
a glyph of the same page.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from lxml import etree

from analysis.engine.errors import EngineError

Element = etree._Element

SVG = "http://www.w3.org/2000/svg"
_XLINK = "{http://www.w3.org/1999/xlink}href"

ELEMENTS = frozenset({"svg", "g", "defs", "symbol", "use", "path", "rect", "circle", "ellipse",
                      "line", "polyline", "polygon", "text", "tspan", "title"})  # fmt: skip
_TEXTS = frozenset({"text", "tspan", "title"})
_SHAPES = frozenset(f"{{{SVG}}}{name}" for name in ("path", "use", "polygon"))

_NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?"
_NUMBERS = re.compile(rf"\s*{_NUMBER}(?:[\s,]+{_NUMBER}){{0,4000}}\s*\Z", re.ASCII)
_LENGTH = re.compile(rf"{_NUMBER}(?:px|%)?\Z", re.ASCII)
_PATH = re.compile(r"[MmLlHhVvCcSsQqTtAaZz0-9eE\s,.+\-]*\Z", re.ASCII)
_TRANSFORM = re.compile(
    r"(?:\s*(?:translate|scale|rotate|matrix|skewX|skewY)\([0-9eE\s,.+\-]*\))+\s*\Z", re.ASCII
)
_PAINT = re.compile(r"(?:none|currentColor|black|transparent|#[0-9A-Fa-f]{3,8})\Z", re.ASCII)
_CLASSES = re.compile(r"[A-Za-z0-9_\- ]{0,200}\Z", re.ASCII)
_GLYPH = re.compile(r"#?([A-Za-z0-9_\-]{1,80})\Z", re.ASCII)
_NOTE = re.compile(r"n\d+-\d+-\d+\Z", re.ASCII)
_AGAIN = re.compile(r"\.\d+\Z", re.ASCII)  # the same note on another player's staff
_BAR = re.compile(r"b\d+\Z", re.ASCII)
_WORD = re.compile(r"[A-Za-z0-9\-]{1,20}\Z", re.ASCII)
_LABEL = re.compile(r"[\w.\-+ ]{1,20}\Z")

#: attribute -> the shape its value must have
ATTRIBUTES: dict[str, re.Pattern[str]] = {
    "class": _CLASSES,
    "viewBox": _NUMBERS,
    "points": _NUMBERS,
    "stroke-dasharray": _NUMBERS,
    "d": _PATH,
    "transform": _TRANSFORM,
    "fill": _PAINT,
    "stroke": _PAINT,
    "color": _PAINT,
    "overflow": _WORD,
    "text-anchor": _WORD,
    "font-style": _WORD,
    "font-weight": _WORD,
    "stroke-linecap": _WORD,
    "stroke-linejoin": _WORD,
    **dict.fromkeys(
        ("x", "y", "x1", "x2", "y1", "y2", "cx", "cy", "r", "rx", "ry", "dx", "dy", "width",
         "height", "stroke-width", "font-size", "opacity", "fill-opacity", "stroke-opacity",
         "textLength"), _LENGTH),
}  # fmt: skip

_MUSIC_FONTS = frozenset({"Leipzig", "Bravura", "VerovioText", "Leland", "Gootville", "Petaluma"})


@dataclass(frozen=True, slots=True)
class Marks:
    """What the page's markup is to say about itself.

    Attributes
    ----------
    scope : str
        Letters and digits that make glyph ids unique among the excerpts of
        one page; the same for the same picture, so that it may be kept.
    staves : sequence of (int, str)
        Part index and part id of each staff, top to bottom.
    reach : mapping of int to int
        Of a bar that stands for several (a counted rest), the last one.
    """

    scope: str
    staves: Sequence[tuple[int, str]] = ()
    reach: Mapping[int, int] = field(default_factory=dict)


def sanitize(source: str | bytes, marks: Marks) -> bytes:
    """Write an engraved page anew out of what is allowed.

    Kept ids are our own: ``data-id`` of notes, rests and bars. Every bar gets
    ``data-bar`` (its index) and, where it stands for several, ``data-last``;
    every staff ``data-part`` (the part's id), ``data-with`` (that of a part which shares it) and
    ``data-part-index``.

    Raises
    ------
    EngineError
        If the source is no SVG at all.
    """
    data = source.encode("utf-8", "replace") if isinstance(source, str) else source
    parser = etree.XMLParser(
        resolve_entities=False, load_dtd=False, no_network=True, remove_comments=True,
        remove_pis=True)  # fmt: skip
    try:
        root = etree.fromstring(data, parser)
    except (etree.XMLSyntaxError, ValueError):
        raise EngineError("The engraved page cannot be read; try again.") from None
    if _local(root) != "svg":
        raise EngineError("The engraved page is no drawing; try again.")
    scope = re.sub(r"[^A-Za-z0-9]", "", marks.scope)[:40] or "s"
    made = _Writer(scope, marks).element(root)
    _lighten(made)
    made.set("class", "engraving")
    return etree.tostring(made, encoding="utf-8")


def _lighten(root: Element) -> None:
    """Leave out groups that hold one shape and say nothing but a class: the shape says it.

    A third of a page's elements are such groups, and a browser lays out each of them, those of a
    glyph for each of its uses.
    """
    for group in list(root.iter(f"{{{SVG}}}g")):
        above = group.getparent()
        if above is None or len(group) != 1 or group[0].tag not in _SHAPES:
            continue
        only, said = group[0], {"class", "id"} & set(group.attrib)
        if said != set(group.attrib) or said & set(only.attrib):
            continue
        for name in said:
            only.set(name, group.get(name, ""))
        above.replace(group, only)


def _local(element: Element) -> str | None:
    """The SVG element's name, or None for anything of another namespace."""
    tag = element.tag
    if not isinstance(tag, str):
        return None
    space, _, name = tag.rpartition("}")
    return name if space in ("{" + SVG, "") else None


class _Writer:
    def __init__(self, scope: str, marks: Marks) -> None:
        self.scope = scope
        self.staves = marks.staves
        self.reach = marks.reach

    def element(self, root: Element) -> Element:
        """A clean copy of an allowed element with what is allowed below it."""
        namespaces: dict[str | None, str] = {None: SVG}
        made = etree.Element(f"{{{SVG}}}svg", nsmap=namespaces)  # type: ignore[arg-type]
        self._attributes(root, made)
        pending = [(root, made)]
        while pending:
            old, new = pending.pop()
            for child in old:
                name = _local(child)
                if name not in ELEMENTS:
                    continue
                copy = etree.SubElement(new, f"{{{SVG}}}{name}")
                self._attributes(child, copy)
                if name in _TEXTS:
                    copy.text = child.text
                pending.append((child, copy))
        return made

    def _attributes(self, old: Element, new: Element) -> None:
        for key, value in old.attrib.items():
            name, text = str(key), str(value)
            shape = ATTRIBUTES.get(name)
            if shape is not None:
                if shape.match(text):
                    new.set(name, text)
            elif name in ("href", _XLINK):
                self._glyph(text, new)
            elif name == "font-family" and text in _MUSIC_FONTS:
                new.set("font-family", text)
        self._ids(old, new)
        classes = new.get("class", "").split()
        if "definition-scale" in classes and "color" in new.attrib:
            del new.attrib["color"]  # ink is the page's own
        if "measure" in classes:
            self._bar(new)
        elif "staff" in classes:
            self._staff(old, new)

    def _glyph(self, text: str, new: Element) -> None:
        found = _GLYPH.match(text)
        if found and text.startswith("#") and new.tag == f"{{{SVG}}}use":
            new.set("href", f"#{self._scoped(found[1])}")

    def _scoped(self, name: str) -> str:
        return f"{self.scope}-{name.split('-', 1)[0]}"

    def _ids(self, old: Element, new: Element) -> None:
        ours = _AGAIN.sub("", old.get("data-id", ""))
        if (_BAR if "measure" in new.get("class", "").split() else _NOTE).match(ours):
            new.set("data-id", ours)
        parent = old.getparent()
        own = _GLYPH.match(old.get("id", ""))
        if own and parent is not None and _local(parent) == "defs":
            new.set("id", self._scoped(own[1]))

    def _bar(self, new: Element) -> None:
        own = new.get("data-id")
        if own:
            new.set("data-bar", own[1:])
            if int(own[1:]) in self.reach:
                new.set("data-last", str(self.reach[int(own[1:])]))

    def _staff(self, old: Element, new: Element) -> None:
        n = old.get("data-n", "")
        if n.isascii() and n.isdigit() and 1 <= int(n) <= len(self.staves):
            index, part = self.staves[int(n) - 1]
            new.set("data-n", n)
            first, *others = part.split() or [part]
            new.set("data-part", first)
            if others:  # a staff that two parts share
                new.set("data-with", " ".join(others))
            new.set("data-part-index", str(index))


Sanitizer = Callable[[str, Marks], bytes]
