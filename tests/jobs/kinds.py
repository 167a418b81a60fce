"""Job kinds made for the tests."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from analysis.jobs import registry


@contextmanager
def kind(name: str, function: Any, **more: Any) -> Iterator[str]:
    registry.register(name, function, **more)
    try:
        yield name
    finally:
        registry.unregister(name)
