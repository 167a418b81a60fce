"""All short passages, by what they are about."""

from __future__ import annotations

from tests.engine.passages import attacks, distance, fullness, players
from tests.engine.passages.writing import Passage

PASSAGES: tuple[Passage, ...] = (
    *distance.PASSAGES,
    *players.PASSAGES,
    *attacks.PASSAGES,
    *fullness.PASSAGES,
)
