"""What the kinds share: patterns over short sentences, and what they found."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from analysis.engine.prose.sentence import Sentence

JSON = dict[str, Any]


@dataclass
class Found:
    """Fields of the statement; the groups that are in it; what is still to be asked."""

    fields: JSON
    used: tuple[str, ...] = ()
    questions: list[str] = field(default_factory=list)
    absent: bool = False  # names instruments that are said not to be here
    told: list[str] = field(default_factory=list)  # names the kind has no field for, left out


#: A kind's reader: None where its turns of phrase do not occur.
Reader = Callable[[Sentence], Found | None]


@lru_cache(maxsize=512)
def _compiled(pattern: str) -> re.Pattern[str]:
    for name in "ABC":
        pattern = pattern.replace(name + "!", rf"<(?P<{name.lower()}>\d+)>")
    pattern = pattern.replace("DIST", r"\[(?P<way>up|down|apart|levels):(?P<n>\d)\]")
    return re.compile(pattern)


def search(pattern: str, s: Sentence) -> re.Match[str] | None:
    """`A!`, `B!`, `C!` stand for groups, `DIST` for a distance, "~" for a few words between."""
    between = r"(?:(?!<\d)[^;]){0,60}?"
    return _compiled(pattern.replace("~", between)).search(s.short)


def groups_in(s: Sentence) -> list[str]:
    """Tokens of the groups that name somebody, in the order of the sentence."""
    return [t for t in re.findall(r"<(\d+)>", s.short) if s.groups[int(t)].names]


def told_singly(s: Sentence) -> tuple[str, str] | None:
    """ "The strings ...: violins and violas": a collective, and who of it is meant."""
    match = search(r"A! ~[@:(,-] ?B!", s)
    if match is None:
        return None
    whole, each = s.group(match["a"]), s.group(match["b"])
    told = whole.count == 1 and each.count > 1 and set(each.units) < set(whole.units)
    return (match["a"], match["b"]) if told else None


def has(pattern: str, s: Sentence) -> bool:
    return re.search(pattern, s.short) is not None
