"""The page before any note: what a reader writes down of it, held against what is printed.

A survey is a table of short answers. Its cells are named by the place of the staff on the page
and a column, "0-clef", or by "page" and a question, "page-metre". Each cell filled in comes back
with one of three marks; a cell that the file cannot decide, or whose words are not understood,
is the tutor's.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from analysis.engine.analyses.layout import STANDS_FOR, instruments_in
from analysis.engine.claims.layout import clef_named, instruments_named
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.instruments.table import INSTRUMENTS
from analysis.engine.model import Mark, NoteFlag, PartReading, ScoreTable
from analysis.engine.names import players_of
from analysis.engine.pitch import parse_note_name, plain
from analysis.engine.survey_words import (
    NOTHING,
    distance,
    fifths_said,
    metre_said,
    names_said,
    semitones_said,
    signature,
)

Seen = Literal["as-page", "look-again", "ask"]

#: Questions about each staff, and about the page, in the order in which reading is taught.
OF_STAFF = ("instrument", "players", "clef", "transposition", "key", "crook")
OF_PAGE = ("families", "metre", "tempo", "shared", "divided", "missing")
MOST_LETTERS = 120

_COUNTS = {"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "eight": 8,
           "a pair": 2, "pair": 2}  # fmt: skip
_SECTION = frozenset({"section", "a section", "many", "several", "all", "tutti", "the section"})
_FAMILIES = {
    "woodwind": "woodwind", "woodwinds": "woodwind", "wind": "woodwind", "winds": "woodwind",
    "wood": "woodwind", "brass": "brass", "percussion": "percussion", "timpani": "percussion",
    "drums": "percussion", "strings": "strings", "string": "strings", "voices": "voice",
    "voice": "voice", "choir": "voice", "chorus": "voice", "keyboard": "keyboard",
    "keyboards": "keyboard", "piano": "keyboard", "organ": "keyboard", "harp": "plucked",
    "harps": "plucked", "plucked": "plucked",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell held against the page: the mark, and what the page says ("" where it is silent)."""

    seen: Seen
    page: str


def cell_names(staves: int) -> list[str]:
    """All cells of a page with so many parts."""
    rows = [f"{n}-{column}" for n in range(staves) for column in OF_STAFF]
    return [*rows, *(f"page-{question}" for question in OF_PAGE)]


def compare(
    table: ScoreTable, answers: Mapping[str, str], first: int, last: int
) -> dict[str, Cell]:
    """Hold a survey of the page that begins in bar `first` against the score.

    Parameters
    ----------
    table : ScoreTable
    answers : mapping of cell name to text
        As typed. Empty cells, and names that are no cells, are left out of the result.
    first, last : int
        Bar indices of the page surveyed; whether a section divides is asked of these.
    """
    page = _Page(table, first, last)
    known = set(cell_names(table.part_count))
    found = {}
    for name, text in answers.items():
        if name in known and text.strip():
            place, _, question = name.partition("-")
            found[name] = page.of_page(question, text) if place == "page" else page.of_staff(
                int(place), question, text)  # fmt: skip
    return found


class _Page:
    """The facts of one page, asked for cell by cell."""

    def __init__(self, table: ScoreTable, first: int, last: int) -> None:
        self.table, self.first, self.last = table, first, last
        self.start, self.end = table.bars[first].start, table.bars[last].end

    # --- one staff --------------------------------------------------------------

    def of_staff(self, part: int, question: str, text: str) -> Cell:
        reading = self.table.reading_at(part, self.first)
        page, right = self._staff[question](self, reading, text)
        # A doubt is about the player, the count or the pitch; clef and signature are printed.
        if reading.doubt is not None and question not in ("clef", "key"):
            return Cell("ask", "")
        return Cell(_mark(right), page)

    def _instrument(self, reading: PartReading, text: str) -> tuple[str, bool | None]:
        own = self._keys(reading.index) | {reading.instrument}
        page = ", ".join(INSTRUMENTS[k].name if k in INSTRUMENTS else k for k in sorted(own))
        if "unknown" in own:
            return "", None
        wide = own | {other for key in own for other in STANDS_FOR.get(key, ())}
        try:
            said = [instruments_named(name) for name in names_said(text)]
        except ClaimNotUnderstood:
            return page, None
        return page, bool(said) and all(keys & wide for keys in said)

    def _players(self, reading: PartReading, text: str) -> tuple[str, bool | None]:
        known = INSTRUMENTS.get(reading.instrument)
        word = " ".join(plain(text).split())
        if known is not None and known.section:
            # How many desks there are does not stand on the page.
            return "a section", True if word in _SECTION else None
        count = self._count(reading)
        digits = re.findall(r"\d+", word)
        number = int(digits[0]) if len(digits) == 1 else _COUNTS.get(word)
        if word in _SECTION:
            return str(count), False
        return str(count), None if number is None else number == count

    def _clef(self, reading: PartReading, text: str) -> tuple[str, bool | None]:
        begin, later = self._clefs(reading.index)
        page = ", ".join(_CLEF_WORDS.get(c, c) for c in begin)
        try:
            said = {clef_named(re.sub(r"\bclefs?\b", "", name)) for name in names_said(text)}
        except ClaimNotUnderstood:
            return page, None
        if not begin:
            return "", None
        return page, set(begin) <= said <= {*begin, *later}

    def _transposition(self, reading: PartReading, text: str) -> tuple[str, bool | None]:
        said = semitones_said(text)
        right = {reading.transposition}
        if reading.instrument == "cello-and-bass":  # the basses read the cellos' staff
            right.add(reading.transposition - 12)
        page = distance(reading.transposition, reading.diatonic)
        return page, None if said is None else said in right

    def _key(self, reading: PartReading, text: str) -> tuple[str, bool | None]:
        marks = self._in_force("key", reading.index)
        if marks and not re.match(r"-?\d", marks[0].text):
            return marks[0].text, None  # signs of its own kind
        fifths = int(marks[0].number) if marks else 0
        said = fifths_said(text)
        return signature(fifths), None if said is None else said == fifths

    def _crook(self, reading: PartReading, text: str) -> tuple[str, bool | None]:
        if reading.family == "percussion":
            return "", None  # drums are tuned, not crooked
        home = parse_note_name("C", "en")
        assert home is not None
        sounds = (home.pc + reading.transposition) % 12
        page = reading.crook or (_PC_NAMES[sounds] if sounds else "none")
        word = re.sub(r"^(?:in|en)\s+|\b(?:alto|basso|crook)\b", "", plain(text)).strip()
        if word in NOTHING:
            if sounds and not reading.crook:
                return page, None  # a cor anglais names no crook, though it has its own pitch
            return page, not reading.crook
        notes = [parse_note_name(word, language) for language in ("en", "de", "it", "fr")]
        pcs = {note.pc for note in notes if note is not None}
        return page, None if not pcs else sounds in pcs

    _staff: Mapping[str, Callable[[_Page, PartReading, str], tuple[str, bool | None]]] = {
        "instrument": _instrument, "players": _players, "clef": _clef,
        "transposition": _transposition, "key": _key, "crook": _crook,
    }  # fmt: skip

    # --- the page ----------------------------------------------------------------

    def of_page(self, question: str, text: str) -> Cell:
        page, right = self._page[question](self, text)
        return Cell(_mark(right), page)

    def _families(self, text: str) -> tuple[str, bool | None]:
        order = [self.table.reading_at(n, self.first).family for n in range(self.table.part_count)]
        runs = [f for n, f in enumerate(order) if not n or order[n - 1] != f]
        said = [_FAMILIES.get(plain(name)) for name in names_said(text)]
        said = [f for n, f in enumerate(said) if not n or said[n - 1] != f]
        page = ", ".join("voices" if f == "voice" else f for f in runs)
        return page, None if None in said or "unknown" in runs else said == runs

    def _metre(self, text: str) -> tuple[str, bool | None]:
        bar = self.table.bars[self.first]
        said = metre_said(text)
        if not bar.beats or said is None:
            return (f"{bar.beats}/{bar.beat_type}" if bar.beats else ""), None
        return f"{bar.beats}/{bar.beat_type}", said == (bar.beats, bar.beat_type)

    def _tempo(self, text: str) -> tuple[str, bool | None]:
        """The words over the page's first bar; which of them is the tempo only a match tells."""
        bar = self.table.bars[self.first]
        over = [
            m.text for m in self.table.marks
            if m.kind in ("words", "tempo") and bar.start <= m.onset < bar.end
            and not m.text.startswith("sound ") and "=" not in m.text
        ]  # fmt: skip
        said = re.findall(r"[a-z]+", plain(text))
        # "Rondò. Allegretto": a movement's title may stand before its tempo.
        pieces = [piece for text in over for piece in (text, text.partition(".")[2])]
        for printed in dict.fromkeys(pieces):
            words = re.findall(r"[a-z]+", plain(printed))
            if words and words == said:
                return printed.strip(" ("), True
            if words and said and words[0] == said[0]:
                return printed.strip(" ("), False
        return "", None

    def _shared(self, text: str) -> tuple[str, bool | None]:
        readings = [self.table.reading_at(n, self.first) for n in range(self.table.part_count)]
        if any(r.doubt is not None and r.doubt.about == "players" for r in readings):
            return "", None
        own = {
            r.index for r in readings
            if len(self._keys(r.index)) > 1 or r.instrument == "cello-and-bass"
            or (not _is_section(r) and self._count(r) > 1)
        }  # fmt: skip
        said = self._staves(text)
        return _ordinals(own), None if said is None else said == own

    def _divided(self, text: str) -> tuple[str, bool | None]:
        """Sections whose notes are marked as divided; chords may be double stops, and are left."""
        rows = self.table.notes
        rows = rows[(rows["bar"] >= self.first) & (rows["bar"] <= self.last)]
        sections = {r.index for r in self.table.first_readings if _is_section(r)}
        sure = {int(p) for p in rows["part"][(rows["flags"] & NoteFlag.DIVISI) != 0]} & sections
        chords = {int(p) for p in rows["part"][(rows["flags"] & NoteFlag.CHORD) != 0]} & sections
        said = self._staves(text)
        if said is None or said == sure:
            return _ordinals(sure), None if said is None else True
        return _ordinals(sure), None if (said ^ sure) <= chords - sure else False

    def _missing(self, text: str) -> tuple[str, bool | None]:
        movement = self.table.movements[self.table.bars[self.first].movement]
        here = instruments_in(self.table, movement)
        if "unknown" in here:
            return "", None
        try:
            named = [instruments_named(name) for name in names_said(text)]
        except ClaimNotUnderstood:
            return "", None
        return "", not any(keys & here for keys in named)

    _page: Mapping[str, Callable[[_Page, str], tuple[str, bool | None]]] = {
        "families": _families, "metre": _metre, "tempo": _tempo, "shared": _shared,
        "divided": _divided, "missing": _missing,
    }  # fmt: skip

    # --- what they share ---------------------------------------------------------

    def _keys(self, part: int) -> set[str]:
        return {line.instrument for line in self.table.lines if line.part == part}

    def _count(self, reading: PartReading) -> int:
        lines = [line for line in self.table.lines if line.part == reading.index]
        return len(reading.players) or len({n for x in lines for n in players_of(x)}) or 1

    def _in_force(self, kind: str, part: int) -> list[Mark]:
        """The mark of each staff of the part that holds where the page begins."""
        found: dict[int, Mark] = {}
        for mark in self.table.marks:
            if mark.kind == kind and mark.part == part and mark.onset <= self.start:
                found[mark.staff] = mark
        return [found[staff] for staff in sorted(found)]

    def _clefs(self, part: int) -> tuple[list[str], list[str]]:
        later = [
            _bare(m.text) for m in self.table.marks
            if m.kind == "clef" and m.part == part and self.start < m.onset < self.end
        ]  # fmt: skip
        return list(dict.fromkeys(_bare(m.text) for m in self._in_force("clef", part))), later

    def _staves(self, text: str) -> set[int] | None:
        """Staves by their numbers from the top, "2, 4-6"; None if it is anything else."""
        if plain(text).strip() in NOTHING:
            return set()
        found: set[int] = set()
        for piece in re.split(r"[,;+&\s]+|\band\b", plain(text).strip()):
            match = re.fullmatch(r"(\d{1,3})(?:-(\d{1,3}))?", piece)
            if match is None:
                return None
            found |= set(range(int(match[1]) - 1, int(match[2] or match[1])))
        return found if all(0 <= n < self.table.part_count for n in found) else None


def _mark(right: bool | None) -> Seen:
    return "ask" if right is None else "as-page" if right else "look-again"


def _is_section(reading: PartReading) -> bool:
    known = INSTRUMENTS.get(reading.instrument)
    return known is not None and known.section


def _ordinals(parts: Iterable[int]) -> str:
    return ", ".join(str(n + 1) for n in sorted(parts)) or "none"


_CLEF_WORDS = {"G2": "treble", "F4": "bass", "C3": "alto", "C4": "tenor", "C1": "soprano",
               "C2": "mezzo-soprano", "F3": "baritone", "percussion": "percussion"}  # fmt: skip
_PC_NAMES = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")


def _bare(clef: str) -> str:
    return clef.split("/")[0] if clef[:1] in "GFC" else "percussion"
