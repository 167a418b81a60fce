"""Staves of our own making: each player's, a pair's, cellos and basses apart."""

from __future__ import annotations

from collections.abc import Sequence
from copy import deepcopy
from dataclasses import dataclass, field, replace

from lxml import etree

from analysis.engine import reader
from analysis.engine.engrave.apart import Owners, apart, owners_of
from analysis.engine.engrave.pairs import fits, pairs_of, together
from analysis.engine.engrave.view import View
from analysis.engine.model import Line, PartReading, ScoreTable
from analysis.engine.reader.lines import SHARED_LOW
from analysis.engine.reader.readings import chosen

Element = etree._Element
#: index, id or ids, the part as it is to be drawn, its readings
Staff = tuple[int, str, Element, list[PartReading]]
_PLAYERS = ("woodwind", "brass")
_AN_OCTAVE_LOWER = " (sounds an octave lower)"


@dataclass(frozen=True, slots=True)
class Plan:
    """What only the whole file tells of the staves of a view.

    Attributes
    ----------
    mine : dict of int to list of PartReading
        Readings of the parts shown, by part index.
    apart : dict of int to (list of Line, Owners)
        Parts to be taken apart: their lines, and who plays each note.
    pairs : list of (int, int)
        Parts that share a staff.
    """

    mine: dict[int, list[PartReading]]
    apart: dict[int, tuple[list[Line], Owners]] = field(default_factory=dict)
    pairs: list[tuple[int, int]] = field(default_factory=list)


def planned(
    root: Element,
    canonical: bytes,
    view: View,
    readings: Sequence[PartReading],
    shown: Sequence[int],
    parts: Sequence[Element],
) -> Plan:
    """Look at the whole file, before a passage is cut out of it: who plays is said anywhere before.

    `root` and `parts` as they stand in `canonical`. It is read only as far as needed: where every
    part shown has its readings, the parts to be taken apart alone.
    """
    if view.staves == "printed":
        return Plan({n: [r for r in readings if r.index == n] for n in shown})
    table = None
    if not set(shown) <= {r.index for r in readings}:
        table = reader.read(canonical, confirmed=readings or None)
    known = chosen((), readings) if table is None else table.parts
    mine = {n: [r for r in known if r.index == n] for n in shown}
    if view.staves == "pairs":
        pairs = [(a, b) for a, b in pairs_of(known, shown) if fits(parts[a], parts[b])]
        return Plan(mine, pairs=pairs)
    wanted = [n for n in shown if _may_part(mine[n][0], view)]
    if not wanted:
        return Plan(mine)
    index = {n: n for n in wanted}
    if table is None:
        index = {n: k for k, n in enumerate(wanted)}
        own = [replace(r, index=index[n]) for n in wanted for r in mine[n]]
        table = _table_of(root, [parts[n] for n in wanted], own)
    found = {n: [line for line in table.lines if line.part == index[n]] for n in wanted}
    return Plan(mine, {n: (lines, owners_of(table, index[n]))
                       for n, lines in found.items() if len(lines) > 1})  # fmt: skip


def _may_part(first: PartReading, view: View) -> bool:
    if first.instrument == SHARED_LOW:
        return True
    return view.staves == "players" and first.family in _PLAYERS and len(first.players) > 1


def _table_of(
    root: Element, parts: Sequence[Element], readings: Sequence[PartReading]
) -> ScoreTable:
    """The note table of some parts alone, counted from 0."""
    some = etree.Element(root.tag, {str(k): str(v) for k, v in root.attrib.items()})
    heads = etree.SubElement(some, "part-list")
    for part in parts:
        entry = _entry(root, part)
        if entry is not None:
            heads.append(deepcopy(entry))
        some.append(deepcopy(part))
    return reader.read(etree.tostring(some), confirmed=readings)


def set_anew(
    root: Element, view: View, plan: Plan, shown: Sequence[int], parts: Sequence[Element]
) -> list[Staff]:
    """The parts to be drawn, top to bottom, with the staves of a view; `root` is changed."""
    if plan.pairs:
        return _paired(root, shown, parts, plan)
    made: list[Staff] = []
    for n in shown:
        own = plan.mine[n]
        if n not in plan.apart:
            made.append((n, parts[n].get("id", ""), parts[n], own))
            continue
        lines, owners = plan.apart[n]
        low = own[0].instrument == SHARED_LOW
        new = apart(parts[n], [line.index for line in lines], owners)
        _replace(root, parts[n], new, [_name(line, low=low, view=view) for line in lines])
        for line, part in zip(lines, new, strict=True):
            down = low and line is not lines[0]
            made.append((n, parts[n].get("id", ""), part, _an_octave_down(own) if down else own))
    return made


def _an_octave_down(readings: Sequence[PartReading]) -> list[PartReading]:
    return [replace(r, transposition=r.transposition - 12, diatonic=r.diatonic - 7)
            for r in readings]  # fmt: skip


def _name(line: Line, *, low: bool, view: View) -> str:
    if not low:
        return line.name
    name = line.name.split(" (")[0]
    return (
        name + _AN_OCTAVE_LOWER if line.instrument != "cello" and view.pitch == "written" else name
    )


def _replace(root: Element, old: Element, new: Sequence[Element], names: Sequence[str]) -> None:
    entry = _entry(root, old)
    at = old.getparent()
    if entry is None or at is None:
        return
    for part, name in zip(new, names, strict=True):
        old.addprevious(part)
        said = etree.Element("score-part", id=part.get("id", ""))
        etree.SubElement(said, "part-name").text = name
        entry.addprevious(said)
    above = entry.getparent()
    if above is not None:
        above.remove(entry)
    at.remove(old)


def _entry(root: Element, part: Element) -> Element | None:
    found = root.findall("part-list/score-part")
    return next((e for e in found if e.get("id") == part.get("id")), None)


def _paired(
    root: Element, shown: Sequence[int], parts: Sequence[Element], plan: Plan
) -> list[Staff]:
    mine = plan.mine
    second = dict(plan.pairs)
    gone = set(second.values())
    made: list[Staff] = []
    for n in shown:
        if n in gone:
            continue
        ids = parts[n].get("id", "")
        if n in second:
            other = parts[second[n]]
            ids = f"{ids} {other.get('id', '')}"
            numbers = (str(mine[n][0].players[0]), str(mine[second[n]][0].players[0]))
            together(parts[n], other, numbers)
            _name_pair(root, parts[n], other, numbers)
            root.remove(other)
        made.append((n, ids, parts[n], mine[n]))
    return made


def _name_pair(root: Element, one: Element, two: Element, numbers: tuple[str, str]) -> None:
    both = ", ".join(numbers)
    first, second = _entry(root, one), _entry(root, two)
    if first is None or second is None:
        return
    for tag in ("part-name", "part-abbreviation"):
        name = first.find(tag)
        if name is not None and name.text:
            name.text = name.text.replace(numbers[0], both, 1)
    for shown in ("part-name-display", "part-abbreviation-display"):
        for display in first.findall(shown):  # "B♭ Clarinet 1" keeps its sign
            texts = [t for t in display.findall("display-text") if numbers[0] in (t.text or "")]
            if not texts:
                first.remove(display)
                continue
            texts[-1].text = both.join((texts[-1].text or "").rsplit(numbers[0], 1))
    above = second.getparent()
    if above is not None:
        above.remove(second)
