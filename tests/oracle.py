"""music21 as the oracle of the reader: the same canonical copy, note by note.

    python -m tests.oracle DIR [DIR ...]

reads every MXL or MusicXML file of the folders through the gate, once with
our reader (`trust_labels=False`: no names are interpreted) and once with
music21, and prints how many notes are equal in part, bar, onset, duration
(ties joined), sounding pitch and spelling. Differences are classed by
predicates over the source (`tests.oracle_classes`); what has no class fails.

music21 takes seconds a file: its notes are kept as arrays outside the
repository (ORACLE_CACHE, default a folder among the temporary files), by the
sha256 of the canonical copy.
"""

from __future__ import annotations

import hashlib
import os
import sys
import tempfile
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from analysis.engine.gate import admit
from analysis.engine.model import TICKS, NoteFlag
from analysis.engine.reader import read
from tests import oracle_classes

#: Raised when the extraction below changes.
CACHE_VERSION = 5

ORACLE = np.dtype(
    [
        ("part", "<i4"),
        ("bar", "<i4"),
        ("inbar", "<f8"),  # quarters from the start of the bar
        ("onset", "<f8"),  # quarters from the start of the part
        ("duration", "<f8"),
        ("step", "i1"),
        ("alter", "<f8"),
        ("octave", "i1"),
        ("pitched", "i1"),
        ("grace", "i1"),
        ("tie", "i1"),  # 1 start, 2 stop, 3 continue
        ("voice", "<i4"),
        ("id", "<U40"),
    ]
)
_STEPS = {s: i for i, s in enumerate("CDEFGAB")}
_TIES = {"start": 1, "stop": 2, "continue": 3}


class Sound(NamedTuple):
    """One note as both readers tell it; times in ticks."""

    part: int
    bar: int
    inbar: int
    duration: int
    step: int
    alter: float
    octave: int
    pitched: bool


# -- music21 --------------------------------------------------------------------


def keep_ids() -> None:
    """Make music21 keep the ids of notes and measures; it drops them otherwise."""
    from music21.musicxml import helpers, xmlToM21

    if getattr(xmlToM21, "_ids_are_kept", False):
        return
    note = xmlToM21.MeasureParser.xmlNoteToGeneralNoteHelper

    def with_id(self: Any, n: Any, mx_note: Any, freeSpanners: bool = True) -> Any:
        made = note(self, n, mx_note, freeSpanners)
        helpers.synchronizeIdsToM21(mx_note, made)
        return made

    xmlToM21.MeasureParser.xmlNoteToGeneralNoteHelper = with_id
    xmlToM21._ids_are_kept = True


def music21_notes(canonical: bytes) -> np.ndarray:
    """Notes of a canonical copy as music21 reads it, at sounding pitch; cached."""
    folder = Path(os.environ.get("ORACLE_CACHE") or Path(tempfile.gettempdir()) / "oracle-notes")
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"{hashlib.sha256(canonical).hexdigest()}-{CACHE_VERSION}.npy"
    if path.exists():
        return np.load(path, allow_pickle=False)
    notes = _parse(canonical)
    partial = path.with_suffix(f".{os.getpid()}.tmp.npy")
    np.save(partial, notes, allow_pickle=False)
    partial.replace(path)
    return notes


def _parse(canonical: bytes) -> np.ndarray:
    import warnings

    from music21 import converter

    keep_ids()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        score = converter.parse(canonical, format="musicxml", forceSource=True, storePickle=False)
        rows: list[tuple[Any, ...]] = []
        for part in score.parts:
            rows += _part(part.toSoundingPitch(inPlace=False))
    return np.array(rows, dtype=ORACLE)


def _part(part: Any) -> Iterator[tuple[Any, ...]]:
    for bar, measure in enumerate(part.getElementsByClass("Measure")):
        start = part.elementOffset(measure)
        streams = [(0.0, 0, measure)]
        streams += [
            (measure.elementOffset(voice), n + 1, voice)
            for n, voice in enumerate(measure.getElementsByClass("Voice"))
        ]
        for shift, voice, stream in streams:
            for element in stream.notes:
                if "ChordSymbol" in element.classes or "NoChord" in element.classes:
                    continue
                offset = float(shift + stream.elementOffset(element))
                # A percussion chord holds unpitched notes, which know no pitch.
                for note in element.notes if hasattr(element, "notes") else (element,):
                    yield _row(note, element, bar, offset, float(start), voice)


def _row(
    note: Any, element: Any, bar: int, offset: float, start: float, voice: int
) -> tuple[Any, ...]:
    key = str(note.id)
    part = int(key[1:].split("-")[0]) if key.startswith("n") and "-" in key else -1
    pitched = hasattr(note, "pitch")
    if pitched:
        pitch = note.pitch
        step, octave = _STEPS[pitch.step], pitch.octave if pitch.octave is not None else 4
        alter = float(pitch.alter)
        if pitch.microtone is not None and pitch.microtone.cents:
            alter = float(pitch.accidental.alter if pitch.accidental else 0)
            alter += pitch.microtone.cents / 100
    else:
        step, octave, alter = _STEPS[note.displayStep], note.displayOctave, 0.0
    tie = _TIES.get(note.tie.type, 0) if note.tie is not None else 0
    return (
        part,
        bar,
        offset,
        start + offset,
        float(element.duration.quarterLength),
        step,
        alter,
        octave,
        int(pitched),
        int(bool(element.duration.isGrace)),
        tie,
        voice,
        key,
    )


def joined(notes: np.ndarray) -> dict[str, Sound]:
    """music21's notes by id with ties joined: a tie goes on where the last note ends.

    Within one bar and part a stop looks for the open note of its spelling that ends
    where it begins, in its own voice first.
    """
    out: dict[str, Sound] = {}
    waiting: dict[tuple[int, int, float, int], list[list[Any]]] = defaultdict(list)
    order = np.lexsort((notes["grace"] == 0, notes["onset"], notes["part"]))
    ends: dict[str, float] = {}
    for row in notes[order]:
        key = (int(row["part"]), int(row["step"]), float(row["alter"]), int(row["octave"]))
        tie, start = int(row["tie"]), float(row["onset"])
        end = start + float(row["duration"])
        head = str(row["id"])
        if tie in (2, 3) and row["pitched"]:
            fits = [w for w in waiting[key] if abs(w[0] - start) < 1e-6]
            fits.sort(key=lambda w: w[2] != int(row["voice"]))
            if fits:
                waiting[key].remove(fits[0])
                head = fits[0][1]
        if tie in (1, 3) and row["pitched"]:
            waiting[key].append([end, head, int(row["voice"])])
        ends[head] = end
        if head == str(row["id"]):
            out[head] = Sound(
                int(row["part"]),
                int(row["bar"]),
                round(float(row["inbar"]) * TICKS),
                0,
                int(row["step"]),
                round(float(row["alter"]), 2),
                int(row["octave"]),
                bool(row["pitched"]),
            )
    starts = {str(r["id"]): float(r["onset"]) for r in notes}
    return {
        key: sound._replace(duration=round((ends[key] - starts[key]) * TICKS))
        for key, sound in out.items()
    }


# -- ours -----------------------------------------------------------------------


def ours(canonical: bytes) -> dict[str, Sound]:
    """Our notes by id, read without interpreting any label."""
    table = read(canonical, trust_labels=False)
    starts = table.bar_starts()
    out = {}
    for row in table.notes:
        pitched = not row["flags"] & NoteFlag.UNPITCHED
        out[table.ids[row["src"]]] = Sound(
            int(row["part"]),
            int(row["bar"]),
            int(row["onset"] - starts[row["bar"]]),
            int(row["duration"]),
            int(row["step"]),
            round(int(row["alter"]) + int(row["cents"]) / 100, 2),
            int(row["octave"]),
            bool(pitched),
        )
    return out


# -- comparison -------------------------------------------------------------------


@dataclass
class Comparison:
    """One file: how many notes, how many differ, by class; examples of what has none."""

    name: str
    notes: int = 0
    equal: int = 0
    classed: Counter[str] = field(default_factory=Counter)
    unclassed: list[str] = field(default_factory=list)

    @property
    def share(self) -> float:
        """Notes equal without any class."""
        return self.equal / self.notes if self.notes else 1.0


def compare(canonical: bytes, name: str = "") -> Comparison:
    """Compare both readings of a canonical copy."""
    mine, theirs = ours(canonical), joined(music21_notes(canonical))
    result = Comparison(name, notes=len(mine.keys() | theirs.keys()))
    different = [
        key for key in mine.keys() | theirs.keys() if not _same(mine.get(key), theirs.get(key))
    ]
    result.equal = result.notes - len(different)
    if different:
        source = oracle_classes.Source(canonical)
        for key in sorted(different):
            found = source.classes(key)
            if found:
                result.classed[found] += 1
            else:
                result.unclassed.append(f"{key}: ours {mine.get(key)}, music21 {theirs.get(key)}")
    return result


def _same(a: Sound | None, b: Sound | None) -> bool:
    """Equal to a tick: music21 counts in fractions that it rounds to floats."""
    if a is None or b is None:
        return False
    times = abs(a.inbar - b.inbar) <= 1 and abs(a.duration - b.duration) <= 2
    return times and a._replace(inbar=0, duration=0) == b._replace(inbar=0, duration=0)


def canonical_of(path: Path) -> bytes:
    """The canonical copy of a file on disk."""
    return admit(path.read_bytes(), path.name).canonical


def run(paths: Iterable[Path]) -> list[Comparison]:
    """Compare files and print a line for each as it is done."""
    out = []
    for path in paths:
        result = compare(canonical_of(path), path.stem)
        out.append(result)
        print(line(result), flush=True)
    return out


def line(result: Comparison) -> str:
    classes = ", ".join(f"{name} {count}" for name, count in result.classed.most_common())
    text = f"{result.name:28} {result.notes:7} notes  {result.share:8.3%} equal  {classes}"
    if result.unclassed:
        text += f"  UNCLASSED {len(result.unclassed)}: {result.unclassed[0]}"
    return text


def total(results: Iterable[Comparison]) -> Comparison:
    out = Comparison("all")
    for result in results:
        out.notes += result.notes
        out.equal += result.equal
        out.classed += result.classed
        out.unclassed += [f"{result.name} {text}" for text in result.unclassed]
    return out


def main(arguments: list[str]) -> int:
    paths = []
    for text in arguments:
        found = Path(text)
        inside = sorted(p for p in found.rglob("*") if p.suffix in (".mxl", ".musicxml", ".xml"))
        paths += inside if found.is_dir() else [found]
    if not paths:
        print("usage: python -m tests.oracle DIR_OR_FILE ...", file=sys.stderr)
        return 2
    whole = total(run(paths))
    print(line(whole))
    return 1 if whole.unclassed or whole.share < 0.995 else 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
