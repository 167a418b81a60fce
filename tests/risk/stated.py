"""Statements made of reference answers: true ones, and false ones that somebody might make.

Nothing of the engine's judgement is used. A key holds in the bars in which it is annotated for
half of the bar and more; a role in the bars of a part whose annotated classes are the same. Each
run of such bars is cut into passages of 2 to 8 bars, as an assignment would name them.

* Keys: the annotated one is true; a fifth up and down, the relative and the parallel are false.
* Routes: two or three keys one after another, each annotated for four bars and more, with up to
  eight bars of the outer ones, are true (shorter keys between are left out, as only touched); the
  same from the last to the first, all keys a fifth, a tone or a tritone off, and all but the first
  a fourth off are false.
* Roles: the corpora know three classes. For each passage each class is stated in one of the
  trade's words, true if it is annotated: so the tune of another part and another job of the same
  part are both among the false ones. Which word a class gets is read off the notes by the plain
  rules of `word`; a word may be wrong where the class is right, which counts against the checker.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from typing import Any

import numpy as np

from analysis.engine.model import TICKS, ScoreTable

LEAST, MOST = 2, 8  # bars of a passage
BRIDGED = 2  # bars without an annotation between two of one key
STAYED = 4  # bars of a key that is a step of a route
ROUTES = (2, 3)  # keys of a route
CLASSES = ("melody", "rhythm", "harmony")
KEYS = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
_STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
#: a bass lies below this pitch in the mean (G3) and has the lowest note at most of its attacks
LOW, LOWEST = 55, 0.7
HELD = 1.5  # quarters: notes as long in the mean are held
BEATS = 0.75  # attacks a quarter: fewer are single strokes


@dataclass(frozen=True)
class Stated:
    """One statement. `sort`: what it says, for the tables ("melody", "relative" ...)."""

    kind: str
    sort: str
    true: bool
    claim: Mapping[str, Any]


def passages(bars: Sequence[int]) -> Iterator[tuple[int, int]]:
    """Runs of following bars, cut into equal pieces of `LEAST` to `MOST` bars."""
    for _, run in groupby(enumerate(bars), key=lambda pair: pair[1] - pair[0]):
        own = [bar for _, bar in run]
        pieces = -(-len(own) // MOST)
        for piece in np.array_split(np.array(own), pieces):
            if len(piece) >= LEAST:
                yield int(piece[0]), int(piece[-1])


def place(table: ScoreTable, first: int, last: int) -> list[str] | dict[str, Any]:
    """A place of the claim form; labels may come again in one file."""
    ends = (table.bars[first], table.bars[last])
    start, end = ({"bar": bar.label, "nth": bar.nth} for bar in ends)
    return {"from": start, "to": end, "movement": ends[0].movement + 1}


# --- keys -----------------------------------------------------------------------


def key_of(words: str) -> tuple[int, str]:
    """ "E- minor" or "Eb minor" -> (3, "minor")."""
    name, mode = words.split()
    sign = name[1:].replace("-", "b")
    return (_STEPS[name[0].upper()] + sign.count("#") - sign.count("b")) % 12, mode.lower()


def neighbours(key: tuple[int, str]) -> dict[str, tuple[int, str]]:
    """Keys that are easily taken for this one."""
    tonic, mode = key
    other = "minor" if mode == "major" else "major"
    return {
        "fifth up": ((tonic + 7) % 12, mode),
        "fifth down": ((tonic + 5) % 12, mode),
        "relative": ((tonic + (9 if mode == "major" else 3)) % 12, other),
        "parallel": (tonic, other),
    }


def keys_by_bar(table: ScoreTable, spans: Sequence[Sequence[Any]]) -> list[tuple[int, str] | None]:
    """The annotated key of each bar, or None."""
    out: list[tuple[int, str] | None] = []
    for bar in table.bars:
        time: dict[tuple[int, str], float] = {}
        for start, end, words in spans:
            shared = min(end * TICKS, bar.end) - max(start * TICKS, bar.start)
            if shared > 0:
                time[key_of(words)] = time.get(key_of(words), 0) + shared
        best = max(time, key=lambda k: time[k], default=None)
        out.append(best if best and 2 * time[best] >= bar.length else None)
    for i in range(1, len(out)):
        if out[i] is None and out[i - 1] is not None and out[i - 1] in out[i : i + BRIDGED + 1]:
            out[i] = out[i - 1]
    return out


def key_statements(table: ScoreTable, spans: Sequence[Sequence[Any]]) -> Iterator[Stated]:
    by_bar = keys_by_bar(table, spans)
    at = 0
    for key, run in groupby(by_bar):
        length = len(list(run))
        if key is not None:
            for first, last in passages(range(at, at + length)):
                said = {"annotated": key, **neighbours(key)}
                for sort, (tonic, mode) in said.items():
                    yield Stated("key", sort, sort == "annotated", {
                        "kind": "key", "bars": place(table, first, last), "how": "region",
                        "key": f"{KEYS[tonic]} {mode}", "movement": table.bars[first].movement + 1,
                    })  # fmt: skip
        at += length


# --- routes of keys -------------------------------------------------------------


def route_statements(table: ScoreTable, spans: Sequence[Sequence[Any]]) -> Iterator[Stated]:
    """Keys in order, of every two and three stays one after another."""
    kept = stays(keys_by_bar(table, spans))
    for many in ROUTES:
        for own in (kept[n : n + many] for n in range(len(kept) - many + 1)):
            route = [key for key, _, _ in own]
            if any(a == b for a, b in pairwise(route)):
                continue
            first = max(own[0][1], own[0][2] - MOST + 1)
            last = min(own[-1][2], own[-1][1] + MOST - 1)
            for sort, said in {"annotated": route, **other_routes(route)}.items():
                yield Stated("key-route", sort, sort == "annotated", {
                    "kind": "key-route", "bars": place(table, first, last), "touched": True,
                    "keys": [f"{KEYS[tonic]} {mode}" for tonic, mode in said],
                    "movement": table.bars[first].movement + 1,
                })  # fmt: skip


Stay = tuple[tuple[int, str], int, int]  # key, first bar, last bar


def stays(by_bar: Sequence[tuple[int, str] | None]) -> list[Stay]:
    """Keys that stay for `STAYED` bars and more, in order; shorter ones between are left out."""
    out: list[Stay] = []
    at = 0
    for key, group in groupby(by_bar):
        length = len(list(group))
        if key is not None and length >= STAYED:
            out.append((key, at, at + length - 1))
        at += length
    return out


def other_routes(route: Sequence[tuple[int, str]]) -> dict[str, list[tuple[int, str]]]:
    """Routes that are not this one; none that names a key twice running, or is the true one."""

    def off(keys: Sequence[tuple[int, str]], by: int) -> list[tuple[int, str]]:
        return [((tonic + by) % 12, mode) for tonic, mode in keys]

    made = {
        "reversed": list(reversed(route)),
        "a fifth off": off(route, 7),
        "a tone off": off(route, 2),
        "a tritone off": off(route, 6),
        "the rest a fourth off": [route[0], *off(route[1:], 5)],
    }
    return {
        sort: said for sort, said in made.items()
        if said != list(route) and all(a != b for a, b in pairwise(said))
    }  # fmt: skip


# --- roles ----------------------------------------------------------------------


def role_statements(table: ScoreTable, cells: Sequence[Sequence[Any]]) -> Iterator[Stated]:
    by_part: dict[int, dict[int, frozenset[str]]] = {}
    for bar, part, roles in cells:
        by_part.setdefault(part, {})[bar - 1] = frozenset(roles)
    for part, labelled in sorted(by_part.items()):
        name = {"part": table.first_readings[part].id, "player": None}
        for roles in sorted(set(labelled.values()), key=sorted):
            if not roles:
                continue
            bars = [b for b in sorted(labelled) if labelled[b] == roles]
            for first, last in passages(bars):
                for sort in CLASSES:
                    yield Stated("role", sort, sort in roles, {
                        "kind": "role", "bars": place(table, first, last), "parts": [name],
                        "role": word(table, part, first, last, sort),
                        "movement": table.bars[first].movement + 1,
                    })  # fmt: skip


def word(table: ScoreTable, part: int, first: int, last: int, sort: str) -> str:
    """The trade's word for a class of work, by register and rhythm of the part's notes."""
    if sort == "melody":
        return "melody"
    start, end = table.bars[first].start, table.bars[last].end
    rows = table.sounding
    rows = rows[(rows["onset"] < end) & (rows["onset"] + rows["duration"] > start)]
    own = rows[rows["part"] == part]
    attacks = len(np.unique(own["onset"][own["onset"] >= start]))
    if sort == "rhythm":
        return "pulse" if attacks * TICKS >= BEATS * (end - start) else "punctuation"
    pitched = own[own["pitch"] >= 0]
    if len(pitched) and pitched["pitch"].mean() < LOW and _lowest(rows, pitched) >= LOWEST:
        return "bass line"
    held = len(own) and own["duration"].mean() >= HELD * TICKS
    return "held harmony" if held else "moving harmony"


def _lowest(rows: Any, own: Any) -> float:
    """Share of a part's notes that have the pitch class of the lowest sounding note."""
    sounding = rows[rows["pitch"] >= 0]
    hits = 0
    for note in own:
        here = sounding[
            (sounding["onset"] <= note["onset"])
            & (sounding["onset"] + sounding["duration"] > note["onset"])
        ]
        hits += int(len(here) > 0 and (here["pitch"].min() - note["pitch"]) % 12 == 0)
    return hits / len(own)
