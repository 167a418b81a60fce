"""What each part is taken for: what the reader saw goes to `engine.instruments`."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from analysis.engine.instruments import PartSeen, propose_all, propose_change
from analysis.engine.model import Doubt, Mark, NoteFlag, PartReading
from analysis.engine.reader.pitch import midi
from analysis.engine.reader.raw import PITCHED, Scan

_CHANGE = re.compile(r"\b(muta|mutano|mutan|muti|nimmt|nehmen|prend|prennent|change to)\b", re.I)
_Rows = NDArray[np.void]


def from_file(scan: Scan, places: Sequence[Sequence[int]]) -> list[PartReading]:
    """Readings that trust nothing but the file's own `<transpose>`."""
    return [
        PartReading(
            id=head.id,
            index=index,
            label=head.label,
            instrument="unknown",
            family="unknown",
            transposition=shift[0],
            diatonic=shift[1],
            from_bar=bar,
        )
        for index, head in enumerate(scan.heads)
        for bar, shift in file_shifts(scan, index, places[index])
    ]


def file_shifts(scan: Scan, part: int, places: Sequence[int]) -> list[tuple[int, tuple[int, int]]]:
    """The file's transposition of a part (its first staff): (from bar, (semitones, steps))."""
    found = {0: (0, 0)}
    for change in scan.transposes[part]:
        if change.staff <= 1:
            found[places[change.bar]] = (change.semitones, change.steps)
    out: list[tuple[int, tuple[int, int]]] = []
    for bar, shift in sorted(found.items()):
        if not out or out[-1][1] != shift:
            out.append((bar, shift))
    return out


def proposed(
    scan: Scan, raw: _Rows, marks: Sequence[Mark], places: Sequence[Sequence[int]]
) -> list[PartReading]:
    """The engine's own readings, with doubts: one a part, and one for each change."""
    seen = [_seen(scan, raw, marks, part) for part in range(len(scan.heads))]
    out: list[PartReading] = []
    for index, proposal in enumerate(propose_all(seen)):
        head = scan.heads[index]
        first = proposal.reading(head.id, index, head.label)
        if scan.keys_only and seen[index].low is not None:
            first = _as_it_sounds(first)
        out.append(first)
        others = [s for i, s in enumerate(seen) if i != index]
        before = seen[index]
        for bar, words, shift in _changes(scan, raw, marks, index, places[index]):
            now = _seen_from(scan, raw, index, bar, words, shift)
            change = propose_change(before, now, others)
            reading = change.reading(head.id, index, head.label, bar)
            # The same people go on reading the same staff.
            out.append(replace(reading, players=first.players))
    return out


_KEYS_ONLY = (
    "The file told keys and times only: the notes stand as they sound, and who plays, in which "
    "transposition and how notes are spelled is guessed."
)


def _as_it_sounds(reading: PartReading) -> PartReading:
    """A part of a MIDI file: never transposed, and always for the tutor to confirm."""
    doubt = reading.doubt
    if doubt is None:
        doubt = Doubt("pitch", _KEYS_ONLY)
    elif doubt.about == "pitch":  # what the label lets expect is no evidence here
        doubt = replace(doubt, text=_KEYS_ONLY)
    else:
        doubt = replace(doubt, text=f"{doubt.text} {_KEYS_ONLY}")
    return replace(reading, transposition=0, diatonic=0, octave_switch=False,
                   old_bass_clef=False, doubt=doubt)  # fmt: skip


def chosen(
    own: Sequence[PartReading], confirmed: Sequence[PartReading] | None
) -> list[PartReading]:
    """The tutor's readings where there are any, else our own; by (index, from_bar).

    Every part keeps a reading from bar 0 on, also where a confirmation begins later.
    """
    if not confirmed:
        return sorted(own, key=lambda r: (r.index, r.from_bar))
    named = {r.index for r in confirmed}
    kept = [r for r in own if r.index not in named]
    for index in named:
        mine = sorted((r for r in confirmed if r.index == index), key=lambda r: r.from_bar)
        if mine[0].from_bar:
            mine.insert(0, replace(mine[0], from_bar=0))
        kept += mine
    return sorted(kept, key=lambda r: (r.index, r.from_bar))


def _seen(scan: Scan, raw: _Rows, marks: Sequence[Mark], part: int) -> PartSeen:
    head = scan.heads[part]
    rows = _pitched(raw, part, 0)
    clefs: list[str] = []
    key: int | None = None
    for mark in marks:
        if mark.part != part:
            continue
        if mark.kind == "clef" and mark.staff <= 1 and clefs[-1:] != [mark.text]:
            clefs.append(mark.text)
        elif (
            mark.kind == "key"
            and key is None
            and mark.text[:1].lstrip("-").isdigit() | (mark.text[:1] == "-")
        ):
            key = int(mark.number)
    low, high = _span(rows)
    first = next((c for c in scan.transposes[part] if c.staff <= 1), None)
    at_start = first is not None and first.bar == 0
    return PartSeen(
        head.label,
        head.abbreviation,
        tuple(head.instruments.values()),
        (first.semitones, first.steps) if first is not None and at_start else None,
        tuple(clefs),
        low,
        high,
        _clef_ranges(scan, rows),
        key,
        scan.lyrics[part],
        tuple(
            m.text for m in marks if m.part == part and m.kind == "words" and _CHANGE.search(m.text)
        ),
    )


def _seen_from(
    scan: Scan, raw: _Rows, part: int, bar: int, words: str, shift: tuple[int, int] | None
) -> PartSeen:
    rows = _pitched(raw, part, bar)
    low, high = _span(rows)
    ranges = _clef_ranges(scan, rows)
    return PartSeen(words, "", (), shift, tuple(ranges), low, high, ranges)


def _pitched(raw: _Rows, part: int, bar: int) -> _Rows:
    keep = (raw["part"] == part) & (raw["kind"] == PITCHED) & (raw["bar"] >= bar)
    rows: _Rows = raw[keep & ((raw["flags"] & NoteFlag.CUE) == 0)]
    return rows


def _span(rows: _Rows) -> tuple[int | None, int | None]:
    if not len(rows):
        return None, None
    written = midi(rows["step"], rows["alter"], rows["octave"])
    return int(written.min()), int(written.max())


def _clef_ranges(scan: Scan, rows: _Rows) -> dict[str, tuple[int, int]]:
    out: dict[str, tuple[int, int]] = {}
    for clef in np.unique(rows["clef"]):
        low, high = _span(rows[rows["clef"] == clef])
        name = scan.clefs[int(clef)]
        if name and low is not None and high is not None:
            out[name] = (low, high)
    return out


def _changes(
    scan: Scan, raw: _Rows, marks: Sequence[Mark], part: int, places: Sequence[int]
) -> list[tuple[int, str, tuple[int, int] | None]]:
    """Where a part changes instrument or crook: bar, words, the file's transposition there.

    "Muta in A" stands where the rest begins, the file's `<transpose>` where
    the new key signature stands: the words belong to the next transposition,
    or to the next note where the file brings none.
    """
    shifts = file_shifts(scan, part, places)
    words = [
        (m.bar, m.text)
        for m in marks
        if m.part == part and m.kind == "words" and _CHANGE.search(m.text)
    ]
    words += [(places[bar], name) for bar, name in scan.instrument_changes[part] if name]
    words.sort()
    used: set[int] = set()
    out: list[tuple[int, str, tuple[int, int] | None]] = []
    # A transposition before the first note is the part's first, however late it stands.
    played = _pitched(raw, part, 0)
    first_note = int(played["bar"].min()) if len(played) else 0
    for bar, shift in shifts[1:]:
        mine = [i for i, (at, _) in enumerate(words) if at <= bar and i not in used]
        text = words[mine[-1]][1] if mine else ""
        used.update(mine)
        if bar > first_note or text:
            out.append((bar, text, shift))
        else:
            out.append((bar, scan.heads[part].label, shift))
    for i, (at, text) in enumerate(words):
        if i in used:
            continue
        later = played["bar"][played["bar"] > at]
        if len(later) and at > 0:
            bar = int(later.min())
            force = [s for b, s in shifts if b <= bar and s != (0, 0)]
            out.append((bar, text, force[-1] if force else None))
    # One reading a bar: the later word wins.
    return sorted({bar: (bar, text, shift) for bar, text, shift in out}.values())


def sounding_shift(
    scan: Scan, raw: _Rows, readings: Sequence[PartReading], places: Sequence[Sequence[int]]
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Semitones and steps from written to sounding, note by note.

    The reading in force decides. Where it says what the file says, the file's
    own place of change is kept to the note, also in the middle of a bar. The
    old habits act on single clefs: bass-clef notes of horns an octave higher,
    treble-clef notes of cellos an octave lower (trade-facts 2.4).
    """
    semitones = raw["semitones"].astype(np.int64)
    steps = raw["steps"].astype(np.int64)
    signs = np.array([name[:1] for name in scan.clefs])
    sign: Any = signs[raw["clef"]]
    plain = np.array(["/" not in name for name in scan.clefs])[raw["clef"]]
    starts: dict[int, list[PartReading]] = {}
    for reading in readings:
        starts.setdefault(reading.index, []).append(reading)
    for part, mine in starts.items():
        in_part = raw["part"] == part
        mid_bar = {places[part][c.bar] for c in scan.transposes[part] if c.pos > 0}
        keep_file = np.isin(raw["bar"], sorted(mid_bar))
        shifts = file_shifts(scan, part, places[part])
        for n, reading in enumerate(mine):
            last = mine[n + 1].from_bar if n + 1 < len(mine) else np.inf
            rows = in_part & (raw["bar"] >= reading.from_bar) & (raw["bar"] < last)
            of_file = [s for b, s in shifts if b <= reading.from_bar][-1]
            if (reading.transposition, reading.diatonic) != of_file or len(shifts) > 1:
                told = {(c.semitones, c.steps) for c in scan.transposes[part] if c.staff > 1}
                change = rows & ~keep_file
                if told:
                    change &= raw["staff"] <= 1
                semitones[change] = reading.transposition
                steps[change] = reading.diatonic
            if reading.old_bass_clef:
                semitones[rows & (sign == "F")] += 12
                steps[rows & (sign == "F")] += 7
            if reading.octave_switch:
                low = rows & plain
                if reading.instrument in ("cello", "cello-and-bass"):
                    low &= sign == "G"
                up = 1 if reading.transposition > 0 else -1
                semitones[low] += 12 * up
                steps[low] += 7 * up
    return semitones, steps
