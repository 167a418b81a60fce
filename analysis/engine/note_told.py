"""What one note is: who plays it, as it is written and as it sounds, and which open tone.

Facts of the score alone: no finding goes in, so nothing hidden can come out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.engine.analyses.open_tones import crook_at
from analysis.engine.instruments import brass
from analysis.engine.model import Line, NoteFlag, PartReading, ScoreTable
from analysis.engine.pitch import Pitch, interval_name


@dataclass(frozen=True, slots=True)
class NoteTold:
    """One printed note.

    Attributes
    ----------
    bar : int
        Index.
    reading : PartReading
        Of its part in that bar.
    lines : tuple of Line
        Who plays it.
    written, sounding : Pitch or None
        None for a note without pitch.
    apart : str
        How far the sounding pitch lies from the written one, as an interval; "" where they
        are the same.
    lower : bool
        Whether it sounds below what is written.
    crook : str
        Of natural brass, "" elsewhere.
    tone : Tone or None
        How it stands to the crook.
    """

    bar: int
    reading: PartReading
    lines: tuple[Line, ...]
    written: Pitch | None
    sounding: Pitch | None
    apart: str = ""
    lower: bool = False
    crook: str = ""
    tone: brass.Tone | None = None


def told(table: ScoreTable, note_id: str) -> NoteTold | None:
    """Tell of a note by the id of the page; None if it is no sounding note of the score.

    A tied-on note is told as the note it continues.
    """
    rows = table.notes[np.isin(table.notes["src"], _sources(table, note_id))]
    rows = rows[(rows["flags"] & NoteFlag.CUE) == 0]
    if not len(rows):
        return None
    row = rows[0]
    bar = int(row["bar"])
    reading = table.reading_at(int(row["part"]), bar)
    lines = tuple(table.lines[n] for n in dict.fromkeys(int(r["line"]) for r in rows))
    if row["pitch"] < 0:
        return NoteTold(bar, reading, lines, None, None)
    written = Pitch(int(row["wstep"]), int(row["walter"]), int(row["woctave"]))
    sounding = Pitch(int(row["step"]), int(row["alter"]), int(row["octave"]))
    semitones, steps = sounding.midi - written.midi, sounding.diatonic - written.diatonic
    apart = interval_name(abs(semitones), abs(steps)) if semitones or steps else ""
    crooked = crook_at(table, lines[0].index, bar)
    tone = None
    if crooked is not None:
        low, high = brass.partial_limits(crooked.instrument)
        tone = brass.tone(int(row["pitch"]), crooked.crook, lowest=low, highest=high)
    crook = (reading.crook or "") if crooked is not None else ""
    return NoteTold(bar, reading, lines, written, sounding, apart, semitones < 0, crook, tone)


def _sources(table: ScoreTable, note_id: str) -> list[int]:
    """Places of the id in `table.ids`; of a tied-on segment those of its first note."""
    try:
        place = table.ids.index(note_id)
    except ValueError:
        return []
    heads = table.continuations[table.continuations[:, 1] == place, 0]
    return [place, *(int(table.notes["src"][head]) for head in heads)]
