"""Thresholds of the engine: the tutor's to set, with the defaults of the trade.

Defaults are the numbers of the project's contract on when a claim holds;
those marked "common practice" have no printed source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields
from typing import Any

from analysis.engine.errors import EngineError


@dataclass(frozen=True, slots=True)
class Settings:
    """All thresholds by name. Shares are 0..1."""

    doubling_full: float = 0.9  # attacks met / notes of either line
    doubling_noted: float = 0.8  # full, with a note
    doubling_partial: float = 0.3
    doubling_contact: float = 0.1  # below: they only meet
    doubling_min_met: int = 3
    doubling_min_bars: float = 1.0
    parallel_full: float = 0.9
    parallel_near: float = 0.6
    tutti_share: float = 0.8  # of lines, common practice
    near_share: float = 0.5  # true bars of a claimed span
    occurrence_bars: int = 8  # an occurrence must lie within so many claimed bars
    crossing_min_notes: int = 2  # or one beat; common practice
    bar_offset: int = 1  # bars tried as a charitable reading
    octaves_near: int = 1  # another number of octaves is nearly right; 0: it is wrong
    min_confidence: float = 0.7  # below: the tutor's ear
    role_confidence: float = 0.4  # the same for roles; measured, see docs/risk.md
    key_confidence: float = 0.5  # and for regions of a key
    conflict_confidence: float = 0.9  # judged kinds, for "conflicts"
    open_cents_true: float = 15.0
    open_cents_doubtful: float = 60.0
    sequence_statements: int = 3

    chord_held_bars: float = 1.0  # a held chord is told from so many bars on; common practice
    chord_held_lines: int = 4  # and from so many lines; common practice
    pedal_min_bars: float = 2.0  # a pedal lasts at least so long; common practice
    handover_beats: float = 1.0  # gap or overlap of a close handover; trade facts 6.2
    handover_bars: float = 1.0  # and of a loose one; trade facts 6.2
    course_bars: int = 3  # bars with a partner that make a change of partner; common practice
    sides_share: float = 0.65  # of the bars a part plays, to take a side; common practice
    breath_seconds: float = 25.0  # longest sound without a written rest; common practice
    build_up_bars: int = 4  # a build-up lasts at least so long; common practice
    build_up_legs: int = 2  # and so many of forces, loudness, height, rhythm, harmony grow
    return_bars: int = 4  # a passage that comes again has so many bars; common practice

    @classmethod
    def from_dict(cls, values: Mapping[str, Any]) -> Settings:
        """Build from a JSON object; an unknown or ill-typed name is an EngineError."""
        known = {f.name: f.type for f in fields(cls)}
        for name, value in values.items():
            if name not in known:
                raise EngineError(f"There is no setting called {name!r}.")
            if isinstance(value, bool) or not isinstance(value, int | float):
                raise EngineError(f"The setting {name} must be a number, not {value!r}.")
        return cls(**values)

    def as_dict(self) -> dict[str, Any]:
        return asdict(self)
