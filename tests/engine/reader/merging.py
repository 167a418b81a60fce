"""Merge two parts of a score on one staff, as an engraver does: the reverse of reading it.

`two_voices` writes both parts as voices in every bar. `as_printed` writes what
one would print: chords where both move together, "a 2" where they play the
same, "1." and "2." where one rests, two voices elsewhere.
"""

from __future__ import annotations

import copy
from typing import Any

from lxml import etree

Element = Any
_TIMED = ("note", "backup", "forward")


def merged(canonical: bytes, first: int, second: int, label: str, *, as_printed: bool) -> bytes:
    """A score of one part: parts `first` and `second` of `canonical` on one staff."""
    root = etree.fromstring(canonical)
    parts = root.findall("part")
    heads = root.findall("part-list/score-part")
    for child in list(root.find("part-list")):
        if child is not heads[first]:
            root.find("part-list").remove(child)
    heads[first].find("part-name").text = label
    for name in ("part-name-display", "part-abbreviation"):
        for element in heads[first].findall(name):
            heads[first].remove(element)
    upper, lower = parts[first], parts[second]
    for part in parts:
        if part is not upper:
            root.remove(part)
    said = ""
    for a, b in zip(upper.findall("measure"), lower.findall("measure"), strict=True):
        said = _merge(a, b, said, as_printed)
    for note in root.iter("note"):
        note.attrib.pop("id", None)
    return etree.tostring(root)


def _merge(a: Element, b: Element, said: str, as_printed: bool) -> str:
    """Put bar `b` into bar `a`; `said` is the word in force, "" = none."""
    mine, theirs = _notes(a), _notes(b)
    for direction in a.findall("direction"):
        # The players' words of the single parts would contradict ours.
        for kind in direction.findall("direction-type"):
            for words in kind.findall("words"):
                kind.remove(words)
            if not len(kind):
                direction.remove(kind)
        if direction.find("direction-type") is None:
            a.remove(direction)
    plain = as_printed and not _voices(mine) and not _voices(theirs)
    if plain and _silent(mine) and _silent(theirs):
        return said
    if plain and _same(mine, theirs):
        return _say(a, "a 2", said)
    if plain and _silent(theirs):
        return _say(a, "1.", said)
    if plain and _silent(mine):
        _replace(a, theirs)
        return _say(a, "2.", said)
    if plain and _together(mine, theirs):
        _as_chords(mine, theirs)
        return ""
    _as_voices(a, mine, theirs)
    return ""


def _notes(bar: Element) -> list[Element]:
    return [e for e in bar if e.tag in _TIMED]


def _voices(notes: list[Element]) -> bool:
    return any(n.tag != "note" or n.find("chord") is not None for n in notes)


def _silent(notes: list[Element]) -> bool:
    return all(n.find("rest") is not None for n in notes)


def _facts(note: Element) -> tuple[Any, ...]:
    ties = tuple(sorted(t.get("type") for t in note.findall("tie")))
    return (*_rhythm(note), _pitch(note), ties)


def _rhythm(note: Element) -> tuple[Any, ...]:
    return (note.findtext("duration"), note.find("grace") is None, note.find("rest") is None)


def _pitch(note: Element) -> tuple[int, int] | None:
    if note.find("pitch") is None:
        return None
    step = "CDEFGAB".index(note.findtext("pitch/step"))
    octave = int(note.findtext("pitch/octave"))
    return (7 * octave + step, int(note.findtext("pitch/alter") or 0))


def _same(mine: list[Element], theirs: list[Element]) -> bool:
    return [_facts(n) for n in mine] == [_facts(n) for n in theirs]


def _together(mine: list[Element], theirs: list[Element]) -> bool:
    """Same rhythm, the first always above the second."""
    if [_rhythm(n) for n in mine] != [_rhythm(n) for n in theirs]:
        return False
    pairs = [(_pitch(a), _pitch(b)) for a, b in zip(mine, theirs, strict=True)]
    return all(a is None or (b is not None and a[0] > b[0]) for a, b in pairs)


def _say(bar: Element, word: str, said: str) -> str:
    if word != said:
        direction = etree.Element("direction", placement="above")
        words = etree.SubElement(etree.SubElement(direction, "direction-type"), "words")
        words.text = word
        notes = _notes(bar)
        notes[0].addprevious(direction)
    return word


def _replace(bar: Element, notes: list[Element]) -> None:
    old = _notes(bar)
    for note in notes:
        old[0].addprevious(copy.deepcopy(note))
    for note in old:
        bar.remove(note)


def _as_chords(mine: list[Element], theirs: list[Element]) -> None:
    for upper, lower in zip(mine, theirs, strict=True):
        if upper.find("rest") is not None:
            continue
        added = copy.deepcopy(lower)
        place = 1 if added.find("grace") is not None else 0
        added.insert(place, etree.Element("chord"))
        upper.addnext(added)


def _as_voices(bar: Element, mine: list[Element], theirs: list[Element]) -> None:
    length = sum(
        int(n.findtext("duration") or 0) * (-1 if n.tag == "backup" else 1)
        for n in mine
        if n.find("chord") is None
    )
    last = mine[-1]
    for note in mine:
        _voice(note, "up", 0)
    back = etree.Element("backup")
    etree.SubElement(back, "duration").text = str(length)
    last.addnext(back)
    place = back
    for note in theirs:
        added = copy.deepcopy(note)
        _voice(added, "down", 1)
        place.addnext(added)
        place = added


def _voice(note: Element, stem: str, offset: int) -> None:
    """First part's voices 1, 3, 5 ..., second part's 2, 4, 6 ...; stems apart."""
    if note.tag != "note":
        return
    voice = note.find("voice")
    if voice is None:
        voice = etree.SubElement(note, "voice")
        voice.text = "1"
    voice.text = str(2 * int(voice.text) - 1 + offset)
    for old in note.findall("stem"):
        old.text = stem
