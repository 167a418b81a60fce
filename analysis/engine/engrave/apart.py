"""A staff read by several players, written out on a staff for each of them.

Who plays a note is the note table's word (`reader.players`, `reader.low_strings`), never another
rule of this module. Every note keeps its id; on a second staff the id gets a point and a number,
which the drawn page drops again (`svg`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass

from lxml import etree

from analysis.engine.engrave.children import add_child
from analysis.engine.engrave.fitting import Group, fill, paired_slurs, tidy
from analysis.engine.model import ScoreTable
from analysis.engine.reader.player_words import read_words

Element = etree._Element
Owners = Mapping[str, tuple[int, ...]]


def owners_of(table: ScoreTable, part: int) -> dict[str, tuple[int, ...]]:
    """The lines of a part that play each printed note, by its id."""
    mine = {line.index for line in table.lines if line.part == part}
    found: dict[str, list[int]] = {}
    line_of = table.notes["line"]
    pairs = [*enumerate(table.notes["src"].tolist()), *map(tuple, table.continuations.tolist())]
    for row, src in pairs:
        line = int(line_of[row])
        if line in mine:
            lines = found.setdefault(table.ids[src], [])
            if line not in lines:
                lines.append(line)
    return {note: tuple(sorted(lines)) for note, lines in found.items()}


@dataclass(slots=True)
class _Bar:
    length: int
    groups: list[Group]
    rests: list[Group]
    others: list[tuple[int, Element]]  # with their place in the bar


def apart(part: Element, lines: Sequence[int], owners: Owners) -> list[Element]:
    """A part for each of the lines, in their order. The part itself is left as it is."""
    bars = [_walk(bar) for bar in part]
    made = []
    for line in lines:
        new = etree.Element("part", id=f"{part.get('id')}.{lines.index(line) + 1}")
        for old, bar in zip(part, bars, strict=True):
            new.append(_written(old, bar, line, owners))
        paired_slurs(new)
        made.append(new)
    return made


def _walk(bar: Element) -> _Bar:
    at = end = 0
    groups: list[Group] = []
    rests: list[Group] = []
    others: list[tuple[int, Element]] = []
    graces: dict[str, list[Element]] = {}
    last: Group | None = None
    for child in bar:
        length = int(child.findtext("duration") or 0)
        if child.tag == "backup":
            at -= length
        elif child.tag == "forward":
            at += length
        elif child.tag != "note":
            others.append((at, child))
        else:
            voice = child.findtext("voice") or "1"
            if child.find("grace") is not None:
                graces.setdefault(voice, []).append(child)
            elif child.find("chord") is not None and last is not None:
                last.notes.append(child)
            else:
                kept = graces.pop(voice, []) if child.find("rest") is None else []
                last = Group(at, length, voice, [*kept, child])
                (groups if child.find("rest") is None else rests).append(last)
                at += length
        end = max(end, at)
    for voice, kept in graces.items():
        groups.append(Group(end, 0, voice, kept))
    return _Bar(end, groups, rests, others)


def _own(group: Group, line: int, owners: Owners) -> Group | None:
    """What a line plays of a group; its first note stands for the chord."""
    kept = [n for n in group.notes if line in owners.get(n.get("id", ""), ())]
    if not kept:
        return None
    head = next((n for n in group.notes if n.find("grace") is None), None)
    made = []
    first = True
    for note in kept:
        copy = deepcopy(note)
        order = owners[note.get("id", "")].index(line)
        if order:
            copy.set("id", f"{note.get('id')}.{order + 1}")
        if copy.find("grace") is None:
            chord = copy.find("chord")
            if first and chord is not None:
                copy.remove(chord)
                if head is not None:
                    _take_over(head, copy)
            elif not first and chord is None:
                copy.insert(0, etree.Element("chord"))
            first = False
        made.append(copy)
    return Group(group.onset, group.length, group.voice, made)


def _take_over(head: Element, note: Element) -> None:
    """What stood at the first note of a chord for all of it: beams, slurs, articulations."""
    place = _before_notations(note)
    for beam in head.findall("beam") if note.find("beam") is None else []:
        note.insert(place, deepcopy(beam))
        place += 1
    theirs = head.find("notations")
    if theirs is None:
        return
    own = note.find("notations")
    if own is None:
        own = etree.Element("notations")
        note.insert(_before_notations(note), own)
    there = {(c.tag, c.get("type"), c.get("number")) for c in own}
    for child in theirs:
        if child.tag != "tied" and (child.tag, child.get("type"), child.get("number")) not in there:
            own.append(deepcopy(child))


def _before_notations(note: Element) -> int:
    for n, child in enumerate(note):
        if child.tag in ("notations", "lyric", "play", "listen"):
            return n
    return len(note)


def _written(old: Element, bar: _Bar, line: int, owners: Owners) -> Element:
    """One bar of one line: its notes, rests for where it is silent, the signs that concern it."""
    new = etree.Element("measure", {str(k): str(v) for k, v in old.attrib.items() if k != "id"})
    own = [g for g in (_own(group, line, owners) for group in bar.groups) if g is not None]
    streams = _streams(own)
    staff = _staff(own)
    signs = [
        (at, made) for at, child in bar.others
        if (made := _sign(child, staff, bool(own))) is not None
    ]  # fmt: skip
    for n, stream in enumerate(streams or [[]]):
        if n:
            _move(new, "backup", bar.length)
        at = 0
        for group in fill(stream, bar.length, [*bar.rests, *bar.groups], rests=n == 0):
            if not n:
                _signs_up_to(new, signs, group.onset, at)
            if group.onset > at:
                _move(new, "forward", group.onset - at)
            for note in group.notes:
                _voice(note, str(n + 1), alone=len(streams) < 2)
                new.append(note)
            at = group.end
        if at < bar.length:
            _move(new, "forward", bar.length - at)
        if not n:
            _signs_up_to(new, signs, bar.length, bar.length)
    tidy(new)
    return new


def _streams(groups: list[Group]) -> list[list[Group]]:
    """One voice if nothing overlaps, chords joined; else the voices of the file."""
    ordered = sorted(groups, key=lambda g: (g.onset, g.length > 0))
    joined: list[Group] = []
    for group in ordered:
        before = joined[-1] if joined else None
        if before is not None and before.onset == group.onset and before.length == group.length:
            return _by_voice(ordered)
        if before is not None and before.end > group.onset:
            return _by_voice(ordered)
        joined.append(group)
    return [joined] if joined else []


def _by_voice(groups: list[Group]) -> list[list[Group]]:
    voices: dict[str, list[Group]] = {}
    for group in groups:
        voices.setdefault(group.voice, []).append(group)
    return sorted(voices.values(), key=lambda v: -sum(g.length for g in v))


def _staff(groups: list[Group]) -> str:
    found = [n.findtext("staff") or "1" for g in groups for n in g.notes]
    return max(set(found), key=found.count) if found else ""


def _sign(child: Element, staff: str, plays: bool) -> Element | None:
    """A sign as this line has it; None where it is another's or says who plays."""
    if child.tag == "direction":
        kinds = {str(c.tag) for c in child.iterfind("direction-type/*")}
        text = " ".join(w.text or "" for w in child.iterfind("direction-type/words"))
        if text and read_words(text, low_strings=True) is not None:
            return None
        sound = child.find("sound")
        leads = bool(kinds & {"rehearsal", "metronome"}) or (
            sound is not None and sound.get("tempo") is not None
        )
        if not plays and not leads and "wedge" not in kinds:
            return None
    made = deepcopy(child)
    if "id" in made.attrib:
        del made.attrib["id"]
    for tag in ("staff", "voice"):
        for old in made.findall(tag):
            made.remove(old)
    if made.tag == "attributes":
        for old in made.findall("staves"):
            made.remove(old)
        for sign in [c for c in made if c.get("number")]:
            if staff and sign.get("number") not in ("1", staff):
                made.remove(sign)
    return made


def _signs_up_to(new: Element, signs: list[tuple[int, Element]], onset: int, at: int) -> None:
    while signs and signs[0][0] <= onset:
        place, sign = signs.pop(0)
        if sign.tag == "direction" and place != at:
            _shift(sign, place - at)
        new.append(sign)


def _shift(direction: Element, by: int) -> None:
    offset = direction.find("offset")
    if offset is None:
        offset = etree.Element("offset")
        offset.text = "0"
        direction.findall("direction-type")[-1].addnext(offset)
    offset.text = str(int(float(offset.text or 0)) + by)


def _voice(note: Element, voice: str, *, alone: bool) -> None:
    for tag in ("voice", "staff", *(("stem",) if alone else ())):
        for old in note.findall(tag):
            note.remove(old)
    add_child(note, "voice", voice)


def _move(bar: Element, tag: str, length: int) -> None:
    made = etree.SubElement(bar, tag)
    etree.SubElement(made, "duration").text = str(length)
