"""What the fillers look at: the names of a sentence and the words before, between and after them."""

from __future__ import annotations

import re
from dataclasses import dataclass

from analysis.engine.prose.phrase import groups_in
from analysis.engine.prose.sentence import Sentence


@dataclass(frozen=True)
class Pair:
    """A sentence with two names: `first` and `second` as they come, and the words around them."""

    first: str
    second: str
    before: str
    between: str
    after: str


def pair_of(s: Sentence) -> Pair | None:
    """The two names; None where there are more or fewer, or one is said twice."""
    tokens = re.findall(r"<(\d+)>", s.short)
    if len(tokens) != 2 or len(groups_in(s)) != 2:
        return None
    if set(s.group(tokens[0]).units) & set(s.group(tokens[1]).units):
        return None
    before, between, after = re.split(r"<\d+>", s.short)
    return Pair(tokens[0], tokens[1], before.strip(), between.strip(), after.strip())


def only(s: Sentence) -> str | None:
    """The one name of a sentence."""
    tokens = re.findall(r"<(\d+)>", s.short)
    return tokens[0] if len(tokens) == 1 and groups_in(s) else None


def around(s: Sentence) -> tuple[str, str]:
    """The words before and after the one name."""
    before, _, after = re.split(r"(<\d+>)", s.short, maxsplit=1)
    return before.strip(), after.strip()
