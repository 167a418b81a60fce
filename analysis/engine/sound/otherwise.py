"""The same bars, otherwise: without one part, or with it an octave away. An experiment."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal, get_args

from analysis.engine.errors import EngineError
from analysis.engine.sound.performance import Performance

How = Literal["without", "higher", "lower"]
HOWS: tuple[How, ...] = get_args(How)


def otherwise(performance: Performance, part: int, how: How) -> Performance:
    """Change one part of a performance and leave all others as they are.

    Parameters
    ----------
    part : int
        Index of the part.
    how : {"without", "higher", "lower"}
        Left out, or 12 semitones away; what an octave leads out of the range of pitches is left
        out.

    Raises
    ------
    EngineError
        If nothing of the part sounds here, or it is a drum's and has no octave.
    """
    own = {place for place, voice in enumerate(performance.voices) if voice.part == part}
    mine = [stroke for stroke in performance.strokes if stroke.voice in own]
    if not mine:
        raise EngineError("This part is silent in these bars; choose another part, or other bars.")
    others = [stroke for stroke in performance.strokes if stroke.voice not in own]
    if how == "without":
        return replace(performance, strokes=tuple(others))
    if any(performance.voices[place].drums for place in own):
        raise EngineError("This part has no octave; leave it out instead.")
    by = 12 if how == "higher" else -12
    moved = [replace(s, pitch=s.pitch + by) for s in mine if 0 <= s.pitch + by <= 127]
    strokes = sorted([*others, *moved], key=lambda s: (s.on, s.voice, s.pitch))
    return replace(performance, strokes=tuple(strokes))
