"""What a drawn kind is made of."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass

from tests.simulated.expecting import Rule
from tests.simulated.judging import Asked
from tests.simulated.music import Music

Make = Callable[[], "Asked | None"]
Sort = tuple[str, bool, Make]


@dataclass(frozen=True)
class DrawnKind:
    rule: Rule
    sorts: Callable[[Music, random.Random], list[Sort]]


def span(rng: random.Random, music: Music, most: int = 8) -> tuple[int, int]:
    """Some bars, by chance."""
    length = rng.randint(1, min(most, music.bars))
    first = rng.randrange(music.bars - length + 1)
    return first, first + length - 1


def within(rng: random.Random, first: int, last: int, most: int = 8) -> tuple[int, int]:
    """Some of these bars."""
    length = rng.randint(1, min(most, last - first + 1))
    start = rng.randint(first, last - length + 1)
    return start, start + length - 1
