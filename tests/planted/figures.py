"""From answers to figures: who was flagged how, and how often that was right."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from tests.planted.reading import FLAGS, TRUTHS, Planted

#: precision the project asks for, of the flags that decide
FLOOR = 0.95


@dataclass(frozen=True)
class Figures:
    """Of one kind."""

    kind: str
    counts: Counter[tuple[str, str]]  # (truth, flag)
    expected: int  # flags that are among the expected ones
    decided: int  # agrees and conflicts
    right: int  # of these: a true one agrees, a false one conflicts, a doubtful one as expected
    causes: tuple[int, int]  # named rightly, of those that were to be named
    misses: Sequence[tuple[Planted, dict[str, Any]]] = field(default=())

    @property
    def total(self) -> int:
        return sum(self.counts.values())

    @property
    def precision(self) -> float:
        """Of "agrees" and "conflicts" together; 1 if nothing was decided."""
        return self.right / self.decided if self.decided else 1.0

    @property
    def ear(self) -> float:
        """Share of all statements left to the tutor's ear."""
        return self.of("ear") / self.total if self.total else 0.0

    def of(self, flag: str, truth: str | None = None) -> int:
        return sum(n for (t, f), n in self.counts.items() if f == flag and truth in (None, t))

    def size(self, truth: str) -> int:
        return sum(n for (t, _), n in self.counts.items() if t == truth)


def figures(kind: str, found: Iterable[tuple[Planted, dict[str, Any]]]) -> Figures:
    counts: Counter[tuple[str, str]] = Counter()
    expected = decided = right = named = wanted = 0
    misses = []
    for planted, answer in found:
        flag = answer["flag"]
        counts[planted.truth, flag] += 1
        hit = flag in planted.expected
        expected += hit
        if planted.cause is not None:
            wanted += 1
            named += answer["cause"] == planted.cause
        if flag in ("agrees", "conflicts"):
            decided += 1
            right += _is_right(planted, flag)
        if not hit or (planted.cause is not None and answer["cause"] != planted.cause):
            misses.append((planted, answer))
    return Figures(kind, counts, expected, decided, right, (named, wanted), misses)


def _is_right(planted: Planted, flag: str) -> bool:
    if planted.truth == "doubtful":
        return flag in planted.expected
    return (flag == "agrees") is (planted.truth == "true")


def table_of(found: Sequence[Figures]) -> str:
    """One line a kind, in words and columns."""
    head = f"{'kind':<14}{'true':>6}{'false':>6}{'doubt':>6}{'precision':>11}{'decided':>9}"
    head += (
        f"{'ear':>6}{'as expected':>13}{'true: conflicts':>17}{'false: agrees':>15}{'causes':>9}"
    )
    lines = [head]
    for f in found:
        sizes = "".join(f"{f.size(t):>6}" for t in TRUTHS)
        lines.append(
            f"{f.kind:<14}{sizes}{f.precision:>11.3f}{f.decided:>9}{f.ear:>6.2f}"
            f"{f.expected / max(f.total, 1):>13.3f}{f.of('conflicts', 'true'):>17}"
            f"{f.of('agrees', 'false'):>15}{f'{f.causes[0]}/{f.causes[1]}':>9}"
        )
    return "\n".join(lines)


def matrix(found: Figures) -> str:
    """Confusion matrix of one kind: what was planted, against the flag."""
    lines = [f"{found.kind}: {'':<10}" + "".join(f"{flag:>11}" for flag in FLAGS)]
    for truth in TRUTHS:
        row = "".join(f"{found.counts[truth, flag]:>11}" for flag in FLAGS)
        lines.append(f"{'':<{len(found.kind) + 2}}{truth:<10}{row}")
    return "\n".join(lines)
