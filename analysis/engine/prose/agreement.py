"""Whether two readings of a sentence say the same, so that neither stands alone where they differ."""

from __future__ import annotations

from typing import Any

from analysis.engine import names
from analysis.engine.claims.fields import PartName
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.prose.phrase import JSON
from analysis.engine.prose.sentence import Sentence

_PARTS = frozenset(
    {"parts", "with", "upper", "lower", "from", "to", "side", "predominant", "added", "left"}
)
#: What a field says where nothing is said.
_USUAL = {"coverage": "full", "direction": True}
_WORDS = {
    "parts": "who",
    "with": "with whom",
    "octaves": "how far apart",
    "bars": "where",
    "by": "by what",
}


def differing(one: JSON, other: JSON, s: Sentence) -> list[str]:
    """The fields in which two claims differ, in words; none where they say the same."""
    a, b = _plain(one, s), _plain(other, s)
    if a.get("kind") != b.get("kind"):
        return ["kind"]
    return [_WORDS.get(key, key) for key in (a | b) if a.get(key) != b.get(key)]


def _plain(claim: JSON, s: Sentence) -> JSON:
    said: JSON = {
        key: _who(value, s) if key in _PARTS else repr(value)
        for key, value in claim.items()
        if value not in (None, [], ()) and value != _USUAL.get(key)
    }
    if claim["kind"] == "parallel" or claim.get("direction") is False:
        said["parts"] = said.get("parts", frozenset()) | said.pop(
            "with", frozenset()
        )  # neither leads
    return said


def _who(value: Any, s: Sentence) -> frozenset[object]:
    found: set[object] = set()
    for name in [value] if isinstance(value, str) else value:
        try:
            found |= set(names.resolve(PartName(name), s.table, s.movement).units)
        except ClaimNotUnderstood:
            found.add(name)
    return frozenset(found)
