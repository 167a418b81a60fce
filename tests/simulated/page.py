"""What a MusicXML file prints beside the notes: labels, transpositions, clefs, words, dynamics.

A small reader of its own (the standard library's), so that nothing is taken from the engine.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from xml.etree import ElementTree


@dataclass(frozen=True)
class Sign:
    """A word or a dynamic: bar (index), quarters from the bar's beginning, text as printed."""

    bar: int
    at: float
    sort: str  # "words", "dynamic"
    text: str


@dataclass
class PagePart:
    id: str
    label: str
    transpositions: list[int] = field(default_factory=list)  # semitones, written to sounding
    clefs: list[str] = field(default_factory=list)  # "G2", in order of appearance
    signs: list[Sign] = field(default_factory=list)

    @property
    def transposition(self) -> int | None:
        """The one of the whole file; None where it changes."""
        found = set(self.transpositions) or {0}
        return found.pop() if len(found) == 1 else None


@dataclass(frozen=True)
class Page:
    parts: tuple[PagePart, ...]
    labels: tuple[str, ...]  # printed bar numbers
    implicit: bool  # the first bar carries no number
    endings: tuple[str, ...] = ()  # number of the bracket each bar stands under, "" for none


def musicxml(path: Path) -> bytes:
    """The score inside an MXL file, or the file itself."""
    data = path.read_bytes()
    if not zipfile.is_zipfile(io.BytesIO(data)):
        return data
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        container = ElementTree.fromstring(packed.read("META-INF/container.xml"))
        name = next(e.get("full-path") for e in container.iter() if e.tag.endswith("rootfile"))
        return packed.read(str(name))


def read_page(path: Path) -> Page:
    """Read a partwise file.

    Raises
    ------
    ValueError
        A file that is not partwise.
    """
    root = ElementTree.fromstring(musicxml(path))
    if root.tag != "score-partwise":
        raise ValueError(f"{path.name} is no partwise MusicXML.")
    names = {p.get("id"): (p.findtext("part-name") or "").strip() for p in root.iter("score-part")}
    parts = []
    for element in root.findall("part"):
        id_ = str(element.get("id"))
        part = PagePart(id_, names.get(id_, ""))
        divisions = Fraction(1)
        for bar, measure in enumerate(element.findall("measure")):
            divisions = _measure(part, measure, bar, divisions)
        parts.append(part)
    first = root.find("part")
    measures = first.findall("measure") if first is not None else []
    labels = tuple(str(m.get("number")) for m in measures)
    implicit = bool(measures) and measures[0].get("implicit") == "yes"
    return Page(tuple(parts), labels, implicit, _endings(root, len(measures)))


def _endings(root: ElementTree.Element, bars: int) -> tuple[str, ...]:
    """Brackets as any part prints them."""
    found = [""] * bars
    for part in root.findall("part"):
        number = ""
        for bar, measure in enumerate(part.findall("measure")):
            signs = list(measure.iter("ending"))
            number = next((str(e.get("number")) for e in signs if e.get("type") == "start"), number)
            found[bar] = found[bar] or number
            if any(e.get("type") in ("stop", "discontinue") for e in signs):
                number = ""
    return tuple(found)


def _measure(
    part: PagePart, measure: ElementTree.Element, bar: int, divisions: Fraction
) -> Fraction:
    at = Fraction(0)
    for element in measure:
        if element.tag == "attributes":
            told = element.findtext("divisions")
            divisions = Fraction(told) if told else divisions
            _attributes(part, element, first=bar == 0 and at == 0)
        elif element.tag == "direction":
            shift = Fraction(element.findtext("offset") or 0) / divisions
            part.signs += _signs(element, bar, float(at + shift))
        elif element.tag in ("note", "backup", "forward"):
            if element.find("chord") is not None or element.find("grace") is not None:
                continue
            length = Fraction(element.findtext("duration") or 0) / divisions
            at += -length if element.tag == "backup" else length
    return divisions


def _attributes(part: PagePart, element: ElementTree.Element, *, first: bool) -> None:
    for shift in element.findall("transpose"):
        octaves = int(shift.findtext("octave-change") or 0)
        part.transpositions.append(int(float(shift.findtext("chromatic") or 0)) + 12 * octaves)
    if first and not part.transpositions:
        part.transpositions.append(0)
    for clef in element.findall("clef"):
        part.clefs.append(f"{clef.findtext('sign')}{clef.findtext('line') or ''}")


def _signs(element: ElementTree.Element, bar: int, at: float) -> Iterator[Sign]:
    for words in element.iter("words"):
        if text := (words.text or "").strip():
            yield Sign(bar, at, "words", text)
    for dynamics in element.iter("dynamics"):
        for mark in dynamics:
            yield Sign(bar, at, "dynamic", mark.tag)
