"""Reading of players: the first for the second, where both read one staff."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from analysis.engine.claims import speech
from analysis.engine.claims.base import Bound, Scene
from analysis.engine.claims.fields import PartName
from analysis.engine.claims.variants import Variant
from analysis.engine.model import ScoreTable
from analysis.engine.name_book import Slot, directory
from analysis.engine.names import Named, Unit
from analysis.engine.sentences import register

register(
    {
        "claim.reading.player": (
            "It fits {other} rather than {part}: both read one staff, and its stems, rests and "
            "words (1., 2., a 2) tell who plays."
        ),
    }
)

#: Fields that name one PART, and the one that names several: there a player may stand for another.
_SINGLE = ("upper", "lower", "from", "to")


def other_player(bound: Bound, scene: Scene) -> Iterator[Variant]:
    """The claim with one named player exchanged for another of the same staff.

    Not where that other one is named as well: then it is no slip of the number.
    """
    taken = {line for named in bound.everyone for line in named.lines}
    for n, named in enumerate(bound.parts):
        for unit, other, name in _others(named, bound, scene.table, taken):
            parts = (*bound.parts[:n], _called(other, name), *bound.parts[n + 1 :])
            names = (*bound.claim.parts[:n], name, *bound.claim.parts[n + 1 :])
            claim = replace(bound.claim, parts=names)
            yield _variant(replace(bound, claim=claim, parts=parts), scene, unit, other)
    for field, group in bound.named.items():
        value: Any = bound.claim.fields.get(field)
        for n, named in enumerate(group):
            for unit, other, name in _others(named, bound, scene.table, taken):
                if "." in field:
                    yield from _in_groups(bound, scene, field, (unit, other), name)
                    continue
                if field == "with":
                    changed: object = (*value[:n], name, *value[n + 1 :])
                elif field in _SINGLE:
                    changed = name
                else:
                    continue
                swapped = (*group[:n], _called(other, name), *group[n + 1 :])
                told = bound.with_fields(**{field: changed})
                told = replace(told, named={**bound.named, field: swapped})
                yield _variant(told, scene, unit, other)


def _in_groups(
    bound: Bound, scene: Scene, field: str, units: tuple[Unit, Unit], name: PartName
) -> Iterator[Variant]:
    """A player named in the steps of a course or the entries of an imitation: in all of them."""
    unit, other = units
    top, inner = field.split(".")
    whose = iter(bound.named[field])

    def exchanged(value: Any) -> Any:
        return name if set(next(whose).units) == {unit} else value

    groups: list[Mapping[str, Any]] = []
    for group in bound.claim.fields[top]:
        value = group.get(inner)
        if value is not None:
            many = isinstance(value, tuple)
            value = tuple(map(exchanged, value)) if many else exchanged(value)
        groups.append({**group, inner: value})
    swapped = tuple(_called(other, name) if set(n.units) == {unit} else n
                    for n in bound.named[field])  # fmt: skip
    told = bound.with_fields(**{top: tuple(groups)})
    yield _variant(replace(told, named={**bound.named, field: swapped}), scene, unit, other)


def _variant(bound: Bound, scene: Scene, unit: Unit, other: Unit) -> Variant:
    say = speech.say("claim.reading.player", part=unit.label, other=other.label)
    return Variant(bound, scene, say=(say,))


def _others(
    named: Named, bound: Bound, table: ScoreTable, taken: set[int]
) -> Iterator[tuple[Unit, Unit, PartName]]:
    """The player named, each other one of the staff, and how that one is written."""
    if len(named.units) != 1:
        return
    unit = named.units[0]
    slots = [s for s in directory(table, bound.movement.index).slots if s.part == unit.part]
    numbered = [s for s in slots if s.number is not None and _of_staff(s, table)]
    if len(numbered) < 2 or not any(set(s.lines) == set(unit.lines) for s in numbered):
        return
    for slot in numbered:
        if set(slot.lines) & taken:
            continue
        id_ = table.first_readings[slot.part].id
        other = Unit(slot.part, slot.lines, slot.label)
        yield unit, other, PartName(id_, slot.number, by_id=True)


def _of_staff(slot: Slot, table: ScoreTable) -> bool:
    """Whether the slot is one player's own lines, not the section's."""
    return bool(slot.lines) and all(table.lines[i].players for i in slot.lines)


def _called(unit: Unit, name: PartName) -> Named:
    return Named(unit.label or str(name.text), (unit,), "label")
