"""Read the small files of this folder, and say what a line plays in few words."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from analysis.engine.model import TICKS, UNKNOWN_PLAYERS, NoteArray, ScoreTable
from analysis.engine.pitch import spelled
from analysis.engine.reader import read

DATA = Path(__file__).parent / "data"


@cache
def table(name: str, *, trust_labels: bool = True) -> ScoreTable:
    """The note table of ``data/<name>.musicxml``."""
    return read((DATA / f"{name}.musicxml").read_bytes(), trust_labels=trust_labels)


def rows(score: ScoreTable, line: str) -> NoteArray:
    """Rows of the line called `line`."""
    names = [n.name for n in score.lines]
    assert line in names, names
    return score.notes[score.notes["line"] == names.index(line)]


def plays(score: ScoreTable, line: str) -> dict[str, str]:
    """What a line plays, bar by bar: {"1": "C5 D5?"}; "?" = nobody says who plays."""
    out: dict[str, list[str]] = {}
    for row in rows(score, line):
        text = spelled(int(row["step"]), int(row["alter"])) + str(row["octave"])
        text += "?" if row["players"] == UNKNOWN_PLAYERS else ""
        out.setdefault(score.bars[row["bar"]].label, []).append(text)
    return {bar: " ".join(texts) for bar, texts in out.items()}


def quarters(score: ScoreTable, line: str) -> list[tuple[float, float]]:
    """Onset and duration of a line's rows, in quarters."""
    return [(row["onset"] / TICKS, row["duration"] / TICKS) for row in rows(score, line)]


def codes(score: ScoreTable) -> dict[str, tuple[str, ...]]:
    """Warnings: code -> labels of the bars."""
    return {n.code: tuple(score.bars[b].label for b in n.bars) for n in score.warnings}
