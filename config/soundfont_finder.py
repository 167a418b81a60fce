"""Static finder for the General MIDI soundfont that ships inside a wheel."""

from __future__ import annotations

from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from django.contrib.staticfiles.finders import BaseFinder
from django.core.files.storage import FileSystemStorage

NAME = "TimGM6mb.sf2"


class SoundfontFinder(BaseFinder):
    """Offers `soundfont/TimGM6mb.sf2` out of the installed package."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        spec = find_spec("pretty_midi")
        root = Path(spec.origin).parent if spec and spec.origin else Path("/nonexistent")
        self.storage = FileSystemStorage(location=str(root))
        self.storage.prefix = "soundfont"  # type: ignore[attr-defined]

    def find(self, path: str, find_all: bool = False, **kwargs: Any) -> Any:
        if path == f"soundfont/{NAME}" and self.storage.exists(NAME):
            found = self.storage.path(NAME)
            return [found] if find_all else found
        return []

    def list(self, ignore_patterns: Any) -> Iterator[tuple[str, Any]]:
        if self.storage.exists(NAME):
            yield NAME, self.storage
