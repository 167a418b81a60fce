"""The findings of chosen bars as a tutor meets them: telling ones first, nothing lost."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from analysis.engine.model import Finding, ScoreTable, Sentence
from analysis.engine.settings import Settings
from analysis.engine.telling.merge import merged
from analysis.engine.telling.nest import nested
from analysis.engine.telling.rank import Customs, ranked
from analysis.engine.telling.reach import Bars, places_of, touching, whole_movement
from analysis.engine.telling.rests import resting
from analysis.engine.telling.topics import HEADINGS, TOPICS, Heading, Topic, topic_of

#: items shown before "more"
SHOWN = 12
#: from here on a finding is counted from the notes, not judged
EXACT = 0.995
#: topics that say the same of every bar where they hold from the first bar to the last
_WHOLE = {"layout", "open", "drums", "brass-key", "register", "share", "route"}


@dataclass(frozen=True, slots=True)
class Item:
    """One sentence of the page, and every finding it stands for.

    Attributes
    ----------
    topic : Topic
    sentence : Sentence
    findings : tuple of Finding
        What the sentence says, by place; more than one where they were merged.
    inside : tuple of Finding
        What it says already and what stays within reach beneath it.
    confidence : float
        Of the least sure of `findings`.
    """

    topic: Topic
    sentence: Sentence
    findings: tuple[Finding, ...]
    inside: tuple[Finding, ...] = ()

    @property
    def confidence(self) -> float:
        return min(f.confidence for f in self.findings)

    @property
    def every(self) -> tuple[Finding, ...]:
        return (*self.findings, *self.inside)

    @property
    def places(self) -> tuple[Bars, ...]:
        """Bars it speaks of, each once, in order."""
        return tuple(sorted({bars for f in self.findings for bars in places_of(f)}))

    @property
    def order(self) -> tuple[object, ...]:
        """Where nothing else decides: place, then lines, then words."""
        one = self.findings[0]
        return (one.movement, one.start, one.end, one.lines, self.sentence.template,
                str(sorted(self.sentence.params.items(), key=lambda p: p[0])))  # fmt: skip


@dataclass(frozen=True, slots=True)
class Section:
    """What stands under one heading: the telling items, then the rest."""

    heading: Heading
    shown: tuple[Item, ...]
    more: tuple[Item, ...]


@dataclass(frozen=True, slots=True)
class Telling:
    """Findings of the bars chosen.

    Attributes
    ----------
    sections : tuple of Section
        Under the headings of the trade, in their order; none that is empty.
    unsure : tuple of Item
        Below the tutor's setting of confidence, and judgements of a single bar.
    whole : tuple of Item
        What holds of the whole movement: no news of the bars chosen.
    counts : dict of str to int
        Items of each topic, all of the above, before any choice of a topic.
    """

    sections: tuple[Section, ...] = ()
    unsure: tuple[Item, ...] = ()
    whole: tuple[Item, ...] = ()
    counts: dict[str, int] = field(default_factory=dict)

    def items(self) -> list[Item]:
        told = [i for s in self.sections for i in (*s.shown, *s.more)]
        return [*told, *self.unsure, *self.whole]


def tell(
    table: ScoreTable,
    findings: Iterable[Finding],
    first: int,
    last: int,
    settings: Settings | None = None,
    *,
    parts: Iterable[str] = (),
    topic: str = "",
    shown: int = SHOWN,
) -> Telling:
    """Order, merge and fold the findings of bars `first` to `last`.

    Parameters
    ----------
    table : ScoreTable
    findings : iterable of Finding
        The reading in force, of any bars.
    first, last : int
        Bar indices, inclusive.
    settings : Settings, optional
        ``min_confidence``: what is less sure is folded away.
    parts : iterable of str
        Ids of parts; none: all.
    topic : str
        Name of one topic; "": all.
    shown : int
        Items shown over all headings together.

    Returns
    -------
    Telling
        Every finding that touches the bars is in exactly one item. The same findings, in whatever
        order, give the same telling.
    """
    settings = settings or Settings()
    everything = sorted(findings, key=_order)
    customs = Customs.of(table, everything)
    items = _items(table, touching(table, everything, first, last, parts), first, last, settings)
    counts = Counter(item.topic.name for item in items)
    if topic:
        items = [item for item in items if item.topic.name == topic]
    unsure, whole, told = [], [], []
    for item in items:
        if not topic and _of_the_whole(table, item, first, last):
            whole.append(item)
        elif _weak(item, settings, first < last):
            unsure.append(item)
        else:
            told.append(item)
    best = ranked(told, first, last, customs)
    head = {id(item) for _value, item in best[:shown]}
    by_heading: dict[str, list[Item]] = defaultdict(list)
    for _value, item in best:
        by_heading[item.topic.heading].append(item)
    return Telling(
        sections=tuple(
            Section(
                heading,
                tuple(i for i in by_heading[heading.name] if id(i) in head),
                tuple(i for i in by_heading[heading.name] if id(i) not in head),
            )
            for heading in HEADINGS
            if by_heading[heading.name]
        ),
        unsure=tuple(item for _value, item in ranked(unsure, first, last, customs)),
        whole=tuple(item for _value, item in ranked(whole, first, last, customs)),
        counts={t.name: counts[t.name] for t in TOPICS if counts[t.name]}
        | ({"other": counts["other"]} if counts["other"] else {}),
    )


def _items(
    table: ScoreTable, findings: Sequence[Finding], first: int, last: int, settings: Settings
) -> list[Item]:
    """Items of all findings: nested first, then merged with those as weak as themselves."""
    inside = nested(findings)
    beneath: dict[int, list[Finding]] = defaultdict(list)
    for n, outer in inside.items():
        beneath[id(findings[outer])].append(findings[n])
    rests, groups = [], defaultdict(list)
    for n, finding in enumerate(findings):
        if n in inside:
            continue
        if topic_of(finding).name == "rests":
            rests.append(finding)
        else:
            groups[_weak_finding(finding, settings, first < last)].append(finding)
    items = []
    for group in groups.values():
        for same in merged(table, group):
            under = [f for one in same.findings for f in beneath[id(one)]]
            topic = topic_of(same.findings[0])
            items.append(Item(topic, same.sentence, same.findings, tuple(under)))
    if rests:
        sentence = resting(table, rests, first, last) if len(rests) > 1 else rests[0].sentence
        items.append(Item(topic_of(rests[0]), sentence, tuple(rests)))
    return items


def _weak_finding(finding: Finding, settings: Settings, many: bool) -> bool:
    """Below the tutor's setting, or a judgement of one bar where `many` were chosen."""
    if finding.confidence < settings.min_confidence:
        return True
    judged = topic_of(finding).held and finding.confidence < EXACT
    return many and judged and finding.first == finding.last


def _weak(item: Item, settings: Settings, many: bool) -> bool:
    return any(_weak_finding(f, settings, many) for f in item.findings)


def _of_the_whole(table: ScoreTable, item: Item, first: int, last: int) -> bool:
    """Whether it says the same of all bars of a movement of which only some were chosen."""
    movement = table.movements[item.findings[0].movement]
    if first <= movement.first_bar and last >= movement.last_bar:
        return False
    return item.topic.name in _WHOLE and all(whole_movement(table, f) for f in item.findings)


def _order(finding: Finding) -> tuple[object, ...]:
    words = finding.sentence
    return (finding.movement, finding.start, finding.end, finding.kind, finding.lines,
            words.template, str(sorted(words.params.items(), key=lambda p: p[0])))  # fmt: skip
