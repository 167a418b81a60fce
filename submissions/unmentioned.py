"""What nobody has mentioned yet: findings - the tutor's notes - the class's statements."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from analysis import storage
from analysis.effective import effective_findings
from analysis.engine.model import Finding, ScoreTable
from analysis.engine.prose.sentence import folded
from analysis.engine.prose.shorten import LONGEST
from analysis.engine.prose.who import mark_names
from analysis.engine.telling import Item, topic_of
from analysis.engine.telling.merge import merged
from analysis.engine.telling.rank import Customs, ranked
from analysis.engine.telling.reach import whole_movement
from analysis.models import Run
from courses.models import Assignment, Note, Prompt, ScoreVersion
from courses.places import notes_in
from submissions.feedback import in_words
from submissions.models import Check, Observation

#: Kinds worth telling a class about (common practice, no source).
KINDS = {"crossing", "open-tones", "doubling", "range", "reinforcement", "key", "role", "playing",
         "parallel"}  # fmt: skip
SURE = 0.7


@dataclass(frozen=True)
class Said:
    """What somebody has already spoken of."""

    first: int
    last: int
    kinds: frozenset[str]  # empty: any kind
    parts: frozenset[str]  # empty: any part

    def covers(self, finding: Finding, parts: frozenset[str]) -> bool:
        """Half of the finding's bars and half of its parts (of two: both) are spoken of."""
        bars = finding.last - finding.first + 1
        met = min(finding.last, self.last) - max(finding.first, self.first) + 1
        if 2 * met < bars or (self.kinds and finding.kind not in self.kinds):
            return False
        if not self.parts or not parts:
            return True
        return len(self.parts & parts) >= max(min(len(parts), 2), len(parts) / 2)


def said_in_notes(assignment: Assignment, version_pk: int, table: ScoreTable) -> list[Said]:
    """The tutor's published notes: of the finding they are on, and of the parts they light.

    A note with neither speaks of the parts that its text names, in its bars.
    """
    version = ScoreVersion.objects.get(pk=version_pk)
    notes = notes_in(version, course=assignment.course, state=Note.State.PUBLISHED)
    found = []
    for note in notes:
        if note.place_lost:
            continue
        if about := note.finding:
            parts = frozenset(_part_ids(about))
            span = about["first_bar"], about["last_bar"]
            found.append(Said(*span, frozenset([about["kind"]]), parts))
        lit = frozenset(p["part"] for p in note.lit)
        if not about and not lit:
            lit = _named_in(note.text, table, note.first_bar)
        if lit:
            found.append(Said(note.first_bar, note.last_bar, frozenset(), lit))
    return found


def _named_in(text: str, table: ScoreTable, bar: int) -> frozenset[str]:
    """Ids of the parts that a text names, read as a student's sentence is."""
    movement = next(
        (n for n, m in enumerate(table.movements) if m.first_bar <= bar <= m.last_bar), 0
    )
    _short, groups = mark_names(folded(text[:LONGEST]), table, movement)
    parts = {unit.part for group in groups for unit in group.units}
    return frozenset(table.first_readings[part].id for part in parts)


def said_by_class(assignment: Assignment) -> list[Said]:
    """Handed-in statements that agree or partly do."""
    checks = Check.objects.filter(
        current=True,
        flag__in=["agrees", "partly"],
        observation_version__observation__paper__assignment=assignment,
        observation_version__observation__state=Observation.State.HANDED_IN,
    ).select_related("observation_version")
    found = []
    for check in checks:
        place = check.observation_version
        if place.first_bar is None or place.last_bar is None:
            continue
        parts = frozenset(_part_ids(place.claim))
        found.append(Said(place.first_bar, place.last_bar, frozenset([place.kind]), parts))
    return found


def _part_ids(claim: dict[str, Any]) -> list[str]:
    named = [*claim.get("parts", []), *claim.get("with", [])]
    named += [claim[k] for k in ("upper", "lower") if k in claim]
    return [p["part"] for p in named if isinstance(p, dict)]


def parts_of(finding: Finding, table: ScoreTable) -> frozenset[str]:
    return frozenset(table.first_readings[table.lines[i].part].id for i in finding.lines)


def not_mentioned(assignment: Assignment, run: Run, *, most: int = 40) -> list[dict[str, Any]]:
    """Sure findings in the prompts' passages that no note and no statement speaks of.

    Told as on the score's page: alike ones in one sentence, the telling ones first, what holds
    from the first bar to the last at the end. "first" and "last" are the bars of the first of
    the alike ones, "ids" the notes of all.
    """
    version = assignment.current
    if version is None:
        return []
    table = storage.table_of(run)
    spans = list(
        Prompt.objects.filter(assignment_version=version).values_list("first_bar", "last_bar")
    )
    if not spans:
        return []
    said = [*said_in_notes(assignment, version.score_version_id, table), *said_by_class(assignment)]
    everything = effective_findings(run)
    left = [
        finding
        for finding in everything
        if finding.kind in KINDS
        and finding.confidence >= SURE
        and any(a <= finding.last and b >= finding.first for a, b in spans)
        and not any(s.covers(finding, parts_of(finding, table)) for s in said)
    ]
    items = [Item(topic_of(m.findings[0]), m.sentence, m.findings) for m in merged(table, left)]
    first, last = min(a for a, _b in spans), max(b for _a, b in spans)
    told = [item for _weight, item in ranked(items, first, last, Customs.of(table, everything))]
    told.sort(key=lambda item: all(whole_movement(table, f) for f in item.findings))
    return [_row(item) for item in told[:most]]


def _row(item: Item) -> dict[str, Any]:
    first = item.findings[0]
    sentence = {"template": item.sentence.template, "params": dict(item.sentence.params)}
    return {
        "first": first.first,
        "last": first.last,
        "kind": first.kind,
        "sentence": in_words([sentence]),
        "ids": [i for f in item.findings for e in f.evidence for i in e.ids][:400],
    }
