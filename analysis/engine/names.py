"""Who is meant: the names people give to parts, looked up in one score.

A PART is a label as printed, an id in the file, a name in English, Italian,
German or French, a family or a collective ("low strings", "the firsts"), or
several of these joined by "and". What names nothing, or two things, comes
back as a question.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from analysis.engine.collectives import COLLECTIVES, QUANTITIES, Group
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.instruments.names import LabelReading, parse_label
from analysis.engine.instruments.table import INSTRUMENTS
from analysis.engine.model import ScoreTable
from analysis.engine.name_book import Directory, Named, Slot, Unit, directory, players_of
from analysis.engine.pitch import plain

__all__ = ["Named", "Unit", "directory", "players_of", "resolve", "resolve_text"]

if TYPE_CHECKING:
    from analysis.engine.claims.fields import PartName


def resolve(part: PartName, table: ScoreTable, movement: int) -> Named:
    """Look a PART up.

    Parameters
    ----------
    part : PartName
    table : ScoreTable
    movement : int
        0-based; labels may differ between movements ("Corno 1 in Re", "in Mi").

    Raises
    ------
    ClaimNotUnderstood
        With a question: which of several, or what is meant at all.
    """
    book = directory(table, movement)
    if part.by_id:
        return _by_id(book, part)
    key = (_key(part.text), movement)
    store: dict[tuple[str, int], Named] = table.__dict__.setdefault("_names", {})
    if key not in store:
        store[key] = _by_text(book, part.text)
    found = store[key]
    return Named(part.text, found.units, found.how, found.others, found.whole)


def _by_id(book: Directory, part: PartName) -> Named:
    index = _part_with_id(book, part.text)
    if index is None:
        found = resolve_text(book, part.text)
        if part.player is None:
            return found
        parts = {u.part for u in found.units}
        if len(parts) != 1:
            raise ClaimNotUnderstood(f"“{part.text}” is more than one part; which one?")
        index = parts.pop()
    if part.player is None:
        return Named(part.text, (book.unit(index),), "label")
    slots = [s for s in book.slots if s.part == index]
    if part.player == "all":
        return Named(part.text, tuple(_unit_of(s) for s in slots), "label")
    mine = [s for s in slots if s.number == part.player]
    divided = [x for x in book.lines_of(index) if part.player in players_of(x)]
    if not mine and divided:
        unit = book.unit(index, (x.index for x in divided), divided[0].name)
        return Named(part.text, (unit,), "label")
    if not mine:
        raise ClaimNotUnderstood(f"{book.label(index)} has no player {part.player}.")
    return Named(part.text, (_unit_of(mine[0]),), "label")


def _part_with_id(book: Directory, text: str) -> int | None:
    for index, readings in book.readings.items():
        if any(r.id == text for r in readings):
            return index
    return None


def _by_text(book: Directory, text: str) -> Named:
    index = _part_with_id(book, text)
    if index is not None:
        return Named(text, (book.unit(index),), "label")
    return resolve_text(book, text)


def resolve_text(book: Directory, text: str) -> Named:
    """Words only: label, collective, instrument name, or several joined."""
    exact = _by_label(book, text)
    if exact is not None:
        return exact
    group = COLLECTIVES.get(_bare(text))
    if group is not None:
        return _collective(book, text, group)
    if (fewer := _without(book, text)) is not None:
        return fewer
    reading = parse_label(text)
    if (reading.others or not reading.candidates) and (joined := _joined(book, text)):
        return joined
    return _instrument(book, text)


def _key(text: str) -> str:
    return " ".join(re.findall(r"[a-z0-9#]+", plain(text)))


_ARTICLES = re.compile(
    r"^(?:(?:all of the|all the|the|die|der|das|den|gli|le|la|lo|les|il|dei|degli|des)\s+|l'|"
    r"i\s+(?=\w+i\b|(?:due|tre|quattro)\s))"
)


def _bare(text: str) -> str:
    return _key(_ARTICLES.sub("", plain(text).strip()))


def _by_label(book: Directory, text: str) -> Named | None:
    """A label as printed, of this movement first, then of any; or the name of a line."""
    wanted = _key(text)
    here = [p for p in book.parts if any(_key(r.label) == wanted for r in book.readings[p])]
    if len(here) == 1:
        return Named(text, (book.unit(here[0]),), "label")
    if len(here) > 1:
        raise ClaimNotUnderstood(f"Several parts are labelled “{text}”; name one by its id.")
    lines = [line for line in book.table.lines if _key(line.name) == wanted]
    if len(lines) == 1:
        line = lines[0]
        return Named(text, (book.unit(line.part, (line.index,), line.name),), "label")
    elsewhere = {r.index for r in book.table.parts if _key(r.label) == wanted}
    if len(elsewhere) == 1:
        return Named(text, (book.unit(elsewhere.pop()),), "synonym")
    return None


_AND = re.compile(r"\s*(?:,|;|&|\+|\band\b|\bund\b|\bet\b|\bed?\b|\bwith\b|\bmit\b|\bcon\b)\s*")


#: Words that take somebody out of a group, in four languages.
LESS = (
    r"but\s+not|but|except(?:\s+for)?|excepting|without|minus|ohne|ausser|aber\s+nicht|"
    r"senza|tranne|sans|sauf"
)
#: "The strings without the basses", "alle außer den Hörnern".
_BUT = re.compile(rf"\s*,?\s*\b(?:{LESS})\b\s*")


def _without(book: Directory, text: str) -> Named | None:
    """A group less some of it; None where the words name no such thing."""
    group, *rest = _BUT.split(plain(text), maxsplit=1)
    if not rest or not group.strip() or not rest[0].strip():
        return None
    whole, gone = resolve_text(book, group), set(resolve_text(book, rest[0]).lines)
    if not gone <= set(whole.lines):
        raise ClaimNotUnderstood(f"“{text}”: {rest[0].strip()} does not belong to {group.strip()}.")
    units = tuple(u for u in whole.units if not set(u.lines) <= gone)
    if not units:
        raise ClaimNotUnderstood(f"“{text}” leaves nobody; who is meant?")
    if any(set(u.lines) & gone for u in units):
        raise ClaimNotUnderstood(f"“{text}”: name those who are meant.")
    return Named(text, units, "collective")


def _joined(book: Directory, text: str) -> Named | None:
    pieces = [p for p in _AND.split(plain(text)) if p]
    if len(pieces) < 2:
        return None
    units: list[Unit] = []
    for piece in pieces:
        units += resolve_text(book, piece).units
    return Named(text, tuple(dict.fromkeys(units)), "synonym")


def _collective(book: Directory, text: str, group: Group) -> Named:
    meanings = []
    for members in group.meanings:
        units = _members(book, members)
        if units and units not in meanings:
            meanings.append(units)
    if group.key == "all-four":
        meanings = _fours(book, text)
    if not meanings:
        raise ClaimNotUnderstood(f"There are no {group.words} in this score; who is meant?")
    return Named(
        text, meanings[0], "collective", tuple(meanings[1:]), whole=group.key == "everybody"
    )


def _members(book: Directory, wanted: Sequence[str]) -> tuple[Unit, ...]:
    """Units of a family ("strings") or of single sections ("violin 1")."""
    found: list[Unit] = []
    for part in book.parts:
        lines = []
        for line in book.lines_of(part):
            number = next((s.number for s in book.slots if line.index in s.lines), None)
            keys = {"*", line.family, line.instrument, f"{line.instrument} {number}"}
            if keys & set(wanted):
                lines.append(line.index)
        if lines:
            whole = len(lines) == len(book.lines_of(part))
            label = "" if whole or len(lines) > 1 else book.table.lines[lines[0]].name
            found.append(book.unit(part, lines, label))
    return tuple(found)


def _fours(book: Directory, text: str) -> list[tuple[Unit, ...]]:
    groups: dict[str, list[Slot]] = {}
    for slot in book.slots:
        for key in slot.instruments:
            groups.setdefault(key, []).append(slot)
    four = [tuple(_unit_of(s) for s in slots) for slots in groups.values() if len(slots) == 4]
    if len(four) != 1:
        raise ClaimNotUnderstood(f"“{text}”: all four of which? Name the parts.")
    return four


def _unit_of(slot: Slot) -> Unit:
    return Unit(slot.part, slot.lines, slot.label)


def _instrument(book: Directory, text: str) -> Named:
    """An instrument by name, with number and crook if given."""
    words = [w for w in _key(text).split()]
    everybody = bool(words) and words[0] in QUANTITIES
    wanted = QUANTITIES.get(words[0]) if words else None
    reading = parse_label(" ".join(plain(text).split()[1:]) if everybody else _no_article(text))
    if not reading.candidates or reading.unknown:
        raise ClaimNotUnderstood(_what_is(book, text))
    slots = _with_instrument(book, reading)
    if not slots:
        name = INSTRUMENTS[reading.instrument].name
        verb = "are" if name in ("strings", "timpani", "voices") else "is"
        raise ClaimNotUnderstood(
            f"There {verb} no {name} in this movement. It has {_listing(book)}."
        )
    slots = _with_crook(book, slots, reading)
    slots, counted = _with_numbers(book, slots, reading, text)
    parts = list(dict.fromkeys(s.part for s in slots))
    numbered = bool(reading.players.numbers)
    if numbered or everybody or counted:
        if wanted and wanted != len(slots):
            raise ClaimNotUnderstood(_other_number(text, slots))
        return Named(text, tuple(_unit_of(s) for s in slots), "synonym")
    if len(parts) == 1:
        lines = dict.fromkeys(line for s in slots for line in s.lines)
        whole = set(lines) == {x.index for x in book.lines_of(parts[0])}
        label = "" if whole else slots[0].label
        return Named(text, (book.unit(parts[0], tuple(lines), label),), "synonym")
    # An ambiguous abbreviation ("Tr.") stands for the staves it is printed at: all trumpets.
    group = reading.form == "abbreviation" and len(reading.candidates) > 1
    many = _is_plural(reading) or _MANY.match(plain(text)) is not None
    if reading.form != "plural" and not group and not many:
        raise ClaimNotUnderstood(f"Which one is “{text}”: {_labels(slots, 'or')}?")
    units = tuple(
        book.unit(part, tuple(dict.fromkeys(x for s in slots if s.part == part for x in s.lines)))
        for part in parts
    )
    return Named(text, units, "collective")


#: Articles that say more than one, of a word that does not change ("les hautbois").
_MANY = re.compile(r"(?:les|gli|i|deux|due|zwei)\s")


def _no_article(text: str) -> str:
    return _ARTICLES.sub("", plain(text).strip()) if _ARTICLES.match(plain(text)) else text


def _is_plural(reading: LabelReading) -> bool:
    """English words for sections that parse_label takes for a singular form."""
    return reading.word in ("basses", "timpani", "strings", "percussion")


def _what_is(book: Directory, text: str) -> str:
    return f"“{text[:60]}” names no part that I know. The movement has {_listing(book)}."


def _listing(book: Directory) -> str:
    labels = list(dict.fromkeys(book.label(p) for p in book.parts))
    shown = labels if len(labels) <= 24 else [*labels[:24], "others"]
    return _join(shown, "and")


def _labels(slots: Sequence[Slot], word: str = "and") -> str:
    return _join(list(dict.fromkeys(s.label for s in slots)), word)


def _join(labels: Sequence[str], word: str) -> str:
    if len(labels) < 2:
        return "".join(labels)
    return f"{', '.join(labels[:-1])} {word} {labels[-1]}"


def _other_number(text: str, slots: Sequence[Slot]) -> str:
    there = f"are {len(slots)}" if len(slots) > 1 else "is one"
    return f"“{text}”: there {there} here ({_labels(slots)}). Which are meant?"


#: A general word takes in its sizes where the plain instrument is not there.
_SIZES = {
    "trombone": ("alto-trombone", "tenor-trombone", "bass-trombone"),
    "percussion": ("timpani", "glockenspiel", "xylophone"),
    "voice": ("soprano", "mezzo-soprano", "alto", "tenor", "baritone", "bass"),
    "double-bass": ("violone", "cello-and-bass"),
    "cello": ("cello-and-bass",),
    "tuba": ("euphonium",),
}


def _with_instrument(book: Directory, reading: LabelReading) -> list[Slot]:
    by_meaning = []
    for key in reading.candidates:
        found = [_narrowed(book, s, {key}) for s in book.slots if key in s.instruments]
        # "Tr." may be a drum of some sort; that does not make the timpani one of its meanings.
        general = key != "percussion" or len(reading.candidates) == 1
        if not found and key in _SIZES and general:
            sizes = set(_SIZES[key])
            found = [_narrowed(book, s, sizes) for s in book.slots if s.instruments & sizes]
        if key == "cello-and-bass" and not found:
            both = {"cello", "double-bass"}
            found = [s for s in book.slots if s.instruments & both]
            found = found if len({k for s in found for k in s.instruments & both}) == 2 else []
        if found:
            by_meaning.append(found)
    if len(by_meaning) > 1 and len(reading.candidates) > 1:
        # "Bassi" over cellos and basses is both; a bass voice beside a double bass is a question.
        if reading.word in ("basses", "bassi", "basse", "basso", "bass"):
            voices = [f for f in by_meaning if any("bass" in s.instruments for s in f)]
            if voices:
                options = [f[0].label for f in by_meaning]
                raise ClaimNotUnderstood(f"“{reading.text}”: {_join(options, 'or')}?")
        elif {s.part for f in by_meaning for s in f} != {s.part for s in by_meaning[0]}:
            options = list(dict.fromkeys(f[0].label for f in by_meaning))
            raise ClaimNotUnderstood(f"“{reading.text}”: {_join(options, 'or')}?")
    return by_meaning[0] if by_meaning else []


def _narrowed(book: Directory, slot: Slot, keys: set[str]) -> Slot:
    """The lines of a shared staff ("Vc. e Cb.") that are this instrument."""
    lines = [i for i in slot.lines if book.table.lines[i].instrument in keys]
    if not lines or len(lines) == len(slot.lines):
        return slot
    label = book.table.lines[lines[0]].name
    return Slot(slot.part, tuple(lines), slot.number, slot.instruments, label)


def _with_crook(book: Directory, slots: list[Slot], reading: LabelReading) -> list[Slot]:
    if not reading.crooks:
        return slots
    tonic = {c.pc for c in reading.crooks}
    tonic |= {(c.pc - 1) % 12 for c in reading.crooks if c.german_b}
    fits = [s for s in slots if _crook_pcs(book, s.part) & tonic]
    known = [s for s in slots if _crook_pcs(book, s.part)]
    if not fits and known:
        name = INSTRUMENTS[reading.instrument].name
        raise ClaimNotUnderstood(
            f"There is no {name} in {reading.crooks[0].name} here, but {_labels(known)}."
        )
    return fits or slots


def _crook_pcs(book: Directory, part: int) -> set[int]:
    found = set()
    for reading in book.readings[part]:
        words = parse_label(reading.label).crooks
        found |= {w.pc for w in words}
        if reading.crook:
            found |= {c.pc for c in parse_label(f"horn in {reading.crook}", "en").crooks}
    return found


def _with_numbers(
    book: Directory, slots: list[Slot], reading: LabelReading, text: str
) -> tuple[list[Slot], bool]:
    numbers = reading.players.numbers
    if reading.players.odd:
        raise ClaimNotUnderstood(f"“{text}”: which player is meant by {reading.players.odd}?")
    if numbers:
        fits = [s for s in slots if s.number in numbers]
        if not fits and len(slots) == 1 and numbers == (1,):
            return slots, False  # the only flute is the first
        missing = [n for n in numbers if n not in {s.number for s in slots}]
        if missing:
            have = _labels(slots)
            raise ClaimNotUnderstood(f"“{text}”: there is no number {missing[0]} here, but {have}.")
        return fits, False
    count = reading.players.count
    if count:
        if count != len(slots):
            raise ClaimNotUnderstood(_other_number(text, slots))
        return slots, True
    return slots, False
