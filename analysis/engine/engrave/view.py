"""What is to be seen: parts, pitch, bars, and the sheet it stands on."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from typing import Any, Literal

from analysis.engine.errors import EngineError
from analysis.engine.model import PartReading

#: Raised whenever the same view would be drawn differently: kept pages are then made anew.
ENGRAVING_VERSION = 4


_YOUNGER = {"hide_resting": False, "staves": "printed", "rests": "bars"}


@dataclass(frozen=True, slots=True)
class View:
    """One way to look at a score. Lengths in millimetres, as on paper.

    Attributes
    ----------
    parts : tuple of int
        Part indices in score order; () shows all.
    pitch : {"written", "sounding"}
        Sounding pitch comes from the confirmed readings of the parts.
    bars : (int, int) or None
        First and last bar index, inclusive; None shows the whole file.
    layout : {"pages", "strip"}
        A strip is one endless system, as wide as its music.
    breaks : {"auto", "encoded"}
        Where lines end: as the width allows, or as in the file.
    staff : float
        Height of a five-line staff.
    width, height : int
        The sheet; a page ends where its last system ends.
    hide_resting : bool
        Leave out parts that rest in all of the bars.
    staves : {"printed", "players", "pairs", "low"}
        Each player of a shared staff on a staff of its own; two single players of an instrument
        on one staff; cellos and basses of a shared staff apart.
    rests : {"bars", "counted"}
        Counted: bars in which all that is shown rests are one rest with their number, as in a
        player's part, and tempo and letters of the parts not shown are set in.
    """

    parts: tuple[int, ...] = ()
    pitch: Literal["written", "sounding"] = "written"
    bars: tuple[int, int] | None = None
    layout: Literal["pages", "strip"] = "pages"
    breaks: Literal["auto", "encoded"] = "auto"
    staff: float = 4.5
    width: int = 210
    height: int = 297
    hide_resting: bool = False
    staves: Literal["printed", "players", "pairs", "low"] = "printed"
    rests: Literal["bars", "counted"] = "bars"

    def __post_init__(self) -> None:
        if list(self.parts) != sorted(set(self.parts)) or any(p < 0 for p in self.parts):
            raise EngineError("The parts of a view must be given once each, in score order.")
        if self.bars is not None and not 0 <= self.bars[0] <= self.bars[1]:
            raise EngineError("The last bar of a view lies before its first.")
        if self.pitch not in ("written", "sounding"):
            raise EngineError("A view shows written or sounding pitch.")
        if self.layout not in ("pages", "strip") or self.breaks not in ("auto", "encoded"):
            raise EngineError("There is no such layout of a page.")
        if self.staves not in ("printed", "players", "pairs", "low"):
            raise EngineError("There is no such choice of staves.")
        if self.staves != "printed" and self.rests == "counted":
            raise EngineError("Rests are counted on staves as printed.")
        if self.rests not in ("bars", "counted"):
            raise EngineError("Rests are shown bar by bar or counted.")
        if self.rests == "counted" and self.layout == "strip":
            raise EngineError("One endless line shows every bar; rests are counted on pages.")
        if not (3 <= self.staff <= 12 and 60 <= self.width <= 1000 and 60 <= self.height <= 1000):
            raise EngineError("A staff has 3 to 12 mm, a sheet 60 to 1000 mm.")

    @classmethod
    def from_dict(cls, values: Mapping[str, Any]) -> View:
        """Build from a JSON object; EngineError on anything that does not fit."""
        known = set(cls.__dataclass_fields__)
        if not set(values) <= known:
            raise EngineError(f"A view has no {', '.join(sorted(set(values) - known))}.")
        given = dict(values)
        try:
            given["parts"] = tuple(int(p) for p in given.get("parts") or ())
            if given.get("bars") is not None:
                first, last = given["bars"]
                given["bars"] = (int(first), int(last))
            if "staff" in given:
                given["staff"] = float(given["staff"])
            given["hide_resting"] = bool(given.get("hide_resting", False))
            for name in {"width", "height"} & set(given):
                given[name] = int(given[name])
        except (TypeError, ValueError):
            raise EngineError("A view's parts, bars and lengths must be numbers.") from None
        return cls(**given)

    def as_dict(self) -> dict[str, Any]:
        """As JSON; what is younger than kept pages is left out at its default: their keys hold."""
        values = asdict(self)
        for name, default in _YOUNGER.items():
            if values[name] == default:
                del values[name]
        return values

    def key(self, readings: Iterable[PartReading] = ()) -> str:
        """A stable key of what this view shows: equal keys, equal pages.

        Readings matter only where pitch is sounding or staves are made out of players.
        """
        return _digest(["view", self.as_dict(), self._pitches(readings)])

    def source_key(self, readings: Iterable[PartReading] = ()) -> str:
        """A stable key of the engraver's own copy: parts, pitch and bars, not the sheet."""
        bars = list(self.bars) if self.bars is not None else None
        shown = list(self.parts)
        source = [shown, self.pitch, bars, self._pitches(readings)]
        more = ["playing"] if self.hide_resting else []
        more += [self.staves] if self.staves != "printed" else []
        more += ["counted"] if self.rests == "counted" else []
        return _digest(["source", *source, *more])

    def _pitches(self, readings: Iterable[PartReading]) -> list[list[Any]]:
        if self.staves != "printed":
            return sorted(
                [r.index, r.from_bar, r.transposition, r.diatonic, r.octave_switch,
                 r.old_bass_clef, r.instrument, r.crook or "", r.label, list(r.players)]
                for r in readings
            )  # fmt: skip
        if self.pitch == "written":
            return []
        return sorted(
            [r.index, r.from_bar, r.transposition, r.diatonic, r.octave_switch, r.old_bass_clef]
            for r in readings
            if not self.parts or r.index in self.parts
        )


def _digest(value: Any) -> str:
    text = json.dumps([ENGRAVING_VERSION, value], sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()[:32]
