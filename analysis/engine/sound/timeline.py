"""When each bar and note sounds, and on which channel each part: for cursor and mutes."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from analysis.engine.model import ScoreTable
from analysis.engine.sound.performance import Performance


def timeline(performance: Performance, table: ScoreTable) -> dict[str, Any]:
    """A performance as JSON for the page.

    Returns
    -------
    dict
        ``{"schema": 1, "order", "duration", "bars": [{"index", "label", "pass",
        "start", "end"}], "parts": [{"id", "index", "label", "family", "channels"}],
        "notes": [[id, on, off, part], ...]}``: seconds, channels counted over
        all ports (16 each), notes by onset. Ids are the note ids of the page;
        a tied-on note has a row of its own from its bar on.
    """
    clock = performance.clock
    tied: dict[int, list[int]] = defaultdict(list)
    for row, src in table.continuations.tolist():
        tied[row].append(src)
    bar_start = _starts(performance)
    notes: list[list[Any]] = []
    for stroke in performance.strokes:
        if stroke.again:
            continue
        on, off = round(clock.at(stroke.on), 3), round(clock.at(stroke.off), 3)
        part = performance.voices[stroke.voice].part
        notes.append([table.ids[stroke.src], on, off, part])
        for src in tied.get(stroke.row, ()):
            start = _tied_start(table.ids[src], stroke.on, bar_start)
            notes.append([table.ids[src], max(on, round(clock.at(start), 3)), off, part])
    end = performance.bars[-1].end if performance.bars else 0
    return {
        "schema": 1,
        "order": performance.order,
        "duration": round(clock.at(end), 3),
        "bars": _bars(performance, table),
        "parts": _parts(performance, table),
        "notes": sorted(notes, key=lambda n: (n[1], n[0])),
    }


def _starts(performance: Performance) -> dict[int, list[int]]:
    out: dict[int, list[int]] = defaultdict(list)
    for bar in performance.bars:
        out[bar.index].append(bar.start)
    return out


def _tied_start(note_id: str, on: int, starts: dict[int, list[int]]) -> int:
    """The start of the tied note's own bar, at the pass in which it is held."""
    pieces = note_id.split("-")
    if len(pieces) != 3 or not pieces[1].isdigit():
        return on
    return next((s for s in starts.get(int(pieces[1]), ()) if s >= on), on)


def _bars(performance: Performance, table: ScoreTable) -> list[dict[str, Any]]:
    clock = performance.clock
    return [
        {
            "index": bar.index,
            "label": table.bars[bar.index].label,
            "pass": bar.turn,
            "start": round(clock.at(bar.start), 3),
            "end": round(clock.at(bar.end), 3),
        }
        for bar in performance.bars
    ]


def _parts(performance: Performance, table: ScoreTable) -> list[dict[str, Any]]:
    channels: dict[int, list[int]] = defaultdict(list)
    for voice in performance.voices:
        channels[voice.part].append(voice.number)
    return [
        {
            "id": reading.id,
            "index": reading.index,
            "label": " ".join(reading.label.split()),
            "family": reading.family,
            "channels": channels[reading.index],
        }
        for reading in table.first_readings
    ]
