"""The shapes of the checker: a bound claim, a judgement, a kind."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any, Literal

from analysis.engine.claims.fields import JSON, Form
from analysis.engine.claims.moving import moved_claim
from analysis.engine.claims.overrules import Overruling
from analysis.engine.claims.schema import Claim
from analysis.engine.model import Evidence, Finding, Movement, ScoreTable, Sentence
from analysis.engine.names import Named, Unit
from analysis.engine.settings import Settings

#: Readings that most kinds share: other bars, the other player.
WHERE = frozenset({"pickup", "ending", "pass", "bar-offset"})
WHERE_AND_WHO = WHERE | {"player"}

Verdict = Literal["right", "near", "wrong", "open"]
Flag = Literal["agrees", "partly", "conflicts", "ear"]


@dataclass(frozen=True)
class Scene:
    """What a claim is held against. `table` may be a variant (a part at written pitch)."""

    table: ScoreTable
    findings: tuple[Finding, ...]  # effective ones: the tutor's word is in them
    settings: Settings
    overrules: tuple[Overruling, ...] = ()
    edition: Any = None  # papers.Edition the student has declared
    trial: bool = False  # a reading is tried: only whether all is right is asked

    def of_kind(self, kind: str, movement: int) -> list[Finding]:
        return [f for f in self.findings if f.kind == kind and f.movement == movement]

    def tutor_on(self, kind: str) -> list[Overruling]:
        return [o for o in self.overrules if o.kind == kind]


@dataclass(frozen=True, slots=True)
class Bars:
    """A claimed span: bar indices, inclusive, and ticks."""

    first: int
    last: int
    start: int
    end: int

    @property
    def indices(self) -> range:
        return range(self.first, self.last + 1)

    def __len__(self) -> int:
        return self.last - self.first + 1


@dataclass(frozen=True)
class Bound:
    """A claim whose parts and bars have been looked up in the score."""

    claim: Claim
    movement: Movement
    bars: Bars
    parts: tuple[Named, ...] = ()
    named: Mapping[str, tuple[Named, ...]] = field(default_factory=dict)  # with, upper, ...
    notes: tuple[Sentence, ...] = ()  # what was taken how ("bar 24 is 24a")

    def __getitem__(self, name: str) -> Any:
        return self.claim.fields[name]

    @cached_property
    def units(self) -> tuple[Unit, ...]:
        return units_of(self.parts)

    def named_units(self, name: str) -> tuple[Unit, ...]:
        return units_of(self.named.get(name, ()))

    @cached_property
    def everyone(self) -> tuple[Named, ...]:
        """Every part the claim names, in whichever field."""
        return (*self.parts, *(n for group in self.named.values() for n in group))

    def moved(self, table: ScoreTable, by: int) -> Bound | None:
        """The claim `by` bars later; None where that leaves the movement."""
        first, last = self.bars.first + by, self.bars.last + by
        if first < self.movement.first_bar or last > self.movement.last_bar:
            return None
        old, new = table.bars[self.bars.first], table.bars[first]
        start = new.start + self.bars.start - old.start
        end = table.bars[last].end + self.bars.end - table.bars[self.bars.last].end
        claim = moved_claim(self.claim, table, self.movement.index, by)
        if claim is None:
            return None
        return replace(self, claim=claim, bars=Bars(first, last, start, max(end, start + 1)))

    def at(self, table: ScoreTable, first: int, last: int) -> Bound:
        bars = Bars(first, last, table.bars[first].start, table.bars[last].end)
        return replace(self, bars=bars)

    def with_fields(self, **changes: Any) -> Bound:
        return replace(self, claim=self.claim.but(**changes))


def units_of(names: Sequence[Named]) -> tuple[Unit, ...]:
    return tuple(dict.fromkeys(unit for name in names for unit in name.units))


@dataclass(frozen=True)
class Judgement:
    """What a rule says of a claim as it stands.

    Attributes
    ----------
    evidence, contrary
        Notes or rests that show the fact, and those that speak against the claim.
    says
        Sentences about what is there; `sentence` puts the flag's word before them.
    truth
        Candidate claims that would be right, best first, without id.
    judged
        The fact is a judgement (a role, a key), not a count.
    least
        The name of the setting below which the tutor's ear is asked.
    """

    place: Verdict = "right"
    parts: Verdict = "right"
    relation: Verdict = "right"
    degree: Verdict = "right"
    confidence: float = 1.0
    judged: bool = False
    least: str = "min_confidence"
    evidence: tuple[Evidence, ...] = ()
    contrary: tuple[Evidence, ...] = ()
    says: tuple[Sentence, ...] = ()
    notes: tuple[Sentence, ...] = ()
    truth: tuple[JSON, ...] = ()
    cause: str | None = None
    hits: int = 0  # of a denied claim: bars in which what is denied is so
    exception: tuple[int, int] | None = None  # of a denied claim: bars of the counter-example

    def is_sure(self, settings: Settings) -> bool:
        """Whether the confidence is enough for any flag."""
        return bool(self.confidence >= getattr(settings, self.least))

    @property
    def verdicts(self) -> tuple[Verdict, Verdict, Verdict, Verdict]:
        return (self.place, self.parts, self.relation, self.degree)

    @property
    def all_right(self) -> bool:
        return all(v == "right" for v in self.verdicts)

    @property
    def any_wrong(self) -> bool:
        return "wrong" in self.verdicts

    def but(self, **changes: Any) -> Judgement:
        return replace(self, **changes)


Rule = Callable[[Scene, Bound], Judgement]


def no_check(claim: Claim) -> None:
    """Most kinds need no check beyond their fields."""


@dataclass(frozen=True)
class Kind:
    """One kind of statement: its fields, its rule, and what touches it."""

    name: str
    says: str
    form: Form
    judge: Rule | None = None  # None: free words, always the tutor's
    check: Callable[[Claim], None] = no_check
    part_fields: tuple[str, ...] = ()  # fields that hold PARTs, besides parts
    pitched: bool = True  # doubts about pitch touch it; pitch readings are tried
    readings: frozenset[str] = WHERE_AND_WHO
