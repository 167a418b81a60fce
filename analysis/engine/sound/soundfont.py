"""Where the General MIDI soundfont lies: inside an installed wheel, never in the repository."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

NAME = "TimGM6mb.sf2"


def soundfont_path() -> Path | None:
    """The soundfont that pretty_midi carries (GPL-2, 6 MB); None if it is not installed."""
    spec = find_spec("pretty_midi")
    if spec is None or spec.origin is None:
        return None
    path = Path(spec.origin).parent / NAME
    return path if path.is_file() else None
