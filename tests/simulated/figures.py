"""From answers to figures: expected against given flags, and what may not happen."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

from tests.simulated.drawing import Case

FLAGS = ("agrees", "partly", "conflicts", "ear")
#: what the project asks for of the exact kinds
MATCH, FALSE_AGREES, EAR, CAUSE = 0.98, 0.005, 0.01, 0.95


@dataclass
class Miss:
    """A claim that was not flagged, or not explained, as expected."""

    piece: str
    case: Case
    flag: str
    cause: str | None
    sentence: str


@dataclass
class Figures:
    counts: Counter[tuple[str, str, str]] = field(default_factory=Counter)  # kind, expected, flag
    causes: Counter[tuple[str, str]] = field(default_factory=Counter)  # expected cause, given
    sorts: Counter[tuple[str, str]] = field(default_factory=Counter)
    undecided: Counter[str] = field(default_factory=Counter)
    hard: int = 0
    negated: int = 0
    misses: list[Miss] = field(default_factory=list)

    def add(self, piece: str, case: Case, answer: dict[str, object]) -> None:
        flag, cause = str(answer["flag"]), answer["cause"]
        self.counts[case.kind, case.expected.flag, flag] += 1
        self.sorts[case.kind, case.sort] += 1
        self.hard += case.hard
        self.negated += bool(case.claim.get("negated"))
        ok = flag == case.expected.flag
        if case.expected.named:
            wanted = " or ".join(sorted(str(c) for c in case.expected.causes))
            right = cause in case.expected.causes
            self.causes[wanted, wanted if right else str(cause)] += 1
            ok &= right
        if not ok:
            told = str(cause) if cause else None
            self.misses.append(Miss(piece, case, flag, told, str(answer["sentence"])))

    # -- sums ---------------------------------------------------------------

    def total(
        self, kind: str | None = None, expected: str | None = None, flag: str | None = None
    ) -> int:
        return sum(
            n for (k, e, f), n in self.counts.items()
            if kind in (None, k) and expected in (None, e) and flag in (None, f)
        )  # fmt: skip

    def matched(self, kind: str | None = None) -> float:
        hits = sum(self.total(kind, flag, flag) for flag in FLAGS)
        return hits / max(self.total(kind), 1)

    @property
    def true_conflicts(self) -> int:
        return self.total(expected="agrees", flag="conflicts")

    @property
    def false_agrees(self) -> float:
        return self.total(expected="conflicts", flag="agrees") / max(
            self.total(expected="conflicts"), 1
        )

    @property
    def unexpected_ear(self) -> float:
        wrong = self.total(flag="ear") - self.total(expected="ear", flag="ear")
        return wrong / max(self.total(), 1)

    @property
    def causes_right(self) -> float:
        return sum(n for (a, b), n in self.causes.items() if a == b) / max(
            sum(self.causes.values()), 1
        )

    def failures(self) -> list[str]:
        """The limits that are not met, in words."""
        found = []
        if self.true_conflicts:
            found.append(f"{self.true_conflicts} true claims were called “conflicts”.")
        if self.matched() < MATCH:
            found.append(f"Only {self.matched():.4f} of the flags match.")
        if self.false_agrees > FALSE_AGREES:
            found.append(f"{self.false_agrees:.4f} of the false claims were called “agrees”.")
        if self.unexpected_ear > EAR:
            found.append(f"{self.unexpected_ear:.4f} of the claims went to the ear unexpectedly.")
        if self.causes_right < CAUSE:
            found.append(f"Only {self.causes_right:.4f} of the causes are right.")
        return found


def kinds_of(figures: Figures) -> list[str]:
    return list(dict.fromkeys(k for k, _, _ in figures.counts))


def matrix(figures: Figures, kind: str | None = None) -> list[list[str]]:
    """Rows of a table: expected flag against the four given."""
    rows = []
    for expected in FLAGS:
        if figures.total(kind, expected):
            given = [figures.total(kind, expected, flag) for flag in FLAGS]
            rows.append([expected, *(str(n) for n in given)])
    return rows


def lines(figures: Figures) -> Iterable[str]:
    """For the screen."""
    yield f"{'kind':<12}{'claims':>8}{'match':>8}{'undecided draws':>17}"
    for kind in kinds_of(figures):
        yield (
            f"{kind:<12}{figures.total(kind):>8}{figures.matched(kind):>8.4f}"
            f"{figures.undecided[kind]:>17}"
        )
        for expected, *given in matrix(figures, kind):
            told = "  ".join(f"{f} {n}" for f, n in zip(FLAGS, given, strict=True) if n != "0")
            yield f"  expected {expected:<10} {told}"
    total = figures.total()
    yield f"claims {total}, hard {figures.hard / max(total, 1):.3f}, negated {figures.negated}"
    yield f"flags that match {figures.matched():.4f}"
    yield f"true called “conflicts” {figures.true_conflicts} of {figures.total(expected='agrees')}"
    false = figures.total(expected="conflicts")
    yield f"false called “agrees” {figures.false_agrees:.4f} of {false}"
    yield f"unexpected “ear” {figures.unexpected_ear:.4f}"
    yield f"causes right {figures.causes_right:.4f} of {sum(figures.causes.values())}"
    for (wanted, given), n in sorted(figures.causes.items()):
        yield f"  {wanted:<40} {given:<20} {n}"
