"""Free words are always the tutor's."""

from __future__ import annotations

from tests.engine.claims.cases import Case
from tests.engine.claims.pieces import doublings

CASES = [Case("taste", "ear", doublings, None, (), {"text": "It sounds like dusk."})]

TYPED: dict[str, str] = {}
CLAIM = {"parts": []}
