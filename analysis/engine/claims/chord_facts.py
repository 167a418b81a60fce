"""What a chord claim is held against: the chords of the claimed beats, and who has which member."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.engine.analyses.harmony import Harmony, chord_rows, harmony
from analysis.engine.analyses.harmony_names import Chord, Member
from analysis.engine.analyses.spans import merged
from analysis.engine.claims import evidence as proof
from analysis.engine.claims.base import Bound, Verdict
from analysis.engine.claims.chord_words import TONES, alike
from analysis.engine.model import NoteArray, ScoreTable
from analysis.engine.names import Unit
from analysis.engine.pitch import NATURAL

#: a chord whose members all sound and nothing else is counted, not judged: as sure as a name is
PLAIN, SURE = 0.995, 0.97
_PLAIN = ("major", "minor", "diminished", "dominant seventh", "diminished seventh")
_NATURAL = np.array(NATURAL, dtype=np.int64)
#: share of a part's time on a member, to have it; common practice
HAS = 0.9


@dataclass(frozen=True, slots=True)
class Heard:
    """A chord within the claimed beats: from when to when, and what the claim is worth in it."""

    chord: Chord
    start: int
    end: int
    name: Verdict  # root and quality
    bass: Verdict  # inversion
    confidence: float

    @property
    def length(self) -> int:
        return self.end - self.start


def heard(table: ScoreTable, bound: Bound) -> list[Heard]:
    """The chords that sound in the claimed beats, in order."""
    known = harmony(table)
    found = []
    for chord in known.between(bound.bars.start, bound.bars.end):
        start, end = max(chord.start, bound.bars.start), min(chord.end, bound.bars.end)
        if end > start:
            bass = _bass(known, bound, chord, start, end)
            found.append(Heard(chord, start, end, _name(bound, chord), bass, sureness(chord)))
    return found


def sureness(chord: Chord) -> float:
    plain = chord.covered >= PLAIN and not chord.missing and chord.quality in _PLAIN
    return max(chord.confidence, SURE) if plain else chord.confidence


def _name(bound: Bound, chord: Chord) -> Verdict:
    """Whether root and quality are the claimed ones; "open" where too little sounds to say."""
    root, quality = bound["root"], bound["quality"]
    if root is None and quality is None:
        return "right" if chord.named else "open"
    if not chord.named:
        return "open"
    kind = alike(quality, chord.quality) if quality is not None else "right"
    if root is None:
        return kind
    if root.pc % 12 == chord.root:
        return kind
    wanted = classes(root.pc % 12, quality or chord.quality)
    if wanted == chord.classes and kind == "right":
        return "right"  # equal steps: any member may be called the root
    if quality is not None and len(wanted) >= 3 and wanted <= chord.present:
        return "near"  # the claimed chord sounds, and a note more
    if quality is not None and chord.present <= wanted:
        return "open"  # too few notes to tell two chords apart
    return "wrong"


def classes(root: int, quality: str) -> frozenset[int]:
    return frozenset((root + t) % 12 for t in TONES[quality])


def _bass(known: Harmony, bound: Bound, chord: Chord, start: int, end: int) -> Verdict:
    """Whether the claimed member lies in the bass, as the chord begins or for half of it."""
    wanted = bound["inversion"]
    if wanted is None or not chord.named:
        return "right"
    if chord.quality == "open fifth" and wanted == 2:
        wanted = 1  # its fifth
    if wanted >= len(chord.tones):
        return "wrong"
    i, j = np.searchsorted(known.edges, (start, end))
    bass = known.bass[i:j][known.bass[i:j] >= 0]
    if not len(bass):
        return "open"
    pc = (chord.root + chord.tones[wanted]) % 12
    begins = bool(bass[0] % 12 == pc)
    return "right" if begins or float(np.mean(bass % 12 == pc)) >= 0.5 else "wrong"


# --- bars ---------------------------------------------------------------------


def bars_named(table: ScoreTable, bound: Bound) -> bool:
    """Whether the claim names whole bars, not beats."""
    bars = bound.bars
    return (bars.start, bars.end) == (table.bars[bars.first].start, table.bars[bars.last].end)


def bar_verdicts(table: ScoreTable, bound: Bound, found: Sequence[Heard]) -> list[tuple[str, int]]:
    """For each claimed bar that sounds: "right", "within", "near", "wrong" or "open"; weight 1."""
    onsets = chord_rows(table)["onset"]
    seen: list[tuple[str, int]] = []
    for bar in table.bars[bound.bars.first : bound.bars.last + 1]:
        here = [h for h in found if h.start < bar.end and h.end > bar.start]
        if not here:
            continue
        i, j = np.searchsorted(onsets, (bar.start, bar.end))
        ends = (int(onsets[i]), int(onsets[j - 1])) if j > i else (bar.start,)
        edges = {h.name for h in here if any(h.start <= t < h.end for t in ends)}
        every = {h.name for h in here}
        word = "wrong"
        if "right" in edges:
            word = "right"
        elif "right" in every:
            word = "within"
        elif "near" in every:
            word = "near"
        elif edges == {"open"}:
            word = "open"
        seen.append((word, 1))
    return seen


# --- members ------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Has:
    """How much of its time in the chord a part spends on each member (0..1)."""

    share: dict[Member, float]
    rows: NoteArray

    def verdict(self, word: str) -> Verdict:
        share = self.share.get(word, 0.0)  # type: ignore[call-overload]
        return "right" if share >= HAS else "near" if share > 0 else "wrong"

    @property
    def most(self) -> list[Member]:
        """Members by their time, the longest first."""
        return sorted((m for m in self.share if self.share[m] > 0), key=lambda m: -self.share[m])


def members_of(table: ScoreTable, unit: Unit, chord: Chord, start: int, end: int) -> Has:
    """What a part has of a chord between two moments (ticks); nothing if it is silent."""
    rows = proof.rows_of(table, unit.lines, start, end)
    rows = rows[(rows["pitch"] >= 0) & (rows["duration"] > 0)]
    return _shares(rows, rows["pitch"].astype(np.int64), chord, start, end)


def as_written(has: Has, chord: Chord, start: int, end: int) -> Has:
    """The same of the written notes, as one reads them who forgets that the part transposes."""
    rows = has.rows
    pitch = 12 * (rows["woctave"].astype(np.int64) + 1) + _NATURAL[rows["wstep"]] + rows["walter"]
    return _shares(rows, pitch, chord, start, end)


def _shares(rows: NoteArray, pitch: NDArray[np.int64], chord: Chord, start: int, end: int) -> Has:
    which = np.array([chord.member(int(p)) for p in pitch], dtype=object)
    total = _time(rows, start, end)
    share = {
        word: _time(rows[which == word], start, end) / total
        for word in dict.fromkeys(which.tolist())
        if total
    }
    return Has(share, rows)


def _time(rows: NoteArray, start: int, end: int) -> int:
    """Ticks of the span in which any of the rows sounds."""
    onset = np.maximum(rows["onset"], start)
    stop = np.minimum(rows["onset"] + rows["duration"], end)
    times = merged(np.stack([onset, stop], axis=1).astype(np.int64)) if len(rows) else None
    return 0 if times is None else int((times[:, 1] - times[:, 0]).sum())
