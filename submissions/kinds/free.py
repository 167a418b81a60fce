"""Anything else: always the tutor's ear."""

from __future__ import annotations

from typing import Any

from submissions.kinds.base import KindForm


class FreeForm(KindForm):
    """No fields of its own: the words say it."""

    def claim(self) -> dict[str, Any]:
        return {"parts": []}
