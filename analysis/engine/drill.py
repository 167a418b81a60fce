"""Transposing by hand, asked of the score at hand: which notes to ask about, and what was said.

Written and sounding pitch both come from the note table, where the part's reading, its crook and
its clef have been applied already; nothing is transposed here.
"""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Literal

from analysis.engine.model import NoteFlag, PartReading, ScoreTable
from analysis.engine.note_told import NoteTold, told
from analysis.engine.pitch import Pitch, parse_note_name, plain

Way = Literal["sounds", "written"]
Said = Literal["right", "no-octave", "octave", "as-given", "other-way", "enharmonic", "wrong"]

MOST = 24  # questions at a time


@dataclass(frozen=True, slots=True)
class Question:
    """One note: what is given is its written or its sounding pitch, the other one is asked."""

    note_id: str
    clef: str  # sign and line, "" where the file has none
    told: NoteTold

    def given(self, way: Way) -> Pitch:
        pitch = self.told.written if way == "sounds" else self.told.sounding
        assert pitch is not None
        return pitch

    def wanted(self, way: Way) -> Pitch:
        return self.given("written" if way == "sounds" else "sounds")

    @property
    def old_bass_clef(self) -> bool:
        """Whether it stands an octave lower than meant, as horns in the bass clef once did."""
        return self.told.reading.old_bass_clef and self.clef.startswith("F")


def transposing(table: ScoreTable) -> list[PartReading]:
    """Parts that anywhere sound another pitch than is written, by their first reading."""
    moved = {p.index for p in table.parts if p.transposition or p.octave_switch or p.old_bass_clef}
    return [reading for reading in table.first_readings if reading.index in moved]


def questions(
    table: ScoreTable, first: int, last: int, parts: Collection[str] = (), seed: int = 0
) -> list[Question]:
    """Notes of the bars that transpose, every pitch of a part once, the parts in turn.

    Parameters
    ----------
    first, last : int
        Bar indices, inclusive.
    parts : collection of part ids
        Only these; all by default.
    seed : int
        Another one asks in another order.
    """
    rows = table.notes[(table.notes["bar"] >= first) & (table.notes["bar"] <= last)]
    rows = rows[(rows["pitch"] >= 0) & (rows["flags"] & (NoteFlag.CUE | NoteFlag.GRACE) == 0)]
    moved = (rows["step"] != rows["wstep"]) | (rows["octave"] != rows["woctave"]) | (
        rows["alter"] != rows["walter"]
    )  # fmt: skip
    ids = {reading.index: reading.id for reading in table.first_readings}
    by_part: dict[int, dict[tuple[int, ...], int]] = defaultdict(dict)
    for place in moved.nonzero()[0].tolist():
        row = rows[place]
        part = int(row["part"])
        if not parts or ids[part] in parts:
            key = tuple(int(row[name]) for name in ("wstep", "walter", "woctave", "pitch"))
            by_part[part].setdefault(key, place)
    shuffled = random.Random(seed)
    stacks = []
    for part in sorted(by_part):
        own = list(by_part[part].values())
        shuffled.shuffle(own)
        stacks.append(own)
    found: list[Question] = []
    while any(stacks) and len(found) < MOST:
        for stack in stacks:
            if stack and len(found) < MOST:
                question = question_of(table, table.ids[int(rows[stack.pop()]["src"])])
                if question is not None:
                    found.append(question)
    return found


def question_of(table: ScoreTable, note_id: str) -> Question | None:
    """The question about one note; None where nothing is to be transposed."""
    found = told(table, note_id)
    if found is None or found.written is None or found.sounding in (None, found.written):
        return None
    return Question(note_id, _clef_at(table, note_id), found)


def _clef_at(table: ScoreTable, note_id: str) -> str:
    rows = table.notes[table.notes["src"] == table.ids.index(note_id)]
    if not len(rows):  # a tied-on note
        return ""
    row, clef = rows[0], ""
    for mark in table.marks:
        here = mark.part == row["part"] and mark.staff in (0, int(row["staff"]))
        if mark.kind == "clef" and here and mark.onset <= row["onset"]:
            clef = mark.text
    return clef


def choices(question: Question, way: Way) -> list[Pitch]:
    """The answer among likely slips: the other direction, an octave off, a step off, not moved."""
    given, wanted = question.given(way), question.wanted(way)
    slips = [
        _other_way(given, wanted),
        Pitch(wanted.step, wanted.alter, wanted.octave + (1 if wanted.midi < given.midi else -1)),
        given,
        Pitch((wanted.step + 1) % 7, wanted.alter, wanted.octave + (wanted.step == 6)),
    ]
    kept: list[Pitch] = [wanted]
    for slip in slips:
        if all(slip.midi != other.midi for other in kept) and abs(slip.alter) < 3 and len(kept) < 4:
            kept.append(slip)
    return sorted(kept, key=lambda pitch: (pitch.midi, pitch.diatonic))


def _other_way(given: Pitch, wanted: Pitch) -> Pitch:
    """As far from what is given as the answer, in the other direction."""
    steps = 2 * given.diatonic - wanted.diatonic
    natural = Pitch(steps % 7, 0, steps // 7)
    return Pitch(natural.step, 2 * given.midi - wanted.midi - natural.midi, natural.octave)


def read_said(text: str) -> tuple[Pitch | None, bool]:
    """A note as typed, in four languages, "G4", "Sol 4", "g sharp 3", "g'"; and if it is a note.

    (None, True) is a note without its octave.

    >>> read_said("Sol 4")[0].name, read_said("F#3")[0].name, read_said("g''")[0].name
    ('G4', 'F#3', 'G5')
    >>> read_said("G"), read_said("blue")
    ((None, True), (None, False))
    """
    word = plain(text).strip()
    octave: int | None = None
    digits = word.rstrip("0123456789")
    if digits != word:
        octave, word = int(word[len(digits) :]), digits.strip()
    elif word.endswith("'"):  # as in d'': the small letters of the octaves above middle C
        bare = word.rstrip("'")
        octave, word = 3 + len(word) - len(bare), bare
    notes = [parse_note_name(word, language) for language in ("en", "de", "it", "fr")]
    note = next((n for n in notes if n is not None), None)
    if note is None:
        return None, False
    if octave is None or octave > 9:
        return None, True
    return Pitch(note.step, note.alter, octave), True


def judge(question: Question, way: Way, said: Pitch | None) -> Said:
    """How what was said stands to the answer; None is a note without its octave."""
    if said is None:
        return "no-octave"
    given, wanted = question.given(way), question.wanted(way)
    outcomes: Sequence[tuple[Said, bool]] = (
        ("right", said == wanted),
        ("enharmonic", said.midi == wanted.midi),
        ("as-given", said == given),
        ("octave", (said.step, said.alter) == (wanted.step, wanted.alter)),
        ("other-way", said.midi == 2 * given.midi - wanted.midi),
    )
    return next((name for name, so in outcomes if so), "wrong")
