"""What is said of a reinforcement: how many notes are supported, and where it is not so."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from analysis.engine.analyses.runs import Run
from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bound, Scene
from analysis.engine.claims.facts import stretches
from analysis.engine.model import Sentence
from analysis.engine.names import Unit
from analysis.engine.sentences import register

register(
    {
        "claim.reinforcement.is": (
            "{part} supports {met} of {of} notes of {others} in {bars}, by {by}."
        ),
        "claim.reinforcement.all": "{part} has all notes of {others} in {bars}.",
        "claim.reinforcement.none": "{part} supports no note of {others} in {bars}.",
        "claim.reinforcement.rests": "{part} rests in {bars}.",
        "claim.reinforcement.also": "The pitch is the same, too.",
        "claim.reinforcement.nothing": "No note is met in {bars}.",
        "claim.reinforcement.so": "It is as you say in {bars}.",
        "claim.reinforcement.every": "In {bars} every note is met.",
        "claim.reinforcement.others": "In {bars} it supports other notes, or more of them.",
    }
)

By = str  # "pitch" or "accent"


@dataclass(frozen=True, slots=True)
class Support:
    """One bar: onsets of the supported line, those supported, and attacks of the supporter."""

    of: frozenset[int]
    pitch: frozenset[int]
    accent: frozenset[int]
    own: int

    def by(self, by: By) -> frozenset[int]:
        return self.pitch if by == "pitch" else self.accent

    def some(self, by: By) -> bool:
        """Some notes but not all, and the supporter does little else."""
        met = self.by(by)
        return bool(met) and len(met) < len(self.of) and 2 * len(met) >= self.own


def say_support(
    scene: Scene,
    bound: Bound,
    unit: Unit,
    seen: Mapping[int, Support],
    by: By,
    true: frozenset[int],
    runs: Sequence[Run],
) -> list[Sentence]:
    """How many notes one part supports in the claimed bars, then where it is not as claimed.

    Parameters
    ----------
    true
        Bars in which it is as claimed.
    runs
        Reinforcements of the analysis: one over exactly the claimed bars gives its own count,
        from its first supported note to its last, so that the two never differ.
    """
    table, bars = scene.table, bound.bars
    here = [seen[b] for b in bars.indices if b in seen]
    met, of = sum(len(s.by(by)) for s in here), sum(len(s.of) for s in here)
    same = [r for r in runs if (r.first, r.last) == (bars.first, bars.last)]
    if len(same) == 1:
        met, of = same[0].met, max(same[0].of_a, same[0].of_b)
    params = {
        "part": unit.label,
        "others": speech.people(table, bound.named_units("with")),
        "bars": speech.bars(table, bars.first, bars.last),
    }
    if not proof.bars_sounding(table, unit.lines) & set(bars.indices):
        return [speech.say("claim.reinforcement.rests", part=unit.label, bars=params["bars"])]
    if not met:
        return [speech.say("claim.reinforcement.none", **params)]
    if met == of:
        return [speech.say("claim.reinforcement.all", **params)]
    word = {"pitch": "pitch", "accent": "attack"}[by]
    says = [speech.say("claim.reinforcement.is", met=met, of=of, by=word, **params)]
    return says + _where_not(scene, bound, seen, by, true)


def _where_not(
    scene: Scene, bound: Bound, seen: Mapping[int, Support], by: By, true: frozenset[int]
) -> list[Sentence]:
    """The bars that are not as claimed, each with its reason."""
    inside = set(bound.bars.indices)
    if inside <= true:
        return []
    missed = sorted(b for b in inside - true if b in seen)
    nothing = [b for b in missed if not seen[b].by(by)]
    every = [b for b in missed if seen[b].by(by) and seen[b].by(by) == seen[b].of]
    others = [b for b in missed if b not in nothing and b not in every]
    told = (("so", inside & true), ("nothing", nothing), ("every", every), ("others", others))
    return [
        speech.say(f"claim.reinforcement.{name}", bars=_places(scene, bars))
        for name, bars in told
        if bars
    ]


def without_support(
    scene: Scene, bound: Bound, seen: Mapping[int, Support], by: By
) -> list[Sentence]:
    """Bars of a right claim in which nothing is supported: the fact reaches over them."""
    bars = [b for b in bound.bars.indices if b in seen and not seen[b].by(by)]
    if not bars:
        return []
    return [speech.say("claim.reinforcement.nothing", bars=_places(scene, bars))]


def _places(scene: Scene, bars: Iterable[int]) -> list[speech.Phrase]:
    return [speech.bars(scene.table, *s) for s in stretches(bars)]
