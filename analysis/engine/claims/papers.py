"""What only a whole paper shows: bars counted in another edition."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from analysis.engine.claims import bind, speech
from analysis.engine.claims.base import Bound, Kind, Scene
from analysis.engine.claims.registry import KINDS
from analysis.engine.claims.schema import read_claim
from analysis.engine.claims.verdict import flag_of
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.model import Sentence
from analysis.engine.sentences import register

register(
    {
        "claim.edition": (
            "All of it fits {count} bars {way}: which edition is it? The offset can be noted."
        ),
    }
)

#: Fewest statements of one paper, and the offsets looked for (bars).
LEAST = 3
OFFSETS = tuple(sign * n for n in range(2, 13) for sign in (-1, 1))


@dataclass(frozen=True, slots=True)
class Edition:
    """A student's declared bar numbers.

    From the bar the student calls `start` on (a printed label; "" = from the
    beginning), the student's numbers are `offset` higher than ours.
    """

    offset: int
    start: str = ""


def find_editions(claims: Sequence[Any], scene: Scene) -> dict[int, Sentence]:
    """Claims (by position) of papers whose statements all fit one offset, with the sentence.

    At least three statements of one paper, every one right at the same offset
    of two bars or more, and none right as written.
    """
    papers: dict[Any, list[int]] = defaultdict(list)
    for n, raw in enumerate(claims):
        if isinstance(raw, dict) and isinstance(raw.get("paper"), str | int):
            papers[raw["paper"]].append(n)
    found: dict[int, Sentence] = {}
    for members in papers.values():
        offset = _common_offset([claims[n] for n in members], scene)
        if offset:
            way = "earlier" if offset < 0 else "later"
            said = speech.say("claim.edition", count=speech.number(abs(offset)), way=way)
            found |= dict.fromkeys(members, said)
    return found


def _common_offset(raws: Sequence[Any], scene: Scene) -> int:
    if len(raws) < LEAST:
        return 0
    bounds: list[tuple[Kind, Bound]] = []
    for raw in raws:
        try:
            claim = read_claim(raw)
            kind = KINDS[claim.kind]
            if kind.judge is None or claim.bars is None:
                return 0
            bounds.append((kind, bind.bind(claim, kind, scene.table)))
        except ClaimNotUnderstood:
            return 0
    if any(_right(kind, bound, scene) for kind, bound in bounds):
        return 0
    for offset in OFFSETS:
        moved = [(kind, bound.moved(scene.table, offset)) for kind, bound in bounds]
        if all(b is not None and _right(kind, b, scene) for kind, b in moved):
            return offset
    return 0


def _right(kind: Kind, bound: Bound, scene: Scene) -> bool:
    assert kind.judge is not None
    return flag_of(kind.judge(scene, bound), scene.settings) == "agrees"


def declared(bound: Bound, edition: Edition, scene: Scene) -> Bound | None:
    """The claim with its bars taken in the student's numbers; None where they do not differ."""
    first = bound.bars.first
    if not edition.offset or first < _start(bound, edition, scene):
        return None
    moved = bound.moved(scene.table, -edition.offset)
    return replace(moved) if moved is not None else None


def _start(bound: Bound, edition: Edition, scene: Scene) -> int:
    if not edition.start:
        return bound.movement.first_bar
    movement = bound.movement
    for bar in scene.table.bars[movement.first_bar : movement.last_bar + 1]:
        if bar.label == edition.start:
            return bar.index
    return movement.first_bar
