"""What is said of several parts in the same words is said once: "A and B rest in bar 4."

A sentence a part would bury the one that matters where a family is named.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from analysis.engine.model import Sentence
from analysis.engine.sentences import register

#: by template: the parameter that names the part, and the words for several, who are ``{parts}``
TOGETHER: dict[str, tuple[str, str]] = {
    "claim.doubling.rests": ("part", "{parts} rest there."),
    "claim.doubling.somebody": ("others", "{parts} double {part} in {bars}."),
    "claim.marking.not": ("part", "{parts} have no “{mark}” in {bars}."),
    "claim.marking.unknown": (
        "part",
        "The file prints nothing that tells whether {parts} have “{mark}”.",
    ),
    "claim.rests": ("part", "{parts} rest in {bars}."),
    "claim.role.is": ("part", "{parts} read as {role} in {bars}."),
    "claim.sequence.none": (
        "part",
        "I find no model that {parts} state again at another height in {bars}.",
    ),
}

register({f"{template}.together": words for template, (_, words) in TOGETHER.items()})


def together(sentences: Iterable[Sentence]) -> tuple[Sentence, ...]:
    """The same sentences, those alike but for their part as one, where the first of them stood."""
    groups: dict[str, list[Sentence]] = {}
    for n, sentence in enumerate(sentences):
        of, _ = TOGETHER.get(sentence.template, ("", ""))
        rest = {k: v for k, v in sentence.params.items() if k != of}
        groups.setdefault(repr((sentence.template, rest) if of else n), []).append(sentence)
    return tuple(_one(group) for group in groups.values())


def _one(group: list[Sentence]) -> Sentence:
    first = group[0]
    if len(group) == 1:
        return first
    of, _ = TOGETHER[first.template]
    names: list[Any] = []
    for sentence in group:
        name = sentence.params[of]
        names += [n for n in (name if isinstance(name, list) else [name]) if n not in names]
    if len(names) == 1:
        return first
    rest = {k: v for k, v in first.params.items() if k != of}
    return Sentence(f"{first.template}.together", {**rest, "parts": names})
