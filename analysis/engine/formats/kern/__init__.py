"""Humdrum **kern, read by ourselves.

What is read: columns with splits, joins and exchanges; notes, chords, rests,
graces, ties, tuplets, articulations, ornaments, slurs, beams; clefs, keys,
metres, tempi, octave lines; names and instrument codes; dynamics and words in
columns beside the notes, and words in layout comments; bar lines and repeats.
Commands that would change the file (filters) are never run; other columns
are left out with a notice.
"""

from __future__ import annotations

from fractions import Fraction

from analysis.engine.errors import Refused
from analysis.engine.formats.kern.instruments import name_of
from analysis.engine.formats.kern.read import Reader, Staff
from analysis.engine.formats.kern.spines import Humdrum, decoded
from analysis.engine.formats.moved import to_written
from analysis.engine.formats.piece import Event, Mark, Part, PartBar, Piece
from analysis.engine.formats.rhythm import bracket_tuplets
from analysis.engine.gate.limits import Limits
from analysis.engine.gate.notices import Notices

__all__ = ["read"]


def read(data: bytes, limits: Limits, notices: Notices) -> Piece:
    """A kern file as a piece.

    Raises
    ------
    Refused
        With one sentence, naming the line where there is one.
    """
    humdrum = Humdrum(decoded(data, notices), limits, notices)
    reader = Reader(limits, notices)
    reader.read(humdrum)
    piece = Piece(
        title=humdrum.records.get("OTL", humdrum.records.get("OPR", "")),
        composer=humdrum.records.get("COM", ""),
        frames=reader.frames,
    )
    for staves in _parts(reader):
        piece.parts.append(_part(staves, reader, len(piece.parts)))
    if len(piece.parts) > limits.parts:
        raise Refused(
            f"The score lists {len(piece.parts)} parts; at most {limits.parts} are taken. Put "
            "several players on one staff, or leave parts out, and upload it again.",
            code="parts")  # fmt: skip
    tempo = humdrum.records.get("OMD", "")
    if tempo and piece.parts and piece.frames:
        piece.parts[0].bars[0].marks.insert(0, Mark(Fraction(0), "tempo", tempo, above=True))
    return piece


def _parts(reader: Reader) -> list[list[Staff]]:
    """Staves by part, from the top of the page: columns stand from the bottom up."""
    staves = [reader.staves[root] for root in sorted(reader.staves, reverse=True)]
    if all(s.head.staff is not None for s in staves):
        staves.sort(key=lambda s: s.head.staff or 0)
    parts: list[list[Staff]] = []
    for staff in staves:
        before = parts[-1] if parts else None
        if (
            before
            and staff.head.part is not None
            and before[0].head.part == staff.head.part
            and len(before) < 4
        ):
            before.append(staff)
        else:
            parts.append([staff])
    return parts


def _part(staves: list[Staff], reader: Reader, number: int) -> Part:
    named = next((s.head for s in staves if s.head.name), None)
    coded = next((s.head.code for s in staves if s.head.code), "")
    part = Part(
        name=(named.name if named else name_of(coded)) or f"Part {number + 1}",
        abbreviation=next((s.head.abbreviation for s in staves if s.head.abbreviation), ""),
        staves=len(staves),
    )
    for i, length in enumerate(reader.lengths):
        bar = PartBar()
        for index, staff in enumerate(staves, 1):
            own = staff.bars[i] if i < len(staff.bars) else PartBar()
            _join(bar, own, index, length)
        part.bars.append(bar)
    moved = staves[0].head.transpose
    if moved is not None:
        to_written(part, *moved)
    return part


def _join(bar: PartBar, own: PartBar, index: int, length: Fraction) -> None:
    voices: dict[int, list[Event]] = {}
    for event in own.events:
        event.voice += (index - 1) * 4
        event.staff = index
        voices.setdefault(event.voice, []).append(event)
    for events in voices.values():
        bracket_tuplets(events)
    for mark in own.marks:
        mark.staff = index
    for change in own.changes:
        change.staff = index
    if not own.events:
        rest = Event(Fraction(0), length, voice=(index - 1) * 4 + 1, staff=index, whole_bar=True)
        own.events.append(rest)
    bar.events += own.events
    bar.marks += own.marks
    bar.changes += own.changes
