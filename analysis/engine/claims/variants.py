"""A claim as it may have been meant: what a reading offers to be judged."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from analysis.engine.claims.base import Bound, Rule, Scene
from analysis.engine.model import Sentence


@dataclass(frozen=True)
class Variant:
    """A claim and a scene to hold it against, by a rule, and the words for it."""

    bound: Bound
    scene: Scene
    rule: Rule | None = None  # None: the kind's own
    say: tuple[Sentence, ...] = ()


Make = Callable[[Bound, Scene], Iterator[Variant]]
