"""Readings of clefs: another clef, the horn's old bass clef, the cello's treble clef.

Distances between clefs are those of their middle lines (trade-facts 7.3): treble B4, alto C4, tenor
A3, bass D3. Octave habits: trade-facts 2.4.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from analysis.engine.analyses.attacks import memo
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bound, Scene
from analysis.engine.claims.variants import Variant
from analysis.engine.model import NoteArray, ScoreTable, Sentence
from analysis.engine.names import Unit
from analysis.engine.pitch import NATURAL
from analysis.engine.sentences import register

register(
    {
        "claim.reading.clef": (
            "True if {part} is read in the {read} clef; it stands in the {printed} clef there."
        ),
        "claim.reading.clef.G2": "treble",
        "claim.reading.clef.C3": "alto",
        "claim.reading.clef.C4": "tenor",
        "claim.reading.clef.F4": "bass",
        "claim.reading.old-bass-clef": (
            "The right notes, an octave too low: {part} is in the old bass clef there, which is "
            "written an octave below the newer one."
        ),
        "claim.reading.cello-treble.high": (
            "The right notes, an octave too high: by the old habit {part} sounds an octave lower "
            "in the treble clef than it is written there."
        ),
        "claim.reading.cello-treble.low": (
            "The right notes, an octave too low: {part} sounds as written in the treble clef of "
            "this score; the old habit of an octave lower is not meant."
        ),
    }
)

#: Steps above C0 of each clef's middle line.
MIDDLE = {"G2": 34, "C3": 28, "C4": 26, "F4": 22}
#: A clef with C, and what it is taken for (trade-facts 7.3, typical misreads).
_TAKEN_FOR = {"C3": ("G2",), "C4": ("C3", "F4")}
CELLOS = frozenset({"cello", "cello-and-bass"})
#: Steps in the order in which sharps come: F C G D A E B; flats the other way.
_SHARPS = (3, 0, 4, 1, 5, 2, 6)


def other_clef(bound: Bound, scene: Scene) -> Iterator[Variant]:
    """A named part read in another clef: a C clef taken for its neighbour, or a change missed."""
    for unit in _units(bound):
        for printed in _clefs_of(scene.table, unit, bound):
            for read in _others(scene.table, unit.part, printed):
                made = _in_clef(scene.table, unit, printed, read, _needed(bound))
                say = _say(unit, printed, read)
                yield Variant(bound, replace(scene, table=made), say=(say,))


def one_note(table: ScoreTable, unit: Unit, rows: NoteArray) -> Iterator[tuple[int, Sentence]]:
    """What the first of the rows would be in other clefs: MIDI number, and the words for it."""
    for printed in clef_names(table, rows[:1]):
        for read in _others(table, unit.part, str(printed)):
            yield (
                int(_read_in(table, rows[:1], str(printed), read)["pitch"][0]),
                _say(unit, str(printed), read),
            )


def _others(table: ScoreTable, part: int, printed: str) -> list[str]:
    """Clefs one may take the printed one for."""
    own = {m.text for m in table.marks if m.kind == "clef" and m.part == part}
    known = dict.fromkeys([*_TAKEN_FOR.get(printed, ()), *sorted(own)])
    return [read for read in known if read != printed and {read, printed} <= set(MIDDLE)]


def _say(unit: Unit, printed: str, read: str) -> Sentence:
    return speech.say(
        "claim.reading.clef",
        part=unit.label,
        read=speech.phrase(f"claim.reading.clef.{read}"),
        printed=speech.phrase(f"claim.reading.clef.{printed}"),
    )


def old_bass_clef(bound: Bound, scene: Scene) -> Iterator[Variant]:
    """A horn in the old bass clef, read as if it stood in the newer one: an octave too low."""
    for unit in _units(bound):
        if not scene.table.reading_at(unit.part, bound.bars.first).old_bass_clef:
            continue
        if any(clef[:1] == "F" for clef in _clefs_of(scene.table, unit, bound)):
            say = speech.say("claim.reading.old-bass-clef", part=unit.label)
            made = _octave(scene.table, unit, "F", -1, _needed(bound))
            yield Variant(bound, replace(scene, table=made), say=(say,))


def cello_treble(bound: Bound, scene: Scene) -> Iterator[Variant]:
    """A cello's treble clef: the old habit overlooked, or taken where it is not meant."""
    table = scene.table
    for unit in _units(bound):
        if not {table.lines[i].instrument for i in unit.lines} <= CELLOS:
            continue
        if "G2" not in _clefs_of(table, unit, bound):
            continue
        old = table.reading_at(unit.part, bound.bars.first).octave_switch
        say = speech.say(f"claim.reading.cello-treble.{'high' if old else 'low'}", part=unit.label)
        made = _octave(table, unit, "G2", 1 if old else -1, _needed(bound))
        yield Variant(bound, replace(scene, table=made), say=(say,))


# --- the page -----------------------------------------------------------------


def clef_names(table: ScoreTable, rows: NoteArray) -> np.ndarray:
    """The clef each note stands in ("G2"); "" where none is printed."""
    found = np.full(len(rows), "", dtype=object)
    for part, staff in {(int(r["part"]), int(r["staff"])) for r in rows[["part", "staff"]]}:
        marks = [m for m in table.marks if m.kind == "clef" and m.part == part]
        mine = [m for m in marks if max(m.staff, 1) == max(staff, 1)]
        own = (rows["part"] == part) & (rows["staff"] == staff)
        if mine:
            at = np.searchsorted([m.onset for m in mine], rows["onset"][own], side="right") - 1
            texts = np.array([*(m.text for m in mine), ""], dtype=object)
            found[own] = texts[np.where(at < 0, len(mine), at)]
    return found


def _units(bound: Bound) -> list[Unit]:
    """Whom the claim names; nobody where a step of a course is alone, which asks all lines."""
    if any(not step["with"] for step in bound.claim.fields.get("steps", ())):
        return []
    return list(dict.fromkeys(unit for named in bound.everyone for unit in named.units))


def _clefs_of(table: ScoreTable, unit: Unit, bound: Bound) -> list[str]:
    """Clefs that notes of the unit stand in, in the claimed bars."""
    rows = table.notes[np.isin(table.notes["line"], unit.lines)]
    rows = rows[(rows["onset"] >= bound.bars.start) & (rows["onset"] < bound.bars.end)]
    return [str(name) for name in dict.fromkeys(clef_names(table, rows)) if name]


def _needed(bound: Bound) -> list[int] | None:
    """Lines a claim is about; None where every line of the score counts."""
    fields = bound.claim.fields
    if fields.get("coverage") == "none" or fields.get("levels") is not None:
        return None
    return [line for named in bound.everyone for line in named.lines]


# --- the table as somebody reads it -------------------------------------------


def _octave(
    table: ScoreTable, unit: Unit, sign: str, octaves: int, only: Sequence[int] | None
) -> ScoreTable:
    """The unit's notes in clefs that begin with `sign` an octave away."""
    key = ("octave", unit.lines, sign, octaves, _key(only))
    if key not in (store := _store(table)):
        rows, mask = _taken(table, unit, sign, only)
        rows["pitch"][mask] += 12 * octaves
        rows["octave"][mask] += octaves
        store[key] = _with(table, rows, only)
    return store[key]


def _in_clef(
    table: ScoreTable, unit: Unit, printed: str, read: str, only: Sequence[int] | None
) -> ScoreTable:
    """The unit's notes of one clef, named as they would be in another."""
    key = ("clef", unit.lines, printed, read, _key(only))
    if key not in (store := _store(table)):
        rows, mask = _taken(table, unit, printed, only)
        rows[mask] = _read_in(table, rows[mask], printed, read)
        store[key] = _with(table, rows, only)
    return store[key]


def _read_in(table: ScoreTable, rows: NoteArray, printed: str, read: str) -> NoteArray:
    """A copy of notes of one clef as they sound where their places are read in another.

    Accidentals stay where they are printed; where none is, the key signature's hold.
    """
    made, natural = rows.copy(), np.array(NATURAL)
    was = 7 * rows["woctave"].astype(int) + rows["wstep"]
    now = was + MIDDLE[read] - MIDDLE[printed]
    fifths = _signatures(table, rows)
    unsigned = _altered(fifths, was % 7) == rows["walter"]
    alter = np.where(unsigned, _altered(fifths, now % 7), rows["walter"])
    old = 12 * (was // 7) + natural[was % 7] + rows["walter"]
    new = 12 * (now // 7) + natural[now % 7] + alter
    steps = 7 * rows["octave"].astype(int) + rows["step"] + now - was
    made["pitch"] = rows["pitch"] + new - old
    made["step"], made["octave"] = steps % 7, steps // 7
    made["alter"] = made["pitch"] - 12 * (steps // 7 + 1) - natural[steps % 7]
    return made


def _taken(
    table: ScoreTable, unit: Unit, sign: str, only: Sequence[int] | None
) -> tuple[NoteArray, np.ndarray]:
    """A copy of the notes (of the lines asked about), and those of the unit in that clef."""
    rows = table.notes if only is None else table.notes[np.isin(table.notes["line"], only)]
    rows = rows.copy()
    mask = np.isin(rows["line"], unit.lines) & (rows["pitch"] >= 0)
    names = clef_names(table, rows[mask])
    mask[mask] = [name.startswith(sign) and "/" not in name for name in names]
    return rows, mask


def _with(table: ScoreTable, rows: NoteArray, only: Sequence[int] | None) -> ScoreTable:
    # A tie names its row: without all rows it would name another one.
    ties = table.continuations if only is None else table.continuations[:0]
    return replace(table, notes=rows, continuations=ties)


def _store(table: ScoreTable) -> dict[object, ScoreTable]:
    store: dict[object, ScoreTable] = memo(table, "_misread", dict)
    if len(store) > 32:
        store.clear()
    return store


def _key(only: Sequence[int] | None) -> object:
    return None if only is None else tuple(sorted(set(only)))


def _signatures(table: ScoreTable, rows: NoteArray) -> np.ndarray:
    """Fifths of the key signature printed before each note; 0 where none is."""
    found = np.zeros(len(rows), dtype=int)
    for mark in table.marks:
        if mark.kind == "key":
            mine = (rows["onset"] >= mark.onset) & ((rows["part"] == mark.part) | (mark.part < 0))
            found[mine] = round(mark.number)
    return found


def _altered(fifths: np.ndarray, steps: np.ndarray) -> np.ndarray:
    """What a key signature makes of each step: 1 sharp, -1 flat."""
    place = np.argsort(_SHARPS)[steps]
    sharp: np.ndarray = (fifths > place).astype(int)
    flat: np.ndarray = (-fifths > 6 - place).astype(int)
    change: np.ndarray = sharp - flat
    return change
