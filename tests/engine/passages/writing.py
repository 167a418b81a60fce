"""How a passage is written down, and the lines that come again.

Written from the contract ("When a claim holds") and the trade's vocabulary of doublings (trade
facts 5.1, 7.2, 12), not from the analysis. `facts` are the doublings between the two lines named:
"full -1 b. 1-4" = the first lies one octave below the second throughout; "" = none. `claims` are
statements about the passage with the flag they must get, and what cause, sentence or note must
say.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from tests.engine.written import Part


@dataclass(frozen=True)
class Passage:
    name: str
    why: str
    parts: tuple[Part, ...]
    facts: Mapping[tuple[str, str], str] = field(default_factory=dict)
    claims: tuple[tuple[dict[str, Any], str], ...] = ()
    pickup: float = 0
    time: str = "4/4"


TUNE = "G4 q A4 B4 C5 | D5 q C5 B4 A4 | G4 q F#4 E4 D4 | G4 q B4 A4 G4"
THIRD_BELOW = "E4 q F#4 G4 A4 | B4 q A4 G4 F#4 | E4 q D4 C4 B3 | E4 q G4 F#4 E4"
LONG = "C4 w | D4 w | E4 w | C4 w"
QUAVERS = "C3 e E3 D3 F3 E3 G3 F3 D3 | C3 e E3 D3 B2 C3 G2 C3 E3"


def moved(text: str, octaves: int) -> str:
    """The same text so many octaves higher: digits after a letter or sign of a pitch."""
    return "".join(
        str(int(c) + octaves) if c.isdigit() and before in "ABCDEFGb#" else c
        for before, c in zip(" " + text, text, strict=False)
    )


def says(parts: str, other: str, octaves: int | None = None, bars: str = "1 4", **more: Any):
    """A doubling claim: "Fl" with "Vl"; bars "first last"."""
    return {
        "kind": "doubling", "parts": parts.split(", "), "with": other.split(", "),
        "octaves": octaves, "bars": bars.split(), **more,
    }  # fmt: skip


def violin(text: str = TUNE) -> Part:
    return Part("Violino I", text)


def flute(text: str) -> Part:
    return Part("Flauto", text)


FL_VL = ("Flauto", "Violino I")
