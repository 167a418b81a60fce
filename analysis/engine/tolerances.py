"""Which of the engine's thresholds a tutor sets for an assignment, in which bounds.

Only those that a statement is held against when it is answered, so that another value needs no
new reading. Words are English first and rendered late, like all sentences of the engine.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from analysis.engine.settings import Settings

Unit = Literal["percent", "bars", "notes", "statements", "choice"]

WHOLE = "“{title}” takes a whole number, not {value}."
RANGE = "“{title}” lies between {least} and {most}, not at {value}."


@dataclass(frozen=True, slots=True)
class Tolerance:
    """One threshold: its name in `Settings`, its words, its bounds (shares as 0..1)."""

    name: str
    topic: str
    title: str
    says: str
    unit: Unit
    least: float
    most: float
    choices: tuple[str, ...] = ()  # words for 0, 1, ...; they are chosen, not typed

    @property
    def default(self) -> float:
        return float(getattr(Settings(), self.name))

    @property
    def whole(self) -> bool:
        return self.unit in ("notes", "statements", "choice") or isinstance(
            getattr(Settings(), self.name), int
        )

    def shown(self, value: float) -> float:
        """As one types it: shares in percent."""
        return round(100 * value, 4) if self.unit == "percent" else value

    def stored(self, typed: float) -> float | int:
        """From what was typed to what `Settings` takes."""
        if self.unit == "percent":
            return round(typed / 100, 6)
        return int(typed) if self.whole and typed == int(typed) else typed


# Shares of runs end below 1: a run is looked for where it is better than its share, and nothing is
# better than all.
PLACE, FLAG, DOUBLING, OTHER = "Place", "When to say nothing", "Doublings", "Other facts"

TOLERANCES: tuple[Tolerance, ...] = (
    Tolerance(
        "bar_offset", PLACE, "Bars off that are still nearly right",
        "A statement that fits so many bars earlier or later is flagged “partly”; 0: it is not "
        "looked for elsewhere.",
        "bars", 0, 2,
    ),
    Tolerance(
        "near_share", PLACE, "Share of the named bars that must be right to be nearly right",
        "Fewer true bars than that, and the place counts as wrong.",
        "percent", 0.25, 0.9,
    ),
    Tolerance(
        "occurrence_bars", PLACE, "Longest passage in which one event may be found",
        "A crossing or an arrival somewhere in more bars than that is “partly”: say more "
        "closely where.",
        "bars", 1, 32,
    ),
    Tolerance(
        "octaves_near", DOUBLING, "The right lines at another number of octaves",
        "One octave said where it is two: nearly right, or wrong. A bass taken at written pitch "
        "stays nearly right.",
        "choice", 0, 1, ("wrong: “conflicts”", "nearly right: “partly”"),
    ),
    Tolerance(
        "doubling_noted", DOUBLING, "A doubling is full from this share of notes met",
        "Counted in both lines; below it a doubling said to be full is “partly”.",
        "percent", 0.5, 0.98,
    ),
    Tolerance(
        "doubling_full", DOUBLING, "A doubling is full without a remark from",
        "Between the two the flag is “agrees”, with a note that some notes are not met.",
        "percent", 0.5, 0.98,
    ),
    Tolerance(
        "doubling_partial", DOUBLING, "A doubling is partial from",
        "Below it only some notes are reinforced, and it is no doubling.",
        "percent", 0.15, 0.7,
    ),
    Tolerance(
        "doubling_contact", DOUBLING, "Share of notes met below which two lines only meet",
        "“They double” on such a place conflicts: they only touch.",
        "percent", 0.02, 0.4,
    ),
    Tolerance(
        "doubling_min_met", DOUBLING, "Notes that must be met, at least",
        "Fewer shared notes never make a doubling.",
        "notes", 2, 8,
    ),
    Tolerance(
        "parallel_full", OTHER, "Thirds, sixths, tenths: share of attacks at that distance",
        "From it on two lines go in parallel; a little below is “partly”.",
        "percent", 0.65, 0.98,
    ),
    Tolerance(
        "tutti_share", OTHER, "Tutti: share of the lines that must sound",
        "Every family has to sound besides; natural brass without a note of the chord is excused.",
        "percent", 0.5, 1,
    ),
    Tolerance(
        "sequence_statements", OTHER, "Sequence: times the model must be heard",
        "One fewer is “partly”.",
        "statements", 2, 4,
    ),
    Tolerance(
        "pedal_min_bars", OTHER, "Pedal: shortest length",
        "A held note that is shorter is “partly” a pedal.",
        "bars", 1, 8,
    ),
    Tolerance(
        "min_confidence", FLAG, "Least confidence for any flag",
        "A reading that is less sure than that goes to your ear. Higher: more statements for you, "
        "fewer wrong flags.",
        "percent", 0.5, 0.99,
    ),
    Tolerance(
        "role_confidence", FLAG, "Least confidence for a flag on a role",
        "Instead of the one above, for statements about what a part does.",
        "percent", 0.3, 0.99,
    ),
    Tolerance(
        "key_confidence", FLAG, "Least confidence for a flag on the key of a passage",
        "The same for statements that a passage is in a key; arrivals have the general one.",
        "percent", 0.3, 0.99,
    ),
    Tolerance(
        "conflict_confidence", FLAG, "Confidence for “conflicts” on a judgement",
        "Roles, keys and the like are judged, not counted; below it they never conflict and go "
        "to your ear.",
        "percent", 0.7, 0.99,
    ),
)  # fmt: skip
BY_NAME = {t.name: t for t in TOLERANCES}

#: Of each pair the first must not be above the second.
_ORDER = (
    ("doubling_contact", "doubling_partial"),
    ("doubling_partial", "doubling_noted"),
    ("doubling_noted", "doubling_full"),
)
ORDER = "“{lower}” cannot be above “{upper}”."


def problems(settings: Mapping[str, Any]) -> list[tuple[str, dict[str, Any]]]:
    """What is wrong with the tutor's values: (sentence, its parameters); usually nothing.

    Names that are no tolerance are left to `Settings.from_dict`.
    """
    found: list[tuple[str, dict[str, Any]]] = []
    values = {t.name: settings.get(t.name, t.default) for t in TOLERANCES}
    for t in TOLERANCES:
        value = values[t.name]
        if isinstance(value, bool) or not isinstance(value, int | float):
            continue
        told = {"title": t.title, "value": _number(t.shown(value))}
        if t.whole and value != int(value):
            found.append((WHOLE, told))
        elif not t.least <= value <= t.most:
            bounds = {"least": _number(t.shown(t.least)), "most": _number(t.shown(t.most))}
            found.append((RANGE, {**told, **bounds}))
    for lower, upper in _ORDER:
        if (
            _is_number(values[lower])
            and _is_number(values[upper])
            and values[lower] > values[upper]
        ):
            titles = {"lower": BY_NAME[lower].title, "upper": BY_NAME[upper].title}
            found.append((ORDER, titles))
    return found


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _number(value: float) -> str:
    return f"{value:g}"
