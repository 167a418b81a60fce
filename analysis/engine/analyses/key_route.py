"""The route of the keys: those a movement settles in, in order, and those it only touches.

Built on the findings of `keys`. Neighbouring regions of one key, sure or doubtful, are one
stretch. A key is settled if its stretch lasts for eight bars, or for four with a cadence in it
(common practice: a key is confirmed by a cadence and a stay, not by a chromatic note); else it is
touched. A phrase in the parallel minor that lasts is a key of the route.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from analysis.engine.analyses import keys
from analysis.engine.analyses.attacks import memo
from analysis.engine.analyses.speech import finding, place
from analysis.engine.errors import EngineError
from analysis.engine.model import Evidence, Finding, Movement, ScoreTable
from analysis.engine.pitch import Key, parse_key
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "key-route.stays": "{place}: the movement settles in one key only, {route}.",
        "key-route.settled": "{place}: the keys in order are {route}.",
        "key-route.touched": "{place}: the keys in order are {route}; touched only: {touched}.",
        "key-route.stays-touched": (
            "{place}: the movement settles in one key only, {route}; touched only: {touched}."
        ),
    }
)

#: bars from which a key is settled, without and with a cadence: common practice
SETTLED_BARS = 8
SETTLED_WITH_CADENCE = 4
#: least confidence of a cadence that confirms
CADENCE = 0.7
#: touched keys told of one movement, the longest first: common practice
TOUCHED = 8


@dataclass(frozen=True, slots=True)
class Stretch:
    """One key over bars `first` to `last` (inclusive)."""

    key: Key
    first: int
    last: int
    confidence: float
    cadence: bool
    evidence: tuple[str, ...]

    @property
    def bars(self) -> int:
        return self.last - self.first + 1

    @property
    def settled(self) -> bool:
        least = SETTLED_WITH_CADENCE if self.cadence else SETTLED_BARS
        return self.bars >= least


def key_findings(table: ScoreTable, settings: Settings) -> list[Finding]:
    """The findings of `keys`, computed once per table and settings."""
    return memo(table, f"_key_findings-{hash(settings)}", lambda: keys.find_keys(table, settings))


def stretches(table: ScoreTable, settings: Settings, movement: Movement) -> tuple[Stretch, ...]:
    """The keys of a movement, bar by bar, in order."""
    found = [f for f in key_findings(table, settings) if f.movement == movement.index]
    return stretches_of_findings(found)


def stretches_of_findings(found: Sequence[Finding]) -> tuple[Stretch, ...]:
    """The same from findings of kind "key" of one movement (the tutor's word may be in them)."""
    arrivals = {
        (key.sound, bar)
        for f in found
        if f.value.get("how") == "arrives" and f.confidence >= CADENCE and (key := _key(f))
        for bar in (f.first,)
    }
    regions = sorted(
        (
            (key, f)
            for f in found
            if f.value.get("how") == "region" and (key := _key(f)) is not None
        ),
        key=lambda r: r[1].first,
    )
    out = []
    for _, group in groupby(regions, key=lambda r: r[0].sound):
        members = list(group)
        first, last = members[0][1].first, members[-1][1].last
        key = max(members, key=lambda r: r[1].last - r[1].first)[0]
        weight = [(f.last - f.first + 1, f.confidence) for _, f in members]
        total = sum(n for n, _ in weight)
        ids = next((e.ids for _, f in members for e in f.evidence if e.ids), ())
        out.append(
            Stretch(
                key=key,
                first=first,
                last=last,
                confidence=sum(n * c for n, c in weight) / max(total, 1),
                cadence=any((key.sound, bar) in arrivals for bar in range(first, last + 1)),
                evidence=tuple(ids[:8]),
            )
        )
    return tuple(out)


def key_at(table: ScoreTable, settings: Settings, bar: int) -> Stretch | None:
    """The stretch of local key that holds in `bar`."""
    movement = table.movements[table.bars[bar].movement]
    return next(
        (s for s in stretches_of(table, settings)[movement.index] if s.first <= bar <= s.last), None
    )


def stretches_of(table: ScoreTable, settings: Settings) -> tuple[tuple[Stretch, ...], ...]:
    """`stretches` of every movement, built once."""
    return memo(
        table,
        f"_key_stretches-{hash(settings)}",
        lambda: tuple(stretches(table, settings, m) for m in table.movements),
    )


def route(found: tuple[Stretch, ...]) -> list[Stretch]:
    """The settled keys in order; one that goes on after a touched key is named once."""
    kept: list[Stretch] = []
    for stretch in found:
        if not stretch.settled:
            continue
        if kept and kept[-1].key.sound == stretch.key.sound:
            kept[-1] = replace(
                kept[-1],
                last=stretch.last,
                confidence=max(kept[-1].confidence, stretch.confidence),
            )
        else:
            kept.append(stretch)
    return kept


def find_key_routes(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "key-route": one a movement, with the keys that are only touched."""
    found = []
    for movement in table.movements:
        all_ = stretches_of(table, settings)[movement.index]
        kept = route(all_) or [s for s in all_ if s.bars == max(x.bars for x in all_)][:1]
        if not kept:
            continue
        home = {s.key.sound for s in kept}
        touched = [s for s in all_ if not s.settled and s.key.sound not in home]
        touched = sorted(sorted(touched, key=lambda s: -s.bars)[:TOUCHED], key=lambda s: s.first)
        found.append(_finding(table, movement, kept, touched))
    return found


def _finding(
    table: ScoreTable, movement: Movement, kept: list[Stretch], touched: list[Stretch]
) -> Finding:
    first, last = movement.first_bar, movement.last_bar
    stays = len(kept) == 1
    said = [s.key.words if stays else _said(table, s) for s in kept]
    template = "key-route.stays" if stays else "key-route.settled"
    if touched:
        template = "key-route.stays-touched" if stays else "key-route.touched"
    ids = tuple(dict.fromkeys(i for s in kept for i in s.evidence))
    return finding(
        table,
        {
            "kind": "key-route",
            "parts": [],
            "keys": [s.key.name for s in kept][:100],
            "touched": True,
        },
        start=table.bars[first].start,
        end=max(table.bars[last].end, table.bars[first].start + 1),
        bars=(first, last),
        lines=(),
        evidence=[Evidence(ids=ids)] if ids else [],
        template=template,
        params={
            "place": place(table, first, last),
            "route": ", ".join(said),
            "touched": ", ".join(_said(table, s) for s in touched),
        },
        # a route is as sure as the least sure of its keys
        confidence=min(s.confidence for s in kept),
    )


def _said(table: ScoreTable, stretch: Stretch) -> str:
    return f"{stretch.key.words} ({place(table, stretch.first, stretch.last)})"


def _key(found: Finding) -> Key | None:
    try:
        return parse_key(str(found.value.get("key")))
    except EngineError:
        return None
