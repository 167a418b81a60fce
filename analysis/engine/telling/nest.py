"""Findings that another finding already says: they lie inside it, and stay within reach."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence

from analysis.engine.model import Finding


def _within(inner: Finding, outer: Finding) -> bool:
    return outer.start <= inner.start and inner.end <= outer.end


def _pair_of_group(inner: Finding, outer: Finding) -> bool:
    """ "Flute with violins" where flute, bassoon and violins play one line in three octaves."""
    return set(inner.lines) <= set(outer.lines) and _bars_within(inner, outer)


def _bars_within(inner: Finding, outer: Finding) -> bool:
    return outer.first <= inner.first and inner.last <= outer.last


def _arrival_of_cadence(inner: Finding, outer: Finding) -> bool:
    """ "D major is reached" at a cadence in D major."""
    same = inner.sentence.params.get("key") == outer.sentence.params.get("key")
    return same and outer.first <= inner.first <= outer.last


def _same_entries(inner: Finding, outer: Finding) -> bool:
    """A texture of imitation, which the finding on the entries tells note by note."""
    return set(inner.lines) == set(outer.lines)


def _one_of_several(inner: Finding, outer: Finding) -> bool:
    """One of the players that together support a line."""
    return set(inner.lines) <= set(outer.lines) and _within(inner, outer)


def _shorter_chain(inner: Finding, outer: Finding) -> bool:
    """The same chain in another part that has fewer of its moves."""
    alike = inner.sentence.params.get("pattern") == outer.sentence.params.get("pattern")
    return alike and _within(inner, outer)


#: (sentences inside, sentence outside, what must hold)
RULES: tuple[tuple[tuple[str, ...], str, Callable[[Finding, Finding], bool]], ...] = (
    (("doubling.full", "doubling.noted"), "doubling.group", _pair_of_group),
    (("doubling.full", "doubling.noted"), "doubling.unison", _pair_of_group),
    (("key.arrives", "key.confirmed", "key.enters"), "cadence.perfect", _arrival_of_cadence),
    (("key.arrives", "key.confirmed", "key.enters"), "cadence.imperfect", _arrival_of_cadence),
    (("key.arrives", "key.confirmed", "key.enters"), "cadence.perfect-again",
     _arrival_of_cadence),
    (("key.arrives", "key.confirmed", "key.enters"), "cadence.imperfect-again",
     _arrival_of_cadence),
    (("texture.imitation",), "imitation", _same_entries),
    (("reinforcement.notes", "reinforcement.beats", "reinforcement.beats.many"),
     "reinforcement.several", _one_of_several),
    (("sequence.chain",), "sequence.chain", _shorter_chain),
)  # fmt: skip


def nested(findings: Sequence[Finding]) -> dict[int, int]:
    """Which finding lies inside which: index of the inner one to that of its outermost.

    Of several that could hold it the widest does, then the first. A finding that holds others is
    itself inside none, so that nothing lies deeper than one step.
    """
    by_sentence: dict[str, list[int]] = defaultdict(list)
    for n, finding in enumerate(findings):
        by_sentence[finding.sentence.template].append(n)
    inside: dict[int, int] = {}
    holding: set[int] = set()
    for inner_ids, outer_id, holds in RULES:
        outers = sorted(
            by_sentence.get(outer_id, ()),
            key=lambda n: (-len(findings[n].lines), findings[n].start - findings[n].end, n),
        )
        near = _by_bar(findings, outers)
        for n in (n for id_ in inner_ids for n in by_sentence.get(id_, ())):
            if n in inside or n in holding:
                continue
            for outer in near.get(findings[n].first, ()):
                if outer == n or outer in inside or not holds(findings[n], findings[outer]):
                    continue
                inside[n] = outer
                holding.add(outer)
                break
    return inside


def _by_bar(findings: Sequence[Finding], numbers: Sequence[int]) -> dict[int, list[int]]:
    """Numbers of findings by each bar they cover, in the order given."""
    covering: dict[int, list[int]] = defaultdict(list)
    for n in numbers:
        for bar in range(findings[n].first, findings[n].last + 1):
            covering[bar].append(n)
    return covering
