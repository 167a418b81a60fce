"""Who has which member of a chord, and how it is laid out.

Members are told of the lines that sound at one moment, drums included. Layout words: upper notes
of a group stand in close position if no chord tone between neighbours is left out, else open;
pairs of wood-wind are stacked, interlocked or enclosed (Rimsky-Korsakov, Principles of
Orchestration, ch. III, on "overlaying, crossing and enclosure" of parts).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from analysis.engine.analyses.attacks import memo
from analysis.engine.analyses.harmony_names import MEMBERS, Chord, Member
from analysis.engine.analyses.speech import names, number, part_value
from analysis.engine.instruments.table import INSTRUMENTS
from analysis.engine.model import NoteArray, ScoreTable

#: so many lines on a member are named, more are counted: common practice
NAMED = 3
ORDER: tuple[Member, ...] = (*MEMBERS, "foreign")


@dataclass(frozen=True, slots=True)
class Held:
    """The rows of a chord's moment, and which member each is."""

    chord: Chord
    rows: NoteArray
    members: tuple[Member, ...]

    def lines(self, member: Member) -> list[int]:
        """Lines that have the member, in score order."""
        found = {
            int(line)
            for line, m in zip(self.rows["line"], self.members, strict=True)
            if m == member
        }
        return sorted(found)

    @property
    def all_lines(self) -> list[int]:
        return sorted(set(self.rows["line"].tolist()))

    @property
    def missing(self) -> list[Member]:
        """Members of the chord that nobody has at this moment."""
        thirdless = len(self.chord.tones) < 3
        wanted = MEMBERS[:3] if thirdless else self.chord.members
        return [m for m in wanted if m not in self.members]


def pitched(table: ScoreTable) -> tuple[NoteArray, np.ndarray, np.ndarray]:
    """Pitched lasting rows of all lines, with their onsets and ends."""
    return memo(table, "_pitched_rows", lambda: _pitched(table))


def _pitched(table: ScoreTable) -> tuple[NoteArray, np.ndarray, np.ndarray]:
    rows = np.concatenate([table.notes[:0], *table.by_line])
    rows = rows[rows["duration"] > 0]
    rows = rows[np.argsort(rows["onset"], kind="stable")]
    return rows, rows["onset"].astype(np.int64), (rows["onset"] + rows["duration"]).astype(np.int64)


def at_moment(table: ScoreTable, chord: Chord, tick: int) -> Held:
    """What sounds at `tick`, as members of `chord`."""
    rows, onset, end = pitched(table)
    upto = int(np.searchsorted(onset, tick, side="right"))
    return held(chord, rows[:upto][end[:upto] > tick])


def held(chord: Chord, rows: NoteArray) -> Held:
    """These rows as members of `chord`, by line and from the top."""
    rows = rows[np.lexsort((-rows["pitch"].astype(np.int64), rows["line"]))]
    return Held(chord, rows, tuple(chord.member(int(p)) for p in rows["pitch"]))


def value_of(table: ScoreTable, here: Held) -> dict[str, str]:
    """The field "member" of a claim; of a line with several notes its highest counts."""
    found: dict[str, str] = {}
    for line, member in zip(here.rows["line"].tolist(), here.members, strict=True):
        part = part_value(table, line)
        found.setdefault(part if isinstance(part, str) else table.lines[line].name, member)
    return dict(list(found.items())[:100])


def position(chord: Chord) -> str:
    """ "in root position", "in first inversion (third in the bass)"; "" for a foreign bass."""
    if chord.quality == "open fifth":
        return "" if chord.inversion == 0 else "with the fifth in the bass"
    words = (
        "in root position",
        "in first inversion (third in the bass)",
        "in second inversion (fifth in the bass)",
        "in third inversion (seventh in the bass)",
    )
    return words[chord.inversion] if chord.inversion >= 0 else "over a foreign bass"


def said_members(table: ScoreTable, here: Held) -> str:
    """ "root in 9 lines, third in Oboe 1 alone, fifth in Viola and Violino II"."""
    said = []
    for member in ORDER:
        lines = here.lines(member)
        if not lines:
            continue
        if len(lines) > NAMED:
            where = f"{number(len(lines))} lines"
        else:
            where = names(table, lines) + (" alone" if len(lines) == 1 else "")
        said.append(f"{'a foreign note' if member == 'foreign' else member} in {where}")
    return ", ".join(said)


def said_missing(here: Held) -> str:
    missing = here.missing
    return f"; no {' and no '.join(missing)}" if missing else ""


def said_layout(table: ScoreTable, here: Held) -> str:
    """ "; strings in open position; flutes and oboes interlocked", or nothing worth saying."""
    said = []
    families = {line.index: line.family for line in table.lines}
    for family, word in (("woodwind", "wood-wind"), ("strings", "strings")):
        pitches = [int(row["pitch"]) for row in here.rows if families[int(row["line"])] == family]
        spacing = _spacing(here.chord, pitches)
        if spacing:
            said.append(f"{word} in {spacing} position")
    said += _pairs(table, here)
    return "".join(f"; {s}" for s in said)


def _spacing(chord: Chord, pitches: Sequence[int]) -> str:
    """ "close" or "open" for the notes above the lowest; "" for fewer than three."""
    upper = sorted(set(pitches))[1:]
    if len(upper) < 3 or chord.quality in ("", "open fifth"):
        return ""
    skips = [_between(chord, low, high) for low, high in pairwise(upper)]
    if not any(skips):
        return "close"
    return "open" if sum(s > 0 for s in skips) * 2 >= len(skips) else ""


def _between(chord: Chord, low: int, high: int) -> int:
    """How many chord tones lie between two notes, of those below an octave apart."""
    return sum(p % 12 in chord.classes for p in range(low + 1, high)) if high - low <= 12 else 1


def _pairs(table: ScoreTable, here: Held) -> list[str]:
    """How neighbouring wood-wind instruments with two notes each stand to each other."""
    notes: dict[str, set[int]] = {}
    for row in here.rows:
        line = table.lines[int(row["line"])]
        if line.family == "woodwind":
            notes.setdefault(line.instrument, set()).add(int(row["pitch"]))
    pairs = [(name, min(p), max(p)) for name, p in notes.items() if len(p) == 2]
    found: dict[str, list[str]] = {}
    for (upper, a, b), (lower, c, d) in pairwise(pairs):
        word = _relation((a, b), (c, d))
        if word:
            found.setdefault(word, []).append(f"{_plural(upper)} and {_plural(lower)}")
    return [f"{', '.join(dict.fromkeys(who))} {word}" for word, who in found.items()]


def _relation(upper: tuple[int, int], lower: tuple[int, int]) -> str:
    (a, b), (c, d) = upper, lower
    if d < a or b < c:
        return "stacked"
    if (a < c and d < b) or (c < a and b < d):
        return "enclosed"
    if a < c < b < d or c < a < d < b:
        return "interlocked"
    return ""


def _plural(instrument: str) -> str:
    known = INSTRUMENTS.get(instrument)
    return known.plural if known else instrument


def evidence_rows(held_: Held, lines: Iterable[int] | None = None) -> NoteArray:
    """Rows that prove it, of some lines or of all."""
    if lines is None:
        return held_.rows
    found: NoteArray = held_.rows[np.isin(held_.rows["line"], list(lines))]
    return found
