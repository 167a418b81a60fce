"""`read`: from the canonical copy to the note table."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from analysis.engine.model import Bar, Mark, Notice, PartReading, ScoreTable
from analysis.engine.reader import bars as bar_map
from analysis.engine.reader import editorial, lines, movements, order, pitch, readings, rows
from analysis.engine.reader.editorial import BarRepeat
from analysis.engine.reader.raw import RawMark, Scan
from analysis.engine.reader.scan import scan as scan_file


def read(
    canonical: bytes,
    *,
    confirmed: Sequence[PartReading] | None = None,
    trust_labels: bool = True,
) -> ScoreTable:
    """Read a canonical copy into a note table.

    Parameters
    ----------
    canonical : bytes
        MusicXML as the gate writes it. Notes without an id get the one the
        gate would give them.
    confirmed : sequence of PartReading, optional
        The tutor's readings; they replace the engine's own for the parts they
        name.
    trust_labels : bool, default True
        False: only what the file's `<transpose>` says, no names are read.

    Returns
    -------
    ScoreTable
        Onsets and durations in ticks, pitches sounding.

    Raises
    ------
    Refused
        If the bytes are no score-partwise MusicXML with at least one bar.
    """
    scan = scan_file(canonical)
    places = bar_map.expand_multirests(scan)
    bars, signs, notices = bar_map.build(scan, places)
    found = movements.split(scan, bars, signs)
    played, passes, more = order.play(signs, found)
    over = order.endings(signs)
    bars = [
        replace(bar, passes=passes[bar.index], ending=", ".join(map(str, over[bar.index])))
        for bar in movements.assign(bars, found)
    ]
    bars = bar_map.number_equal_labels(bars)
    raw = scan.notes()
    raw["bar"] = _bars_of(raw, places)
    starts = np.array([b.start for b in bars], dtype=np.int64)
    onset = starts[raw["bar"]] + raw["pos"]
    marks = _marks(scan.marks, places, bars)
    marks += _slurs(scan, raw, onset)
    if trust_labels:
        parts = readings.chosen(readings.proposed(scan, raw, marks, places), confirmed)
    else:
        parts = readings.chosen(readings.from_file(scan, places), confirmed)
    shift = readings.sounding_shift(scan, raw, parts, places)
    spelled = pitch.transpose(raw["step"], raw["alter"], raw["octave"], *shift)
    sounding = pitch.midi(*spelled)
    if trust_labels:
        given = lines.assign(raw, onset, sounding, parts, marks, scan.staves)
        marks = sorted([*marks, *given.marks], key=lambda m: (m.onset, m.part, m.staff))
    else:
        heads = scan.heads
        given = lines.one_per_part(raw, [h.label for h in heads], [h.id for h in heads])
    gap = _gaps(scan, raw, places, bars)
    notes, joined = rows.build(scan, raw, onset, spelled, given, marks, gap)
    told: list[Notice] = []
    if trust_labels:
        editor = editorial.Editor(notes, given.lines, parts, bars)
        editor.repeat_bars(_bar_repeats(scan, places))
        editor.follow_words(marks)
        notes, told = editor.result()
    return ScoreTable(
        title=scan.movement or scan.work or scan.title,
        movements=tuple(found),
        parts=tuple(parts),
        bars=tuple(bars),
        lines=tuple(given.lines),
        notes=notes,
        ids=tuple(scan.ids),
        continuations=rows.continuations(notes["src"], joined),
        marks=tuple(marks),
        order=tuple(played),
        warnings=(*notices, *more, *given.notices, *told, *_notices(scan)),
        sha256=hashlib.sha256(canonical).hexdigest(),
    )


def _bars_of(raw: NDArray[np.void], places: Sequence[Sequence[int]]) -> NDArray[np.int32]:
    out = raw["bar"].copy()
    for part, place in enumerate(places):
        if place and place[-1] != len(place) - 1:
            mine = raw["part"] == part
            out[mine] = np.array(place, dtype=np.int32)[out[mine]]
    return out


def _gaps(
    scan: Scan, raw: NDArray[np.void], places: Sequence[Sequence[int]], bars: Sequence[Bar]
) -> NDArray[np.int64]:
    """How far the last note of a bar is from the bar's end where its part is too short."""
    own = np.zeros((len(places), len(bars)), dtype=np.int64)
    for part, column in enumerate(scan.bars):
        own[part, list(places[part])] = [bar.length for bar in column]
    held = own[raw["part"], raw["bar"]]
    whole = np.array([bar.length for bar in bars], dtype=np.int64)[raw["bar"]]
    last = (held > 0) & (held < whole) & (raw["pos"] + raw["dur"] == held)
    gap: NDArray[np.int64] = np.where(last, whole - held, 0)
    return gap


def _marks(
    marks: Sequence[RawMark], places: Sequence[Sequence[int]], bars: Sequence[Bar]
) -> list[Mark]:
    out = []
    for mark in marks:
        place = places[mark.part]
        bar = place[mark.bar]
        onset = bars[bar].start + mark.pos
        end = onset
        if mark.end_bar >= 0:
            end = max(bars[place[mark.end_bar]].start + mark.end_pos, onset)
        out.append(
            Mark(mark.kind, mark.part, mark.staff, bar, onset, end, mark.text, mark.number)  # type: ignore[arg-type]
        )
    out.sort(key=lambda m: (m.onset, m.part, m.staff))
    return out


def _slurs(scan: Scan, raw: NDArray[np.void], onset: NDArray[np.int64]) -> list[Mark]:
    """Slurs as spans from the first note's start to the last note's end."""
    out = []
    for part, first, last in scan.slurs:
        start, end = int(onset[first]), int(onset[last] + raw["dur"][last])
        staff, bar = int(raw["staff"][first]), int(raw["bar"][first])
        out.append(Mark("slur", part, staff, bar, start, max(start, end), ""))
    return out


def _bar_repeats(scan: Scan, places: Sequence[Sequence[int]]) -> list[BarRepeat]:
    """Bar-repeat signs from their start to the bar before their stop."""
    out: list[BarRepeat] = []
    open_: dict[int, tuple[int, int]] = {}
    ends = [(part, len(place), "stop", 1) for part, place in enumerate(places)]
    for part, bar, kind, size in [*scan.repeats, *ends]:
        if part in open_:
            first, had = open_.pop(part)
            out.append(
                BarRepeat(
                    part, places[part][first], places[part][min(bar, len(places[part])) - 1], had
                )
            )
        if kind == "start":
            open_[part] = (bar, size)
    return out


def _notices(scan: Scan) -> list[Notice]:
    out = []
    if scan.rounded:
        out.append(
            Notice(
                "rounded",
                "Notes in these bars do not fit our time grid (10,080 to the quarter) and were"
                " rounded by less than a ten-thousandth of a quarter.",
                tuple(sorted({bar for _, bar in scan.rounded})),
            )
        )
    if scan.tuplets:
        out.append(
            Notice(
                "tuplets-rounded",
                "The file itself rounds tuplets in these bars to its own grid; notes that should"
                " be struck together may differ by a hair.",
                tuple(sorted({bar for _, bar in scan.tuplets})),
            )
        )
    if scan.hidden:
        out.append(
            Notice(
                "hidden-notes",
                "These bars hold notes that are hidden on the page; they take part in no analysis.",
                tuple(sorted({bar for _, bar in scan.hidden})),
            )
        )
    return out
