"""`<direction>` and `<sound>`: dynamics, hairpins, words, tempo, rehearsal marks, jumps."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from analysis.engine.reader.numbers import number
from analysis.engine.reader.raw import RawMark

if TYPE_CHECKING:
    from analysis.engine.reader.scan import PartReader

#: 1 ppp .. 8 fff, the scale of the note table.
LEVELS = {
    "pppp": 1, "ppppp": 1, "pppppp": 1, "ppp": 1, "pp": 2, "p": 3, "mp": 4, "mf": 5,
    "f": 6, "ff": 7, "fff": 8, "ffff": 8, "fffff": 8, "ffffff": 8,
    # what remains after the stressed attack
    "fp": 3, "sfp": 3, "sfpp": 2, "ffp": 3, "pf": 6, "mfp": 3,
}  # fmt: skip
_DYNAMIC_WORD = re.compile(r"^\s*(p{1,4}|f{1,4}|mp|mf|fp|sfp|ffp|mfp)[.,]?(?:\s|$)")
#: MIDI velocity / 0.9, the usual scale of <sound dynamics>; middles between levels.
_SOUND_LEVELS = ((27, 1), (45, 2), (62, 3), (80, 4), (98, 5), (115, 6), (132, 7))
_JUMPS = ("dacapo", "dalsegno", "tocoda", "coda", "segno", "fine", "forward-repeat")


def level_of(text: str) -> int:
    """The dynamic level a printed sign sets; 0 for accents (sf, fz, rf), which set none."""
    return LEVELS.get(text, 0)


def dynamic_text(element: Any) -> Iterator[str]:
    """The signs of a `<dynamics>` element; "p" and "p" side by side stay two signs."""
    for child in element:
        if child.tag == "other-dynamics":
            text = (child.text or "").strip()
            if text:
                yield text
        else:
            yield child.tag


def read(reader: PartReader, element: Any) -> None:
    """Read one `<direction>`."""
    pos = _position(reader, element)
    staff = int(element.findtext("staff") or 0) or 1
    printed = False
    for kind in element:
        if kind.tag != "direction-type":
            continue
        for sign in kind:
            printed = _sign(reader, sign, pos, staff) or printed
    noise = element.find("sound")
    if noise is not None:
        sound(reader, noise)
        value = noise.get("dynamics")
        if value and not printed:
            _sound_dynamics(reader, value, pos, staff)


def _position(reader: PartReader, element: Any) -> int:
    offset = element.findtext("offset")
    position = reader.cursor
    if offset is not None:
        position = max(position + number(offset) * reader.factor, 0)
    return reader.ticks(position)


def _sign(reader: PartReader, sign: Any, pos: int, staff: int) -> bool:
    """Read one sign; true if it settles the dynamic so that playback values count no more."""
    tag = sign.tag
    if tag == "dynamics":
        for text in dynamic_text(sign):
            _add(reader, "dynamic", pos, staff, text, level_of(text))
        return True
    if tag == "wedge":
        _span(reader, "wedge", sign, pos, staff, sign.get("type", ""))
        return True
    if tag == "words":
        text = " ".join((sign.text or "").split())
        if not text:
            return False
        _add(reader, "words", pos, staff, text)
        match = _DYNAMIC_WORD.match(text)
        if match:
            _add(reader, "dynamic", pos, staff, match.group(1), level_of(match.group(1)))
            return True
    elif tag == "dashes":
        _dashes(reader, sign, pos)
    elif tag == "rehearsal":
        _add(reader, "rehearsal", pos, staff, " ".join((sign.text or "").split()))
    elif tag == "metronome":
        _metronome(reader, sign, pos, staff)
    elif tag in ("segno", "coda"):
        reader.raw.jumps.setdefault(tag, tag)
    return False


def _add(
    reader: PartReader, kind: str, pos: int, staff: int, text: str, number: float = 0.0
) -> RawMark:
    mark = RawMark(kind, reader.part, staff, reader.bar, pos, text, float(number))
    reader.out.marks.append(mark)
    return mark


def _span(reader: PartReader, kind: str, sign: Any, pos: int, staff: int, type_: str) -> None:
    key = (kind, sign.get("number", "1"))
    if type_ == "stop":
        index = reader.open_spans.pop(key, None)
        if index is not None:
            mark = reader.out.marks[index]
            mark.end_bar, mark.end_pos = reader.bar, pos
    elif type_ in ("crescendo", "diminuendo"):
        reader.open_spans[key] = len(reader.out.marks)
        _add(reader, kind, pos, staff, type_)


def _dashes(reader: PartReader, sign: Any, pos: int) -> None:
    """Dashes carry the words before them ("cresc. - - -") to where they stop."""
    key = ("dashes", sign.get("number", "1"))
    if sign.get("type") == "start":
        marks = reader.out.marks
        if marks and marks[-1].kind == "words" and marks[-1].part == reader.part:
            reader.open_spans[key] = len(marks) - 1
    elif sign.get("type") == "stop":
        index = reader.open_spans.pop(key, None)
        if index is not None:
            mark = reader.out.marks[index]
            mark.end_bar, mark.end_pos = reader.bar, pos


_UNITS = {"breve": 8.0, "whole": 4.0, "half": 2.0, "quarter": 1.0, "eighth": 0.5, "16th": 0.25}


def _metronome(reader: PartReader, sign: Any, pos: int, staff: int) -> None:
    unit = (sign.findtext("beat-unit") or "").strip()
    per = re.search(r"\d+(?:\.\d+)?", sign.findtext("per-minute") or "")
    if unit not in _UNITS or per is None:
        return
    dots = len(sign.findall("beat-unit-dot"))
    quarters = _UNITS[unit] * (2 - 0.5**dots)
    text = f"{unit}{'.' * dots} = {per.group()}"
    _add(reader, "tempo", pos, staff, text, float(per.group()) * quarters)


def sound(reader: PartReader, element: Any) -> None:
    """`<sound>`: jumps for the bar map, tempo where no metronome mark stands."""
    for name in _JUMPS:
        value = element.get(name)
        if value is not None and value != "no":
            reader.raw.jumps[name] = value
    tempo = element.get("tempo")
    if tempo:
        try:
            value = float(tempo)
        except ValueError:
            return
        if value > 0:
            pos = reader.ticks(reader.cursor)
            marks = reader.out.marks
            if marks and marks[-1].kind == "tempo" and marks[-1].bar == reader.bar:
                return
            _add(reader, "tempo", pos, 1, f"sound {tempo}", value)


def _sound_dynamics(reader: PartReader, value: str, pos: int, staff: int) -> None:
    try:
        loud = float(value)
    except ValueError:
        return
    level = next((lv for top, lv in _SOUND_LEVELS if loud < top), 8)
    _add(reader, "dynamic", pos, staff, "", level)
