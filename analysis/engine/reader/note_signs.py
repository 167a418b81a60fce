"""Signs that hang on a note: ties, slurs, articulations, ornaments, techniques."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, NamedTuple

from analysis.engine.model import Articulation, NoteFlag, Technique, with_strokes
from analysis.engine.reader.directions import dynamic_text, level_of
from analysis.engine.reader.raw import TIE_START, TIE_STOP, RawMark

if TYPE_CHECKING:
    from analysis.engine.reader.scan import PartReader

_ARTICULATIONS = {
    "staccato": Articulation.STACCATO,
    "accent": Articulation.ACCENT,
    "tenuto": Articulation.TENUTO,
    "strong-accent": Articulation.MARCATO,
    "staccatissimo": Articulation.STACCATISSIMO,
    "spiccato": Articulation.STACCATISSIMO,
    # a stroke with a dot: both signs
    "detached-legato": Articulation.TENUTO | Articulation.STACCATO,
}
_TURNS = {
    "turn": NoteFlag.TURN,
    "delayed-turn": NoteFlag.TURN,
    "inverted-turn": NoteFlag.INVERTED_TURN,
    "delayed-inverted-turn": NoteFlag.INVERTED_TURN,
    "mordent": NoteFlag.MORDENT,
    "inverted-mordent": NoteFlag.INVERTED_MORDENT,
}
_TECHNIQUES = {"harmonic": Technique.HARMONIC, "stopped": Technique.STOPPED}


class Signs(NamedTuple):
    """Bits for the row of one note."""

    flags: int
    articulation: int
    technique: int
    tie: int


def read(reader: PartReader, notations: Iterable[Any], row: int) -> Signs:
    """Read the `<notations>` of the note that becomes `row`; slurs are noted in the scan."""
    flags = articulation = technique = tie = 0
    for block in notations:
        for sign in block:
            tag = sign.tag
            if tag == "slur":
                _slur(reader, sign, row)
            elif tag == "articulations":
                for mark in sign:
                    articulation |= int(_ARTICULATIONS.get(mark.tag, 0))
            elif tag == "tied":
                tie |= _tied(sign.get("type"))
            elif tag == "ornaments":
                flags |= _ornaments(sign)
            elif tag == "technical":
                for mark in sign:
                    technique |= int(_TECHNIQUES.get(mark.tag, 0))
            elif tag == "arpeggiate":
                flags |= int(NoteFlag.ARPEGGIO)
            elif tag == "fermata":
                articulation |= int(Articulation.FERMATA)
            elif tag == "dynamics":
                # Dynamics may also hang on a note.
                _dynamics(reader, sign)
    return Signs(flags, articulation, technique, tie)


def _tied(kind: str | None) -> int:
    if kind == "start":
        return TIE_START
    if kind == "stop":
        return TIE_STOP
    if kind == "continue":
        return TIE_START | TIE_STOP
    return 0  # let-ring joins nothing


def _ornaments(element: Any) -> int:
    flags = 0
    for mark in element:
        tag = mark.tag
        if tag == "tremolo":
            pair = mark.get("type") in ("start", "stop")
            flags |= NoteFlag.TREMOLO_PAIR if pair else NoteFlag.TREMOLO
            flags |= with_strokes(_number(mark.text))
        elif tag == "trill-mark" or (tag == "wavy-line" and mark.get("type") != "stop"):
            flags |= NoteFlag.TRILL
        else:
            flags |= _TURNS.get(tag, 0)
    return int(flags)


def _number(text: str | None) -> int:
    return int(text) if text and text.strip().isdigit() else 0


def _slur(reader: PartReader, sign: Any, row: int) -> None:
    number = sign.get("number", "1")
    kind = sign.get("type")
    if kind == "start":
        reader.open_slurs[number] = row
    elif kind == "stop":
        first = reader.open_slurs.pop(number, None)
        if first is not None:
            reader.out.slurs.append((reader.part, first, row))


def _dynamics(reader: PartReader, element: Any) -> None:
    for text in dynamic_text(element):
        reader.out.marks.append(
            RawMark(
                "dynamic",
                reader.part,
                1,
                reader.bar,
                reader.ticks(reader.cursor),
                text,
                float(level_of(text)),
            )
        )
