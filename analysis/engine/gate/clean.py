"""What of an element's outside goes into the canonical copy.

Kept: the notation. Left out: links, images, anything of a foreign namespace,
type faces and sizes, and the exact place of a sign on the page it came from
(we engrave anew). Vertical places of words and dynamics stay, because they
may tell above from below where the placement is not given.
"""

from __future__ import annotations

import re

from lxml import etree

from analysis.engine.gate.names import INVISIBLE

Element = etree._Element

DROPPED = frozenset({"link", "bookmark", "image", "credit-image", "appearance", "music-font",
                     "word-font", "lyric-font", "lyric-language", "midi-device"})  # fmt: skip
_SILENT = frozenset({"appearance", "music-font", "word-font", "lyric-font", "lyric-language",
                     "midi-device"})  # fmt: skip
_NAME = re.compile(r"[a-z][a-z0-9-]{0,39}\Z")
_COLOR = re.compile(r"#(?:[0-9A-Fa-f]{2})?([0-9A-Fa-f]{6})\Z")
_ID = re.compile(r"[^\W\d][\w.\-]{0,99}\Z")
_OURS = re.compile(r"[nb]\d")  # what our own ids begin with
_OUTSIDE = frozenset({"href", "style", "class", "target", "source-url", "font-family", "font-size",
                      "default-x", "relative-x", "width", "spread", "bezier-x", "bezier-y",
                      "bezier-x2", "bezier-y2", "bezier-offset", "bezier-offset2"})  # fmt: skip
_HEIGHT = frozenset({"default-y", "relative-y"})
_KEEPS_HEIGHT = frozenset({"words", "dynamics", "rehearsal", "wedge", "metronome", "dashes"})
_REFERENCES = frozenset({"score-part", "part", "score-instrument", "midi-instrument", "instrument",
                         "instrument-change", "player"})  # fmt: skip
_SPACE = " \t\r\n"
VALUE = 200  # characters of an attribute's value that are kept
WORDS = 2_000  # characters of a text that are kept


def is_id(value: str) -> bool:
    """Whether a value can stand as an id in XML."""
    return _ID.match(value) is not None


def reference(value: str) -> str:
    """An id of the file, moved out of the way of the ids we give ourselves."""
    return "P-" + value if _OURS.match(value) else value


def unwanted(tag: str) -> bool:
    """Whether the whole element is left out."""
    return tag in DROPPED or _NAME.match(tag) is None


def worth_a_word(tag: str) -> bool:
    """Whether leaving the element out is told to the tutor."""
    return tag not in _SILENT


def pairs(element: Element) -> list[tuple[str, str]]:
    """The attributes as plain strings, in document order."""
    return [(str(name), str(value)) for name, value in element.attrib.items()]


def tidy_attributes(element: Element) -> None:
    """Drop or mend attributes in place; sorted, so that a copy of a copy is the same."""
    attributes = element.attrib
    if not attributes:
        return
    tag = element.tag
    kept: list[tuple[str, str]] = []
    for name, value in pairs(element):
        if name in _OUTSIDE or name[0] == "{" or _NAME.match(name) is None:
            continue
        if name in _HEIGHT and tag not in _KEEPS_HEIGHT:
            continue
        if name == "id":
            if tag not in _REFERENCES:
                continue
            value = reference(value)
        elif name == "color":
            found = _COLOR.match(value)
            if found is None:
                continue
            value = "#" + found[1].upper()
        kept.append((name, tidy_text(value, VALUE).strip(_SPACE)))
    kept.sort()
    if kept != pairs(element):
        attributes.clear()
        attributes.update(kept)


def tidy_words(text: str, longest: int) -> str | None:
    """As `tidy_text`; None if nothing that can be seen is left."""
    tidied = tidy_text(text, longest)
    return tidied if tidied.strip() else None


def tidy_text(text: str, longest: int) -> str:
    """Text without invisible characters, at most `longest` characters."""
    if not text.isascii() or not text.isprintable():
        text = INVISIBLE.sub(lambda m: " " if m[0] in _SPACE else "", text)
    return text if len(text) <= longest else text[:longest].rstrip(_SPACE)
