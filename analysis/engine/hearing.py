"""Who can be heard alone, or left out, by what the reading says of some bars.

A choice is a set of notes: all that a line plays while it has a role, or while it goes with
another. What belongs to a layer (`layering.LAYERS`) is told only with that layer.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from analysis.engine.claims.speech import line_names
from analysis.engine.layering import GROUPS
from analysis.engine.model import Finding, ScoreTable, Sentence
from analysis.engine.sentences import register

register(
    {
        "hear.melody": "the melody",
        "hear.melody-alone": "the melody without its octaves",
        "hear.melody-out": "the melody, but with its octaves",
        "hear.role": "{role}",
        "hear.doubling": "{names}, who go together",
        "hear.together": "all who double somebody",
    }
)

#: most groups that are offered one by one; the longest first
MOST_GROUPS = 8

Stretch = tuple[int, int, int]  # line, first tick, last tick (exclusive)


@dataclass(frozen=True, slots=True)
class Choice:
    """Notes that can be heard alone or left out.

    Attributes
    ----------
    key : str
        Names it in an address; the same for the same findings and bars.
    says : Sentence
        As it is said after "only", and after "without" where `out` is not given.
    rows : frozenset of int
        Rows of `ScoreTable.notes`.
    out : Sentence, optional
        As it is said after "without".
    """

    key: str
    says: Sentence
    rows: frozenset[int]
    out: Sentence | None = None


def choices(
    table: ScoreTable, findings: Iterable[Finding], layers: Collection[str], first: int, last: int
) -> list[Choice]:
    """What may be chosen in bars `first` to `last`, with the layers allowed.

    Parameters
    ----------
    table : ScoreTable
    findings : iterable of Finding
        The tutor's word applied.
    layers : collection of str
        Names of `layering.LAYERS`; without "melody", "roles" and "doublings" there is no choice.
    first, last : int
        Bar indices, inclusive.
    """
    low, high = table.bars[first].start, table.bars[last].end
    here = [
        replace(f, start=max(f.start, low), end=min(f.end, high))
        for f in findings
        if f.first <= last and f.last >= first
    ]
    roles = _roles(here)
    pairs = [f for f in here if f.kind == "doubling" and len(f.lines) > 1]
    found: list[tuple[str, Sentence, list[Stretch]]] = []
    if {"melody", "roles"} & set(layers) and roles.get("melody"):
        found.append(("melody", Sentence("hear.melody"), roles["melody"]))
    if "roles" in layers:
        found += [
            (f"role-{role.replace(' ', '-')}", Sentence("hear.role", {"role": role}), roles[role])
            for role in GROUPS
            if role != "melody" and role in roles
        ]
    if "doublings" in layers and pairs:
        found += _groups(table, pairs)
    inside = _Inside(table, first, last)
    out = [Choice(key, says, inside.rows(stretches)) for key, says, stretches in found]
    if "doublings" in layers and {"melody", "roles"} & set(layers) and roles.get("melody"):
        alone = inside.rows(roles["melody"]) - inside.rows(list(_octaves(pairs)))
        says, left = Sentence("hear.melody-alone"), Sentence("hear.melody-out")
        out.insert(1, Choice("melody-alone", says, alone, left))
        if alone == out[0].rows:
            del out[1]
    return [choice for choice in out if choice.rows]


def _roles(findings: Iterable[Finding]) -> dict[str, list[Stretch]]:
    found: dict[str, list[Stretch]] = defaultdict(list)
    for finding in findings:
        if finding.kind == "role" and finding.value.get("role") in GROUPS:
            found[finding.value["role"]] += _stretches(finding)
    return found


def _stretches(finding: Finding, lines: Sequence[int] | None = None) -> list[Stretch]:
    own = finding.lines if lines is None else lines
    return [(line, finding.start, finding.end) for line in own]


def _octaves(pairs: Iterable[Finding]) -> Iterator[Stretch]:
    """The lines that double another one at an octave: the first of a pair goes with the second."""
    for finding in pairs:
        octaves = finding.value.get("octaves")
        if finding.value.get("with") and isinstance(octaves, int) and octaves:
            yield from _stretches(finding, finding.lines[:1])


def _groups(table: ScoreTable, pairs: list[Finding]) -> list[tuple[str, Sentence, list[Stretch]]]:
    """All who double, and each set of lines that go together, the longest first."""
    everybody = [s for finding in pairs for s in _stretches(finding)]
    by_lines: dict[tuple[int, ...], list[Stretch]] = defaultdict(list)
    for finding in pairs:
        by_lines[tuple(sorted(set(finding.lines)))] += _stretches(finding)
    ranked = sorted(by_lines, key=lambda lines: (-_length(by_lines[lines]), lines))
    out = [("together", Sentence("hear.together"), everybody)]
    for lines in ranked[:MOST_GROUPS]:
        names = {"names": ", ".join(line_names(table, lines))}
        key = "group-" + "-".join(map(str, lines))
        out.append((key, Sentence("hear.doubling", names), by_lines[lines]))
    return out


def _length(stretches: list[Stretch]) -> int:
    return sum(end - start for _, start, end in stretches)


class _Inside:
    """Notes of stretches, inside some bars."""

    def __init__(self, table: ScoreTable, first: int, last: int) -> None:
        notes = table.notes
        self._here = np.flatnonzero((notes["bar"] >= first) & (notes["bar"] <= last))
        self._line = notes["line"][self._here]
        self._onset = notes["onset"][self._here]

    def rows(self, stretches: Iterable[Stretch]) -> frozenset[int]:
        keep = np.zeros(len(self._here), dtype=bool)
        for line, start, end in stretches:
            keep |= (self._line == line) & (self._onset >= start) & (self._onset < end)
        return frozenset(self._here[keep].tolist())
