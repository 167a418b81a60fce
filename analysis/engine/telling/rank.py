"""Which findings come first: the telling ones.

The rank of an item is a product, so that no side alone decides:

* what it is about, 0 to 10 (`topics.TOPICS`): what a tutor came for before who rests and layout;
* how sure it is, its confidence;
* how long it is in the bars chosen: ``1 + log2(1 + bars) / 4``;
* how many lines it is about: ``1 + log2(1 + lines) / 8``;
* how rare its topic is in the movement: ``1 + 1 / sqrt(findings of the topic)``;
* how rare the very fact is there: 1 less twice the share of the movement's bars in which it holds
  besides (double basses an octave under the cellos are no news), down to `COMMON`;
* and each item of a topic already taken weighs ``AGAIN`` of the one before, so that the first
  dozen speak of several things.

Weights are common practice, without a printed source, set by reading pages of the demo piece and
five open movements.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import log2, sqrt
from typing import TYPE_CHECKING, Any

from analysis.engine.model import Finding, ScoreTable
from analysis.engine.telling.merge import fact
from analysis.engine.telling.topics import topic_of

if TYPE_CHECKING:
    from analysis.engine.telling.tell import Item

AGAIN = 0.75
COMMON = 0.25


@dataclass(frozen=True, slots=True)
class Customs:
    """What is common in a movement: findings of a topic, and bars in which a fact holds."""

    table: ScoreTable
    often: Mapping[str, int]
    share: Mapping[Any, float]

    @classmethod
    def of(cls, table: ScoreTable, findings: Iterable[Finding]) -> Customs:
        often: Counter[str] = Counter()
        share: dict[Any, float] = {}
        for finding in findings:
            often[topic_of(finding).name] += 1
            if key := fact(finding):
                share[key] = share.get(key, 0.0) + _share(table, finding)
        return cls(table, often, share)

    def besides(self, item: Item) -> float:
        """Share of the movement's bars in which the item's fact holds elsewhere."""
        own = sum(_share(self.table, f) for f in item.findings)
        lines = len({f.lines for f in item.findings})
        return max(0.0, self.share.get(fact(item.findings[0]), 0.0) - own / max(lines, 1))


def _share(table: ScoreTable, finding: Finding) -> float:
    movement = table.movements[finding.movement]
    return (finding.last - finding.first + 1) / (movement.last_bar - movement.first_bar + 1)


def weight(item: Item, first: int, last: int, customs: Customs) -> float:
    """Rank of an item by itself among bars `first` to `last`."""
    bars: set[int] = set()
    for a, b in item.places:
        bars.update(range(max(a, first), min(b, last) + 1))
    lines = {line for f in item.findings for line in f.lines}
    return (
        item.topic.telling
        * item.confidence
        * (1 + log2(1 + len(bars)) / 4)
        * (1 + log2(1 + len(lines)) / 8)
        * (1 + 1 / sqrt(max(1, customs.often.get(item.topic.name, 1))))
        * max(COMMON, 1 - 2 * customs.besides(item))
    )


def ranked(
    items: Sequence[Item], first: int, last: int, customs: Customs
) -> list[tuple[float, Item]]:
    """Items with their rank, best first; equal ones by place, lines and sentence."""
    rows = [(weight(item, first, last, customs), item) for item in items]
    rows.sort(key=lambda row: (-row[0], row[1].order))
    taken: dict[str, int] = {}
    weighed = []
    for value, item in rows:
        before = taken.get(item.topic.name, 0)
        taken[item.topic.name] = before + 1
        weighed.append((value * AGAIN**before, item))
    weighed.sort(key=lambda row: (-row[0], row[1].order))
    return weighed
