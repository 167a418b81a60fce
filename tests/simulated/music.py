"""Notes of one piece as plain arrays, from the corpora's note tables or from music21.

Times are ticks, `TICKS` a quarter, so that onsets of equal moments are equal numbers. Pitches
are sounding MIDI numbers, -1 unpitched. One part is one line wherever it never has two notes
at once; where it has, `single` is False and kinds about lines do not ask about it.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from tests.simulated.page import Page, read_page

TICKS = 10_080
#: less than this is no sound: the tables round to a 48th of a quarter
SLACK = TICKS // 40

Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Notes:
    """The notes of one part by onset: ticks, ticks, MIDI."""

    onset: Ints
    end: Ints
    pitch: Ints


@dataclass(frozen=True)
class Music:
    """One file. `starts` has one number more than there are bars: the end."""

    name: str
    path: Path
    starts: Ints
    notes: tuple[Notes, ...]
    page: Page
    beat: tuple[int, ...] = ()  # ticks of the printed beat, bar by bar
    at_written: frozenset[int] = frozenset()
    _kept: dict[object, object] = field(default_factory=dict, compare=False)

    @property
    def bars(self) -> int:
        return len(self.starts) - 1

    @property
    def parts(self) -> range:
        return range(len(self.notes))

    def bar_of(self, ticks: Ints) -> Ints:
        found: Ints = np.searchsorted(self.starts, ticks, side="right") - 1
        return np.clip(found, 0, self.bars - 1)

    @cached_property
    def sounding(self) -> Bools:
        """Whether a part sounds in a bar, (parts, bars); strokes too."""
        found = np.zeros((len(self.notes), self.bars), dtype=bool)
        for part, notes in enumerate(self.notes):
            first = self.bar_of(notes.onset)
            last = self.bar_of(np.maximum(notes.end - SLACK, notes.onset))
            for a, b in zip(first.tolist(), last.tolist(), strict=True):
                found[part, a : b + 1] = True
        return found

    @cached_property
    def attacking(self) -> Bools:
        """Whether a part attacks a pitched note in a bar, (parts, bars)."""
        found = np.zeros((len(self.notes), self.bars), dtype=bool)
        for part, notes in enumerate(self.notes):
            found[part, self.bar_of(notes.onset[notes.pitch >= 0])] = True
        return found

    @cached_property
    def single(self) -> Bools:
        """Whether a part has one note at a time in a bar, (parts, bars)."""
        found = np.ones((len(self.notes), self.bars), dtype=bool)
        for part, notes in enumerate(self.notes):
            until = np.maximum.accumulate(notes.end) if len(notes.end) else notes.end
            over = np.flatnonzero(notes.onset[1:] < until[:-1] - SLACK) + 1
            found[part, self.bar_of(notes.onset[over])] = False
            found[part, self.bar_of(notes.onset[over - 1])] = False
        return found

    @cached_property
    def melodic(self) -> tuple[int, ...]:
        """Parts of pitched notes that are one line: never two notes at once, or a section."""
        found = []
        for part, notes in enumerate(self.notes):
            pitched = len(notes.pitch) > 0 and bool((notes.pitch >= 0).all())
            section = any(w in self.label(part) for w in ("Viol", "Contrab", "Bass", "Cell"))
            if pitched and (section or bool(self.single[part].all())):
                found.append(part)
        return tuple(found)

    def label(self, part: int) -> str:
        return self.page.parts[part].label

    def transposition(self, part: int) -> int | None:
        return self.page.parts[part].transposition

    def place(self, first: int, last: int) -> list[str]:
        """PLACE of whole bars; labels of these files stand once."""
        labels = self.page.labels
        return [labels[first]] if first == last else [labels[first], labels[last]]

    def as_written(self, parts: Iterable[int]) -> Music:
        """The same with some parts at written pitch."""
        key = ("written", frozenset(parts))
        if key not in self._kept:
            shift = {p: self.transposition(p) or 0 for p in key[1]}
            notes = tuple(
                replace(n, pitch=np.where(n.pitch >= 0, n.pitch - shift[p], -1))
                if p in shift
                else n
                for p, n in enumerate(self.notes)
            )
            self._kept[key] = replace(self, notes=notes, at_written=key[1], _kept={})
        found = self._kept[key]
        assert isinstance(found, Music)
        return found


def music_of(
    name: str,
    path: Path,
    page: Page,
    bars: Sequence[tuple[float, float]],
    rows: Iterable[tuple[int, float, float, int]],
    beats: Sequence[float] = (),
) -> Music:
    """Build from bars (start, length) and rows (part, onset, duration, pitch), in quarters."""
    starts = [round(a * TICKS) for a, _ in bars]
    starts.append(round(sum(bars[-1]) * TICKS))
    table = np.array(sorted(rows), dtype=float).reshape(-1, 4)
    notes = []
    for part in range(len(page.parts)):
        own = table[table[:, 0] == part]
        onset = np.round(own[:, 1] * TICKS).astype(np.int64)
        end = np.round((own[:, 1] + own[:, 2]) * TICKS).astype(np.int64)
        notes.append(Notes(onset, end, own[:, 3].astype(np.int64)))
    found = np.array(starts, dtype=np.int64)
    return Music(name, path, found, tuple(notes), page, tuple(round(b * TICKS) for b in beats))


def from_table(table: Path, score: Path) -> Music:
    """A note table of the open corpora (its README tells the fields) with its score's page."""
    stored = np.load(table, allow_pickle=False)
    extra = json.loads(str(stored["extra"]))
    page = read_page(score)
    assert len(page.parts) == len(json.loads(str(stored["parts"]))), score.name
    assert list(page.labels) == list(extra["barnames"]), score.name
    names = ("part", "onset", "dur", "pitch")
    rows = zip(*(stored[n].tolist() for n in names), strict=True)
    bars = [(float(a), float(b)) for a, b in stored["bars"]]
    return music_of(score.stem, score, page, bars, rows, _beats(extra["timesigs"], len(bars)))


def _beats(signatures: Sequence[Sequence[object]], bars: int) -> list[float]:
    """Quarters of a printed beat, bar by bar, from (bar index, beats, beat type)."""
    found = [1.0] * bars
    for first, _, unit in signatures:
        for bar in range(int(str(first)), bars):
            found[bar] = 4 / int(str(unit))
    return found


def from_music21(score: Path) -> Music:
    """A MusicXML file by music21, ties joined, at sounding pitch; graces left out."""
    import warnings

    from music21 import converter

    page = read_page(score)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        parsed = converter.parse(score, forceSource=True, storePickle=False)
        sounding = parsed.toSoundingPitch().stripTies()
    measures = [list(part.getElementsByClass("Measure")) for part in sounding.parts]
    # Ties joined leave bars empty, and a whole-bar rest in an upbeat counts as a whole bar: the
    # shortest part of the file as it stands is right.
    whole = zip(*(part.getElementsByClass("Measure") for part in parsed.parts), strict=True)
    lengths = [min(float(m.duration.quarterLength) for m in bar) for bar in whole]
    starts = np.cumsum([0.0, *lengths]).tolist()
    rows: list[tuple[int, float, float, int]] = []
    beats: list[float] = []
    for index, own in enumerate(measures):
        for bar, measure in enumerate(own):
            for element in measure.flatten().notes:
                if element.duration.isGrace:
                    continue
                for note in element.notes if hasattr(element, "notes") else (element,):
                    midi = note.pitch.midi if hasattr(note, "pitch") else -1
                    at = starts[bar] + float(element.offset)
                    rows.append((index, at, float(element.quarterLength), midi))
    for measure in measures[0]:
        meter = measure.getContextByClass("TimeSignature")
        beats.append(4 / meter.denominator if meter else 1.0)
    bars = list(zip(starts, lengths, strict=False))
    return music_of(score.stem, score, page, bars, rows, beats)
