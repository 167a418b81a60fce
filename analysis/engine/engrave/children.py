"""A child of a MusicXML note where the schema wants it (MusicXML 4.0, element ``note``)."""

from __future__ import annotations

from lxml import etree

Element = etree._Element

_ORDER = (
    "grace", "cue", "chord", "pitch", "unpitched", "rest", "duration", "tie", "instrument",
    "footnote", "level", "voice", "type", "dot", "accidental", "time-modification", "stem",
)  # fmt: skip


def add_child(note: Element, tag: str, text: str) -> None:
    """Add ``<tag>text</tag>`` behind all children that stand before it by the schema."""
    made = etree.Element(tag)
    made.text = text
    before = set(_ORDER[: _ORDER.index(tag)])
    at = max((n for n, child in enumerate(note, 1) if child.tag in before), default=0)
    note.insert(at, made)
