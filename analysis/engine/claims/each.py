"""Judged kinds that speak of several parts: each part has its own answer, joined here."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from analysis.engine.claims.base import Judgement, Verdict
from analysis.engine.claims.facts import combine_units
from analysis.engine.claims.fields import JSON
from analysis.engine.model import Evidence, Sentence
from analysis.engine.names import Unit


@dataclass(frozen=True)
class One:
    """What a rule says of one part. `confidence`: that these verdicts are right."""

    place: Verdict = "right"
    relation: Verdict = "right"
    degree: Verdict = "right"
    confidence: float = 1.0
    evidence: tuple[Evidence, ...] = ()
    contrary: tuple[Evidence, ...] = ()
    says: tuple[Sentence, ...] = ()
    notes: tuple[Sentence, ...] = ()
    truth: tuple[JSON, ...] = ()
    cause: str | None = None

    @property
    def verdicts(self) -> tuple[Verdict, Verdict, Verdict]:
        return self.place, self.relation, self.degree

    @property
    def is_wrong(self) -> bool:
        return "wrong" in self.verdicts

    @property
    def is_right(self) -> bool:
        return set(self.verdicts) == {"right"}


def joined(ones: Mapping[Unit, One]) -> Judgement:
    """One judgement of all parts.

    Where something is wrong it is as sure as the surest of what is wrong; else all must hold, and
    the least sure decides. A cause is named where all that is not right has that one.
    """
    every: Sequence[One] = list(ones.values())
    place, parts, relation, degree = combine_units([one.verdicts for one in every])
    bad = [one for one in every if one.is_wrong]
    if bad and "wrong" in (place, parts, relation, degree):
        confidence = max(one.confidence for one in bad)
    else:
        confidence = min((one.confidence for one in every), default=0.0)
    causes = {one.cause for one in every if not one.is_right}
    return Judgement(
        place=place,
        parts=parts,
        relation=relation,
        degree=degree,
        confidence=confidence,
        judged=True,
        evidence=tuple(e for one in every if not one.is_wrong for e in one.evidence),
        contrary=tuple(e for one in every if not one.is_right for e in one.contrary),
        says=tuple(s for one in every for s in one.says),
        notes=tuple(n for one in every if one.is_right for n in one.notes),
        truth=tuple(t for one in every for t in one.truth),
        cause=causes.pop() if len(causes) == 1 else None,
    )
