"""The tutor's word on computed facts, by value, and how it wins."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

from analysis.engine.model import Finding, ScoreTable, Sentence
from analysis.engine.sentences import register

register(
    {
        "claim.overruled": "Your tutor reads it so: {reason}",
        "claim.overruled.plain": "Your tutor reads it so.",
    }
)


@dataclass(frozen=True, slots=True)
class Overruling:
    """One word of the tutor.

    Attributes
    ----------
    kind : str
    first, last : int
        Bar indices, inclusive.
    lines : tuple of int
        Lines it speaks of; () for facts that name none (keys).
    says : {"absent", "other", "added"}
    value : mapping or None
        The tutor's own fact, a claim without id ("other", "added").
    overruled : mapping or None
        Value of the finding it speaks of; None: whatever is there.
    """

    kind: str
    first: int
    last: int
    lines: tuple[int, ...]
    says: Literal["absent", "other", "added"] | str
    value: Mapping[str, Any] | None = None
    overruled: Mapping[str, Any] | None = None
    reason: str = ""
    by: str = ""

    @property
    def sentence(self) -> Sentence:
        if self.reason:
            return Sentence("claim.overruled", {"reason": self.reason})
        return Sentence("claim.overruled.plain")

    def speaks_of(self, kind: str, lines: Iterable[int]) -> bool:
        """Whether it covers that kind and those lines."""
        return self.kind == kind and set(lines) <= set(self.lines)

    def covers(self, bar: int) -> bool:
        return self.first <= bar <= self.last


#: Fields that tell two facts of the same lines apart.
_TELLING = ("octaves", "coverage", "mode", "role", "key", "how", "interval", "extreme", "within")


def effective(
    findings: Iterable[Finding], overrulings: Sequence[Overruling], table: ScoreTable
) -> list[Finding]:
    """Findings with the tutor's word applied; pure, and applying it twice changes nothing.

    A finding that an overruling covers in kind and lines loses the bars it
    covers (what remains on either side stays); the tutor's own value stands
    there with confidence 1.
    """
    kept: list[Finding] = []
    for finding in findings:
        pieces = [finding]
        for word in overrulings:
            if _is_of(word, finding):
                pieces = [rest for piece in pieces for rest in _without(piece, word, table)]
        kept += pieces
    kept += [f for word in overrulings if (f := as_finding(word, table)) and f not in kept]
    return sorted(kept, key=lambda f: (f.movement, f.first, f.last, f.kind, f.lines))


def _is_of(word: Overruling, finding: Finding) -> bool:
    if word.kind != finding.kind or word.last < finding.first or word.first > finding.last:
        return False
    if set(word.lines) != set(finding.lines) and not set(finding.lines) <= set(word.lines):
        return False
    if word.says == "added":
        return False
    if word.overruled is None:
        return True
    return all(
        word.overruled.get(k) == finding.value.get(k) for k in _TELLING if k in word.overruled
    )


def _without(finding: Finding, word: Overruling, table: ScoreTable) -> list[Finding]:
    """What is left of a finding outside the overruled bars."""
    if finding.last < word.first or finding.first > word.last:
        return [finding]
    left = []
    if finding.first < word.first:
        end = table.bars[word.first].start
        left.append(replace(finding, last=word.first - 1, end=min(finding.end, end)))
    if finding.last > word.last:
        start = table.bars[word.last].end
        left.append(replace(finding, first=word.last + 1, start=max(finding.start, start)))
    return left


def as_finding(word: Overruling, table: ScoreTable) -> Finding | None:
    """The tutor's own fact as a finding of confidence 1; None if it only denies."""
    if word.says == "absent" or word.value is None:
        return None
    bars = table.bars
    return Finding(
        kind=word.kind,
        movement=bars[word.first].movement,
        first=word.first,
        last=word.last,
        start=bars[word.first].start,
        end=bars[word.last].end,
        lines=tuple(word.lines),
        value={"kind": word.kind, **word.value},
        confidence=1.0,
        evidence=(),
        sentence=word.sentence,
    )
