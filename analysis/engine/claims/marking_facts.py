"""Where a mark holds for a part, bar by bar; and in which register its notes lie."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analysis.engine import places
from analysis.engine.analyses.attacks import BoolArray, IntArray
from analysis.engine.analyses.ranges import REGISTER_SHARE, REGISTERS, Registers, written_pitch
from analysis.engine.claims.mark_words import Sense, same_word
from analysis.engine.model import Mark, Movement, NoteArray, NoteFlag, ScoreTable
from analysis.engine.names import Unit

#: semitones by which books differ about where a register begins (see `ranges.REGISTERS`)
DIFFER = 3
#: other parts that must have a state printed for its absence to tell; common practice
_BESIDE = 2
#: share of the notes of a bar with a dot, for "staccato"; common practice
MOSTLY = 0.5


@dataclass(frozen=True, slots=True)
class Shown:
    """Bars (indices) in which it is so, is nearly so, and whether the file can tell at all."""

    true: frozenset[int]
    near: frozenset[int] = frozenset()
    known: bool = True


def unit_rows(table: ScoreTable, unit: Unit) -> NoteArray:
    """Attacks of the unit, graces left out, by onset."""
    rows = table.sounding
    rows = rows[np.isin(rows["line"], unit.lines) & ((rows["flags"] & NoteFlag.GRACE) == 0)]
    found: NoteArray = rows[np.argsort(rows["onset"], kind="stable")]
    return found


def mark_bars(table: ScoreTable, unit: Unit, sense: Sense, movement: Movement) -> Shown:
    """Where the unit has the mark: in force, at its notes, or printed as a word."""
    rows = unit_rows(table, unit)
    if sense.flag & NoteFlag.A2:
        return _together(table, unit, movement)
    if sense.flag & NoteFlag.DIVISI:
        return _divided(table, rows, movement)
    if sense.is_word:
        return _printed(table, unit, sense.name, movement)
    if sense.level:
        return _loud(rows, sense.level, movement)
    if sense.name == "arco" and all(table.lines[i].family != "strings" for i in unit.lines):
        return Shown(frozenset())  # the bow is the strings' alone: who has none is not "as usual"
    if sense.is_state:
        hit = (rows["technique"] & sense.sets) == sense.sets
        hit &= (rows["technique"] & sense.clears) == 0
        near = np.zeros(len(rows), dtype=bool)
        if sense.name in ("solo", "soli"):
            near = _alone(table, unit, rows)
        known = bool(hit.any()) if sense.sets else True
        known = known or _has_words(table, unit) or bool(near.any())
        return Shown(_state(rows, hit, movement), _state(rows, hit | near, movement), known)
    if sense.sign:
        hit = (rows["articulation"] & sense.sign) != 0
        any_ = _bars(rows, hit, movement, 0.0)
        dots = sense.name in ("staccato", "staccatissimo", "tenuto", "slurs")
        return Shown(_bars(rows, hit, movement, MOSTLY) if dots else any_, any_)
    hit = (rows["flags"] & sense.flag) != 0
    return Shown(_bars(rows, hit, movement, 0.0))


def _bars(rows: NoteArray, hit: BoolArray, movement: Movement, share: float) -> frozenset[int]:
    """Bars in which more than nothing, and at least `share`, of the attacks is hit."""
    size = movement.last_bar + 1
    inside = (rows["bar"] >= movement.first_bar) & (rows["bar"] <= movement.last_bar)
    count = np.bincount(rows["bar"][inside], minlength=size)
    hits = np.bincount(rows["bar"][inside & hit], minlength=size)
    return frozenset(np.flatnonzero((hits > 0) & (hits >= share * count)).tolist())


def _state(rows: NoteArray, hit: BoolArray, movement: Movement) -> frozenset[int]:
    """Bars whose first or last attack has it; through rests what was in force goes on."""
    found: set[int] = set()
    bars = rows["bar"].astype(int).tolist()
    first: dict[int, bool] = {}
    last: dict[int, bool] = {}
    for bar, so in zip(bars, hit.tolist(), strict=True):
        first.setdefault(bar, so)
        last[bar] = so
    going_on = False
    for bar in range(movement.first_bar, movement.last_bar + 1):
        if bar in first:
            going_on = last[bar]
            if first[bar] or last[bar]:
                found.add(bar)
        elif going_on:
            found.add(bar)
    return frozenset(found)


def _has_words(table: ScoreTable, unit: Unit) -> bool:
    """Whether the file prints any words over this part; else nothing is known of it."""
    return any(m.kind == "words" and m.part in (unit.part, -1) for m in table.marks)


def printed_beside(table: ScoreTable, unit: Unit, sense: Sense, bars: Sequence[int]) -> bool:
    """Whether others of the family have the state printed, each for itself, in force there.

    At least two: over the first staff alone it may be meant for the whole family. Solo and soli
    are one player's business and tell nothing of the others.
    """
    if not sense.sets or sense.name in ("solo", "soli"):
        return False
    family = table.lines[unit.lines[0]].family
    beside: set[int] = set()
    for line in table.lines:
        if line.family != family or line.part == unit.part:
            continue
        rows = unit_rows(table, Unit(line.part, (line.index,), line.name))
        rows = rows[np.isin(rows["bar"], list(bars))]
        own = any(m.kind == "words" and m.part == line.part for m in table.marks)
        if own and len(rows) and ((rows["technique"] & sense.sets) == sense.sets).all():
            beside.add(line.part)
    return len(beside) >= _BESIDE


def _alone(table: ScoreTable, unit: Unit, rows: NoteArray) -> BoolArray:
    """Notes at which no other player of the staff sounds."""
    mates = [x.index for x in table.lines if x.part == unit.part and x.index not in unit.lines]
    if not mates:
        return np.zeros(len(rows), dtype=bool)
    others = table.sounding[np.isin(table.sounding["line"], mates)]
    start, end = others["onset"], others["onset"] + others["duration"]
    return np.array([not ((start <= t) & (end > t)).any() for t in rows["onset"]], dtype=bool)


def _loud(rows: NoteArray, level: int, movement: Movement) -> Shown:
    """The printed dynamic in force; one step off is near. Unknown before the first one."""
    away = np.abs(rows["dynamic"].astype(int) - level)
    told = rows["dynamic"] > 0
    near = _state(rows, told & (away <= 1), movement)
    return Shown(_state(rows, told & (away == 0), movement), near, bool(told.any()))


def _together(table: ScoreTable, unit: Unit, movement: Movement) -> Shown:
    """Bars in which all players of the staff play one line, by "a 2" or with stems of their own."""
    mates = [x.index for x in table.lines if x.part == unit.part and x.players]
    rows = unit_rows(table, Unit(unit.part, tuple(mates) or unit.lines, unit.label))
    signed = _bars(rows, (rows["flags"] & NoteFlag.A2) != 0, movement, MOSTLY)
    if len(mates) < 2:
        return Shown(signed)
    found = set(signed)
    for bar in range(movement.first_bar, movement.last_bar + 1):
        own = [rows[(rows["line"] == i) & (rows["bar"] == bar)] for i in mates]
        if len(own[0]) and all(
            np.array_equal(own[0][["onset", "pitch"]], r[["onset", "pitch"]]) for r in own[1:]
        ):
            found.add(bar)
    return Shown(frozenset(found))


def _divided(table: ScoreTable, rows: NoteArray, movement: Movement) -> Shown:
    """Bars of a divided section. Two notes at once without the word may be double stops: open."""
    divided = _bars(rows, (rows["flags"] & NoteFlag.DIVISI) != 0, movement, 0.0)
    chords = _bars(rows, (rows["flags"] & NoteFlag.CHORD) != 0, movement, 0.0)
    return Shown(divided, known=bool(divided) or not chords)


def _printed(table: ScoreTable, unit: Unit, word: str, movement: Movement) -> Shown:
    """Bars in which the word stands over the part; hairpins for "cresc." and "dim." too."""
    found: set[int] = set()
    for mark in table.marks:
        if mark.part not in (unit.part, -1) or not _is_sign(mark, word):
            continue
        last = places.bar_at(table, max(mark.end - 1, mark.onset))
        found |= {b for b in range(mark.bar, last + 1)}
    inside = frozenset(b for b in found if movement.first_bar <= b <= movement.last_bar)
    return Shown(inside, known=bool(inside))


def _is_sign(mark: Mark, word: str) -> bool:
    if mark.kind == "wedge":
        return same_word(mark.text, "diminuendo" if word.casefold().startswith("decr") else word)
    if mark.kind == "dynamic":
        return mark.text.casefold() == word.casefold().strip(". ")
    return mark.kind in ("words", "tempo") and same_word(mark.text, word)


# --- registers ----------------------------------------------------------------


def registers_of(table: ScoreTable, unit: Unit) -> Registers | None:
    """The named registers of the unit's instrument, if it has any."""
    return REGISTERS.get(table.lines[unit.lines[0]].instrument)


def register_pitches(known: Registers, rows: NoteArray) -> IntArray:
    """The pitches the register words belong to: written ones on clarinet and brass."""
    found: IntArray = written_pitch(rows) if known.written else rows["pitch"].astype(np.int64)
    return found


def register_bars(table: ScoreTable, unit: Unit, word: str, movement: Movement) -> Shown:
    """Bars whose notes (nearly) all lie in the register; near where books differ about it."""
    known = registers_of(table, unit)
    if known is None:
        return Shown(frozenset(), known=False)
    rows = unit_rows(table, unit)
    rows = rows[rows["pitch"] >= 0]
    pitch = register_pitches(known, rows)
    low, high = {
        "low": (-1, known.middle), "middle": (known.middle, known.high), "high": (known.high, 999)
    }[word]  # fmt: skip
    exact = (pitch >= low) & (pitch < high)
    about = (pitch >= low - DIFFER) & (pitch < high + DIFFER)
    return Shown(
        _bars(rows, exact, movement, REGISTER_SHARE), _bars(rows, about, movement, REGISTER_SHARE)
    )
