"""Open tones of natural horns and trumpets.

A natural brass instrument gives the partials of its tube: partial n lies
1200 * log2(n) cents above the fundamental. 7, 11, 13 and 14 do not fit the
scale and are doubtful. Source of the test rule and of the partials in use:
computed, agreeing with Grove, Dictionary of Music and Musicians, vol. 1
(1879), pp. 749-750; usable partials after Prout, Forsyth and Berlioz, from
memory.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from math import log2
from typing import Literal

from analysis.engine.instruments import crooks
from analysis.engine.instruments.crooks import Crook
from analysis.engine.pitch import midi, parse_note_name

Openness = Literal["open", "doubtful", "not open"]

TRUE_CENTS = 15.0
DOUBTFUL_CENTS = 60.0
# fmt: off
#: Written notes of partials 1..20 as the books print them (C series); partial
#: 13 stands as A5 although A flat is nearer.
WRITTEN = (
    "C2", "C3", "G3", "C4", "E4", "G4", "Bb4", "C5", "D5", "E5", "F#5", "G5", "A5", "Bb5", "B5",
    "C6", "C#6", "D6", "Eb6", "E6",
)
# fmt: on


@dataclass(frozen=True, slots=True)
class Tone:
    """How a sounding pitch stands to a crook. `cents` = partial minus tempered pitch."""

    openness: Openness
    partial: int | None
    cents: float = 0.0


def cents_of(partial: int) -> float:
    """Cents of a partial above the fundamental."""
    return 1200.0 * log2(partial)


def printed(partial: int, crook: Crook) -> int:
    """Sounding MIDI number the books print for a partial of a crook."""
    return midi(WRITTEN[partial - 1]) + crook.semitones


@lru_cache(maxsize=4096)
def tone(
    pitch: int,
    crook: Crook,
    *,
    lowest: int = 2,
    highest: int = 16,
    true_cents: float = TRUE_CENTS,
    doubtful_cents: float = DOUBTFUL_CENTS,
) -> Tone:
    """Is a sounding pitch an open tone of the crook?

    Parameters
    ----------
    pitch : int
        Sounding MIDI number.
    crook : Crook
    lowest, highest : int
        Partials counted: 2..16 on the horn, 3..16 on the trumpet.
    true_cents, doubtful_cents : float
        Within the first a tone is open, within the second doubtful; 60 cents
        lets both written neighbours of partials 11 and 13 count.

    Returns
    -------
    Tone
        "not open" never means impossible on a horn: the hand could help.
    """
    above = 100.0 * (pitch - crooks.fundamental(crook))
    best = min(range(lowest, highest + 1), key=lambda n: abs(cents_of(n) - above))
    off = cents_of(best) - above
    if abs(off) <= true_cents:
        return Tone("open", best, round(off, 1))
    if abs(off) <= doubtful_cents:
        return Tone("doubtful", best, round(off, 1))
    return Tone("not open", None)


@lru_cache(maxsize=256)
def open_tones(instrument: str, crook: Crook, *, doubtful: bool = False) -> frozenset[int]:
    """Sounding MIDI numbers a crook gives: true open ones, or with the doubtful ones."""
    low, high = partial_limits(instrument)
    first = crooks.fundamental(crook)
    allowed = ("open", "doubtful") if doubtful else ("open",)
    return frozenset(
        pitch
        for pitch in range(first, first + 50)
        if tone(pitch, crook, lowest=low, highest=high).openness in allowed
    )


def partial_limits(instrument: str) -> tuple[int, int]:
    """Partials accepted at all: 2..16 on the horn, 3..16 on the trumpet (common practice)."""
    return (3, 16) if instrument == "trumpet" else (2, 16)


def usual_partials(instrument: str, crook: Crook, player: int) -> tuple[int, int]:
    """Partials a first (odd) or second (even) player usually has, inclusive.

    Source: Prout, Forsyth and Berlioz agree in outline, from memory.
    """
    first = player % 2 == 1
    if instrument == "trumpet":
        return (4, 12) if first else (3, 10)
    if crook.semitones <= -12:  # long crooks
        return (4, 16) if first else (3, 12)
    return (4, 12) if first else (2, 10)


def supply(
    tones: Iterable[int], players: Iterable[tuple[str, Crook]]
) -> dict[int, list[tuple[int, Openness]]]:
    """For each pitch class wanted, what each player can give of it.

    Parameters
    ----------
    tones : iterable of int
        Pitch classes 0..11, e.g. those of a chord.
    players : iterable of (instrument key, Crook)

    Returns
    -------
    dict
        Pitch class -> [(index of the player, "open" or "doubtful")], empty
        list where nobody has it.
    """
    known = list(players)
    result: dict[int, list[tuple[int, Openness]]] = {}
    for pc in tones:
        given: list[tuple[int, Openness]] = []
        for index, (instrument, crook) in enumerate(known):
            if any(p % 12 == pc for p in open_tones(instrument, crook)):
                given.append((index, "open"))
            elif any(p % 12 == pc for p in open_tones(instrument, crook, doubtful=True)):
                given.append((index, "doubtful"))
        result[pc] = given
    return result


def is_natural(instrument: str) -> bool:
    """Whether open tones are a question for this instrument at all."""
    return instrument in ("horn", "trumpet")


def crook_named(instrument: str, name: str | None) -> Crook | None:
    """The crook a part reading names; None without one, or for other instruments."""
    if name is None or not is_natural(instrument):
        return None
    if parse_note_name(name.split()[0], "en") is None:
        return None
    return crooks.find(instrument, name)
