"""Kinds that hold throughout, part by part: the best way to take the claim for each of its parts.

A rule gives, for each part, the ways to take the claim (`Try`, most faithful first); here the best
is chosen, the four verdicts are drawn from them, and the claim's bars are laid on the true ones.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bound, Scene, Verdict
from analysis.engine.claims.doubling_words import where_true
from analysis.engine.claims.facts import Try, best_try, combine_units, stretch, stretches
from analysis.engine.claims.naming import part_json, place_json
from analysis.engine.model import Evidence, Sentence
from analysis.engine.names import Unit


@dataclass(frozen=True)
class Held:
    """What holds of each part of a claim, and the verdicts on the whole."""

    tries: Mapping[Unit, Try]
    verdicts: Mapping[Unit, tuple[Verdict, Verdict, Verdict]]  # place, relation, degree
    place: Verdict
    parts: Verdict
    relation: Verdict
    degree: Verdict

    @property
    def good(self) -> list[Unit]:
        return [u for u, v in self.verdicts.items() if "wrong" not in v and "open" not in v]

    @property
    def odd(self) -> list[Unit]:
        """Parts of which it does not hold as claimed, in all claimed bars."""
        return [u for u, v in self.verdicts.items() if set(v) != {"right"}]

    @property
    def all_right(self) -> bool:
        return {self.place, self.parts, self.relation, self.degree} == {"right"}

    @property
    def common(self) -> frozenset[int]:
        """Bars in which all parts hold."""
        return frozenset.intersection(*(t.true for t in self.tries.values()))


def hold(scene: Scene, bound: Bound, ways: Mapping[Unit, Sequence[Try]]) -> Held:
    """Choose for each part, and judge.

    A part that holds in no claimed bar is wrong in its place if the fact lies close by, else in
    what is said of it; a way whose relation is "open" leaves the part open.
    """
    bars, settings = bound.bars, scene.settings
    tries = {unit: best_try(own, bars, settings) for unit, own in ways.items()}
    verdicts = {unit: _verdict(scene, bound, attempt) for unit, attempt in tries.items()}
    place, parts, relation, degree = combine_units(list(verdicts.values()))
    return Held(tries, verdicts, place, parts, relation, degree)


def _verdict(scene: Scene, bound: Bound, attempt: Try) -> tuple[Verdict, Verdict, Verdict]:
    bars = bound.bars
    if not attempt.true & set(bars.indices):
        if attempt.relation == "open":
            return "right", "open", "right"
        reach = len(bars) + scene.settings.occurrence_bars
        close = any(bars.first - reach <= b <= bars.last + reach for b in attempt.true)
        return ("wrong", attempt.relation, attempt.degree) if close else ("right", "wrong", "right")
    return attempt.place(bars, scene.settings), attempt.relation, attempt.degree


def against(
    scene: Scene, bound: Bound, held: Held, others: Sequence[int] = ()
) -> tuple[Evidence, ...]:
    """In the claimed bars where it is not so: what the parts (and `others`, lines) play instead."""
    table = scene.table
    found: list[Evidence] = []
    for unit in held.odd:
        attempt = held.tries[unit]
        exact = attempt.relation == attempt.degree == "right"
        missing = set(bound.bars.indices) - (attempt.true if exact else frozenset())
        for first, last in stretches(missing):
            own = proof.playing_or_rests(table, unit.lines, first, last)
            found += own
            if others and own and not own[0].rests:
                start, end = table.bars[first].start, table.bars[last].end
                found += proof.notes(table, proof.rows_of(table, others, start, end))
    return tuple(dict.fromkeys(found))


def places_said(scene: Scene, bound: Bound, held: Held, unit: Unit) -> list[Sentence]:
    """Where it holds of a part, if not in all claimed bars."""
    if held.verdicts[unit][0] == "right" or not held.tries[unit].true:
        return []
    return [where_true(scene.table, held.tries[unit].true, bound)]


def goes_on(scene: Scene, bound: Bound, held: Held) -> tuple[Sentence, ...]:
    """The note that a right fact reaches further than the claimed bars."""
    bars, common = bound.bars, held.common
    if held.place != "right" or not set(bars.indices) <= common:
        return ()
    return tuple(speech.place_note(scene.table, stretch(common, bars), bars.first, bars.last))


def narrower(scene: Scene, bound: Bound, held: Held) -> list[dict[str, Any]]:
    """The same claim of the parts and bars of which it is true, for truths."""
    table, bars = scene.table, bound.bars
    base = bound.claim.as_json()
    exact = [u for u in held.tries if held.verdicts[u][1:] == ("right", "right")]
    found: list[dict[str, Any]] = []
    whole = [u for u in exact if held.verdicts[u][0] == "right" and u in held.good]
    if whole and len(whole) < len(held.tries):
        found.append({**base, "parts": [part_json(table, u) for u in whole]})
    if exact and len(exact) == len(held.tries):
        runs = [stretch(held.common & set(bars.indices), bars), stretch(held.common, bars)]
        found += [{**base, "bars": place_json(table, *run)} for run in runs if run]
    for unit in exact:
        if run := stretch(held.tries[unit].true, bars):
            value = {"parts": [part_json(table, unit)], "bars": place_json(table, *run)}
            found.append({**base, **value})
    return found
