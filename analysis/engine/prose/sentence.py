"""A sentence made short: places, names and distances become tokens.

"B. 9-12: Fl. 1 doubles the oboes two octaves higher" becomes
"<0> doubles <1> [up:2]", with the group of each number and the bars kept beside it.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field

from analysis.engine.model import ScoreTable
from analysis.engine.names import Unit


def folded(text: str) -> str:
    """Lower case without accents, character for character: positions stay."""
    out = []
    for char in text:
        base = unicodedata.normalize("NFD", char)[0].lower()
        out.append({"’": "'", "‘": "'", "–": "-", "—": "-", "♭": "b", "♯": "#"}.get(char, base))
    return "".join(c if len(c) == 1 else c[0] for c in out)


@dataclass(frozen=True, slots=True)
class Group:
    """Parts named together. `names` as typed; `units` what they are here.

    `question` is what has to be asked about one of them, "" if nothing.
    """

    names: tuple[str, ...]
    units: tuple[Unit, ...] = ()
    question: str = ""
    count: int = 1  # of names that were typed one by one
    by_comma: bool = False  # two of them are joined by a comma alone


@dataclass(frozen=True)
class Sentence:
    """What the kinds read."""

    raw: str
    short: str  # with tokens: <n> a group, [up:n] [down:n] [apart:n] [levels:n] a distance
    groups: tuple[Group, ...]
    places: tuple[Mapping[str, object] | list[str], ...]  # PLACEs, in the order typed
    table: ScoreTable
    movement: int  # 0-based
    negated: bool = False
    questions: tuple[str, ...] = field(default=())
    notes: tuple[str, ...] = ()
    whole: str = ""  # folded, with "@" for places, before "not" and remarks are taken out

    def group(self, token: str) -> Group:
        return self.groups[int(token)]

    def sides(self, token: str) -> tuple[str, ...]:
        """The names of a group; of one name for two parts ("both oboes") the parts themselves."""
        group = self.groups[int(token)]
        if len(group.names) == 1 and len(group.units) == 2:
            return tuple(unit.label for unit in group.units)
        return group.names

    def parts(self, *tokens: str) -> list[str]:
        """The names of these groups, as typed, in order."""
        return [name for token in tokens for name in self.groups[int(token)].names]
