"""`<attributes>`: divisions, key, metre, clef, transposition, staves."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from analysis.engine.reader.raw import RawMark, TransposeChange

if TYPE_CHECKING:
    from analysis.engine.reader.scan import PartReader

#: Diatonic steps that usually go with so many semitones, where a file gives
#: only `<chromatic>` (trade-facts 2.1-2.3: -2 is a second, -9 a sixth ...).
_STEPS_OF = {0: 0, 1: 1, 2: 1, 3: 2, 4: 2, 5: 3, 6: 3, 7: 4, 8: 5, 9: 5, 10: 6, 11: 6}


def read(reader: PartReader, element: Any) -> None:
    """Take over what changes here."""
    for child in element:
        tag = child.tag
        if tag == "divisions":
            _divisions(reader, child.text)
        elif tag == "time":
            _time(reader, child)
        elif tag == "key":
            _key(reader, child)
        elif tag == "clef":
            _clef(reader, child)
        elif tag == "transpose":
            transpose(reader, child)
        elif tag == "for-part":
            _for_part(reader, child)
        elif tag == "staves":
            staves = int(child.text or 1)
            reader.out.staves[reader.part] = max(reader.out.staves[reader.part], staves)
        elif tag == "measure-style":
            _measure_style(reader, child)


def _measure_style(reader: PartReader, element: Any) -> None:
    for style in element:
        text = (style.text or "").strip()
        if style.tag == "multiple-rest" and text.isdigit():
            reader.raw.multirest = int(text)
        elif style.tag == "measure-repeat":
            size = int(text) if text.isdigit() else 1
            kind = style.get("type", "start")
            reader.out.repeats.append((reader.part, reader.bar, kind, size))


def _divisions(reader: PartReader, text: str | None) -> None:
    value = Fraction((text or "1").strip())
    if value.denominator == 1 and value > 0:
        reader.set_divisions(int(value))


def metre(element: Any) -> tuple[int, int]:
    """Beats and beat type of a `<time>`: 3+2 over 8 is (5, 8); (0, 0) without a metre."""
    if element.find("senza-misura") is not None:
        return (0, 0)
    pairs: list[tuple[int, int]] = []
    beats = 0
    for child in element:
        if child.tag == "beats":
            beats = sum(int(n) for n in re.findall(r"\d+", child.text or ""))
        elif child.tag == "beat-type":
            kinds = re.findall(r"\d+", child.text or "")
            if kinds and beats:
                pairs.append((beats, int(kinds[0])))
    if not pairs:
        return (0, 0)
    unit = max(kind for _, kind in pairs)
    if any(unit % kind for _, kind in pairs):
        return pairs[0]
    return (sum(beats * (unit // kind) for beats, kind in pairs), unit)


def _time(reader: PartReader, element: Any) -> None:
    if element.get("print-object") == "no" and reader.raw.time is not None:
        return
    value = metre(element)
    if reader.raw.time is None or reader.cursor == 0:
        reader.raw.time = value
    text = f"{value[0]}/{value[1]}" if value[0] else "senza misura"
    _mark(reader, "time", 0, text, float(value[0]))


def _key(reader: PartReader, element: Any) -> None:
    fifths = element.findtext("fifths")
    mode = (element.findtext("mode") or "").strip()
    staff = int(element.get("number", "0"))
    if fifths is None:
        signs = [
            (step.text or "").strip() + ("#" if (alter.text or "0").strip()[:1] != "-" else "b")
            for step, alter in zip(
                element.iter("key-step"), element.iter("key-alter"), strict=False
            )
        ]
        _mark(reader, "key", staff, " ".join(signs) or "0", 0.0)
        return
    value = int(fifths)
    _mark(reader, "key", staff, f"{value} {mode}".strip(), float(value))


def _clef(reader: PartReader, element: Any) -> None:
    staff = int(element.get("number", "1"))
    sign = (element.findtext("sign") or "G").strip()
    line = (element.findtext("line") or "").strip()
    octave = int(element.findtext("clef-octave-change") or 0)
    name = f"{sign}{line}" + (f"/{octave}" if octave else "")
    names = reader.out.clefs
    if name not in names:
        names.append(name)
    reader.clefs[staff] = names.index(name)
    _mark(reader, "clef", staff, name)


def transpose(reader: PartReader, element: Any) -> None:
    """A `<transpose>`: semitones and steps from written to sounding, octaves included."""
    chromatic = round(float(element.findtext("chromatic") or 0))
    diatonic = element.findtext("diatonic")
    octaves = int(element.findtext("octave-change") or 0)
    if diatonic is None:
        size = _STEPS_OF[abs(chromatic) % 12] + 7 * (abs(chromatic) // 12)
        steps = size if chromatic >= 0 else -size
    else:
        steps = round(float(diatonic))
    semitones = chromatic + 12 * octaves
    steps += 7 * octaves
    staff = int(element.get("number", "0"))
    _shift(reader, staff, semitones, steps, diatonic is not None)


def _shift(reader: PartReader, staff: int, semitones: int, steps: int, given: bool) -> None:
    if staff:
        reader.shifts[staff] = (semitones, steps)
    else:
        reader.shift = (semitones, steps)
        reader.shifts.clear()
    reader.out.transposes[reader.part].append(
        TransposeChange(reader.bar, reader.ticks(reader.cursor), staff, semitones, steps, given)
    )


def _for_part(reader: PartReader, element: Any) -> None:
    """A concert score: the notes already sound as written, the transposition is the part's.

    In MusicXML 4.0 `<for-part>` tells how a part extracted from a concert
    score would be transposed; the pitches in this file are sounding ones.
    """
    del reader, element


def _mark(reader: PartReader, kind: str, staff: int, text: str, number: float = 0.0) -> None:
    reader.out.marks.append(
        RawMark(kind, reader.part, staff, reader.bar, reader.ticks(reader.cursor), text, number)
    )
