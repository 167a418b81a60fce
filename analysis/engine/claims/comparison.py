"""Comparison: two places, who is added in the second and who is left out.

Added: plays in the second place and nowhere in the first; left out: the reverse. Who plays is
counted. Completeness counts: others that are added as well make a claim near.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from analysis.engine import places
from analysis.engine.analyses.returns import differences
from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bound, Judgement, Kind, Scene, Verdict
from analysis.engine.claims.facts import combine_units
from analysis.engine.claims.fields import Field, Form, Many, PartField, PlaceField
from analysis.engine.claims.naming import part_json, place_json
from analysis.engine.claims.occurrences import Span
from analysis.engine.claims.told import as_told
from analysis.engine.model import Evidence, Sentence
from analysis.engine.name_book import directory
from analysis.engine.names import Unit, resolve
from analysis.engine.sentences import register

register(
    {
        "claim.comparison.added": "{parts} rest in {one} and play in {two}.",
        "claim.comparison.added.one": "{parts} rests in {one} and plays in {two}.",
        "claim.comparison.left": "{parts} play in {one} and rest in {two}.",
        "claim.comparison.left.one": "{parts} plays in {one} and rests in {two}.",
        "claim.comparison.both": "{parts} play in both places.",
        "claim.comparison.both.one": "{parts} plays in both places.",
        "claim.comparison.neither": "{parts} rest in both places.",
        "claim.comparison.neither.one": "{parts} rests in both places.",
        "claim.comparison.some": "{parts} play in {one} too, in fewer of its bars.",
        "claim.comparison.some.one": "{parts} plays in {one} too, in fewer of its bars.",
        "claim.comparison.same": "The same parts play in {one} and {two}.",
        "claim.comparison.also-added": "New there: {names}.",
        "claim.comparison.also-left": "Left out there: {names}.",
        "claim.comparison.shifted": "It fits {one} and {two}: one bar off.",
        "claim.comparison.elsewhere": "The other place is in another score, which is not at hand.",
    }
)

#: how much more of its bars a part must play in one place, to be nearly new there; common practice
MORE = 0.5


@dataclass(frozen=True, slots=True)
class Found:
    """What is said of each part named, and who else is added or left out."""

    verdicts: dict[tuple[str, Unit], Verdict]
    added: tuple[Unit, ...]  # not named, though they are
    left: tuple[Unit, ...]

    @property
    def others(self) -> tuple[Unit, ...]:
        return (*self.added, *self.left)


def judge(scene: Scene, bound: Bound) -> Judgement:
    place = bound["bars2"]
    if isinstance(place, dict) and place.get("score"):
        return Judgement(relation="open", says=(speech.say("claim.comparison.elsewhere"),))
    there = places.resolve(place, scene.table, bound.movement.index)
    spans = ((bound.bars.first, bound.bars.last), (there.first, there.last))
    told_so = as_told(scene, bound, lambda value: _same(scene, bound, spans[1], value))
    if told_so is not None:
        return told_so
    if bound.claim.negated:
        return _deny(scene, bound, spans)
    found = _judged(scene, bound, spans)
    if found.all_right:
        return found
    for by in (-1, 1):
        moved = _moved(scene, bound, spans, by)
        if moved is not None and (near := _judged(scene, bound, moved)).all_right:
            where = {k: speech.bars(scene.table, *s) for k, s in zip(("one", "two"), moved,
                                                                      strict=True)}  # fmt: skip
            says = (speech.say("claim.comparison.shifted", **where), *near.says)
            return near.but(place="near", says=says, cause="bar-offset")
    return found


def _same(scene: Scene, bound: Bound, second: Span, value: Mapping[str, Any]) -> bool | None:
    """Whether a stored comparison says the same of the same other place."""
    there = places.resolve(value.get("bars2"), scene.table, bound.movement.index)
    if (there.first, there.last) != second:
        return None
    for side in ("added", "left"):
        if not bound.named.get(side):
            continue
        names = [PartField().read(v, side) for v in value.get(side) or ()]
        theirs = {i for n in names for i in resolve(n, scene.table, bound.movement.index).lines}
        if theirs != {i for u in bound.named_units(side) for i in u.lines}:
            return False
    return True


def _moved(
    scene: Scene, bound: Bound, spans: tuple[Span, Span], by: int
) -> tuple[Span, Span] | None:
    """Both places `by` bars later, if that leaves no movement."""
    one, two = ((a + by, b + by) for a, b in spans)
    bars = scene.table.bars
    for (a, b), (first, _) in zip((one, two), spans, strict=True):
        inside = a >= 0 and b < len(bars)
        if not inside or not bars[a].movement == bars[b].movement == bars[first].movement:
            return None
    return one, two


def _judged(scene: Scene, bound: Bound, spans: tuple[Span, Span]) -> Judgement:
    found = _find(scene, bound, spans)
    says = _says(scene, bound, spans, found)
    truth = _truths(scene, bound, spans)
    everybody = range(len(scene.table.lines))
    if not found.verdicts:  # "the same parts play"
        others = found.others
        evidence = _notes(scene, others or _playing(scene, spans[0]), spans)
        return Judgement(
            relation="wrong" if others else "right",
            evidence=evidence,
            contrary=evidence,
            says=says,
            truth=truth,
        )
    _, parts, relation, degree = combine_units(
        [("right", v, "right") for v in found.verdicts.values()]
    )
    if found.others and parts == "right":
        parts = "near"
    good = [u for (_, u), v in found.verdicts.items() if v != "wrong"]
    odd = [u for (_, u), v in found.verdicts.items() if v != "right"]
    return Judgement(
        parts=parts,
        relation=relation,
        degree=degree,
        evidence=_notes(scene, good, spans),
        contrary=_notes(scene, odd or found.others, spans)
        or proof.notes_or_rests(scene.table, everybody, bound.bars),
        says=says,
        truth=truth,
    )


def _find(scene: Scene, bound: Bound, spans: tuple[Span, Span]) -> Found:
    table = scene.table
    verdicts: dict[tuple[str, Unit], Verdict] = {}
    for side in ("added", "left"):
        before, after = spans if side == "added" else spans[::-1]
        for named in bound.named.get(side, ()):
            shares = {u: (_share(scene, u, before), _share(scene, u, after)) for u in named.units}
            # of a family, those count that play in either place, if any does
            playing = [u for u in shares if any(shares[u])] if named.how == "collective" else []
            for unit in playing or shares:
                verdicts[side, unit] = _verdict(*shares[unit])
    told = {(side, line) for side, unit in verdicts for line in unit.lines}
    more = {}
    for side, lines in zip(("added", "left"), differences(table, *spans), strict=True):
        wanted = bool(bound.named.get(side)) or not verdicts
        own = [i for i in lines if (side, i) not in told] if wanted else []
        more[side] = _units(scene, bound, own)
    return Found(verdicts, more["added"], more["left"])


def _share(scene: Scene, unit: Unit, span: Span) -> float:
    """Share of the bars of a place in which a part sounds."""
    inside = set(range(span[0], span[1] + 1))
    return len(proof.bars_sounding(scene.table, unit.lines) & inside) / len(inside)


def _verdict(before: float, after: float) -> Verdict:
    if before == 0 and after > 0:
        return "right"
    return "near" if after - before >= MORE else "wrong"


def _units(scene: Scene, bound: Bound, lines: Iterable[int]) -> tuple[Unit, ...]:
    book = directory(scene.table, bound.movement.index)
    found: list[Unit] = []
    for line in lines:
        own = scene.table.lines[line]
        mates = [x.index for x in book.lines_of(own.part)]
        name = "" if len(mates) == 1 else own.name
        found.append(book.unit(own.part, (line,), name))
    return tuple(found)


def _playing(scene: Scene, span: Span) -> tuple[Unit, ...]:
    table = scene.table
    units = (Unit(x.part, (x.index,), x.name) for x in table.lines)
    return tuple(u for u in units if _share(scene, u, span))


# --- denials, evidence, words -------------------------------------------------


def _deny(scene: Scene, bound: Bound, spans: tuple[Span, Span]) -> Judgement:
    """ "The flutes are not added": none of those named is."""
    found = _find(scene, bound, spans)
    hits = [u for (_, u), v in found.verdicts.items() if v == "right"]
    so = bool(hits) if found.verdicts else not found.others
    named = [u for _, u in found.verdicts] or list(found.others) or _playing(scene, spans[0])
    notes = _notes(scene, hits or named, spans)
    asked = {**bound.claim.as_json(), "negated": False}
    return Judgement(
        relation="wrong" if so else "right",
        evidence=notes,
        contrary=notes,
        says=_says(scene, bound, spans, found),
        truth=(asked, *_truths(scene, bound, spans)),
        hits=len(hits),
    )


def _notes(scene: Scene, units: Iterable[Unit], spans: tuple[Span, Span]) -> tuple[Evidence, ...]:
    """What each plays in either place, rests where it does not."""
    return tuple(
        e
        for unit in list(units)[:12]
        for span in spans
        for e in proof.playing_or_rests(scene.table, unit.lines, *span)
    )


def _says(
    scene: Scene, bound: Bound, spans: tuple[Span, Span], found: Found
) -> tuple[Sentence, ...]:
    where = {
        "one": speech.bars(scene.table, *spans[0]),
        "two": speech.bars(scene.table, *spans[1]),
    }
    groups: dict[str, list[Unit]] = {}
    for _, unit in found.verdicts:
        one, two = (_share(scene, unit, span) for span in spans)
        groups.setdefault(_word(one, two), []).append(unit)
    says = [
        speech.say(f"claim.comparison.{word}", parts=speech.people(scene.table, units), **where)
        for word, units in groups.items()
    ]
    for word, others in (("added", found.added), ("left", found.left)):
        if others:
            names = speech.people(scene.table, others)
            also = f"claim.comparison.also-{word}" if says else f"claim.comparison.{word}"
            key = {"names": names} if says else {"parts": names, **where}
            says.append(speech.say(also, **key))
    return tuple(says) or (speech.say("claim.comparison.same", **where),)


def _word(one: float, two: float) -> str:
    if not one and not two:
        return "neither"
    if not one or not two:
        return "left" if one else "added"
    return "some" if two - one >= MORE else "both"


def _truths(scene: Scene, bound: Bound, spans: tuple[Span, Span]) -> tuple[dict[str, Any], ...]:
    table = scene.table
    added, left = (_parts(scene, bound, lines) for lines in differences(table, *spans))
    base = bound.claim.as_json()
    first = place_json(table, *spans[0])
    second = place_json(table, *spans[1])
    if table.bars[spans[1][0]].movement != bound.movement.index:
        second = base["bars2"]
    value = {**base, "bars": first, "bars2": second, "negated": False}
    found = [{**value, "added": added, "left": left}]
    if bound["added"]:
        found.insert(0, {**value, "added": added, "left": []})
    return tuple(found)


def _parts(scene: Scene, bound: Bound, lines: Sequence[int]) -> list[Any]:
    return [part_json(scene.table, u) for u in _units(scene, bound, lines)]


KIND = Kind(
    name="comparison",
    says="two places compared",
    form=Form(
        (
            Field("bars2", PlaceField(), required=True),
            Field("added", Many(PartField()), default=()),
            Field("left", Many(PartField()), default=()),
        ),
        parts=False,
    ),
    judge=judge,
    pitched=False,
    part_fields=("added", "left"),
    readings=frozenset(),  # both places move together: the rule tries it itself
)
