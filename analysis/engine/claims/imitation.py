"""Imitation: parts that enter one after the other with one subject, while the earlier goes on.

Facts are those of `analyses.imitation_facts`. Entries are held against the claim one by one, each
to the beat; the interval counts semitones from the entry before, and a tonal answer may bend it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from analysis.engine import names, places
from analysis.engine.analyses.imitation import level_words, sure
from analysis.engine.analyses.imitation_facts import Entry, Imitation, imitations
from analysis.engine.analyses.melodic import stream
from analysis.engine.claims import evidence as proof
from analysis.engine.claims import moments, speech
from analysis.engine.claims.base import WHERE_AND_WHO, Bound, Judgement, Kind, Scene, Verdict
from analysis.engine.claims.facts import worst
from analysis.engine.claims.fields import (
    JSON,
    Field,
    Form,
    Group,
    Many,
    PartField,
    PointField,
    Whole,
)
from analysis.engine.claims.imitation_none import instead
from analysis.engine.claims.moments import Moment
from analysis.engine.claims.naming import part_json, place_json
from analysis.engine.claims.negation import deny
from analysis.engine.model import Evidence, Sentence
from analysis.engine.names import Unit
from analysis.engine.sentences import register

register(
    {
        "claim.imitation.first": "{part} begins at {where}.",
        "claim.imitation.first.unsure": "I read an entry of {part} at {where}, but not surely.",
        "claim.imitation.next": "{part} enters at {where}, {level}.",
        "claim.imitation.next.unsure": (
            "I read an entry of {part} at {where}, {level}, but not surely."
        ),
        "claim.imitation.not-in-it": "{parts} have no part in it.",
        "claim.imitation.not-in-it.one": "{parts} has no part in it.",
        "claim.imitation.too": "{parts} enter too.",
        "claim.imitation.too.one": "{parts} enters too.",
        "claim.imitation.with": "{parts} go along with an entry.",
        "claim.imitation.with.one": "{parts} goes along with an entry.",
        "claim.imitation.tonal": "The answer is tonal: some steps are bent to the key.",
    }
)

#: how sure that entries found are not at another interval or place than they are
OTHER = 0.95
#: generic intervals (steps, without octaves) that so many semitones may be
_GENERIC = ({0}, {1}, {1}, {2}, {2}, {3}, {3, 4}, {4}, {5}, {5}, {6}, {6})


@dataclass(frozen=True)
class Wanted:
    """One claimed entry."""

    units: tuple[Unit, ...]
    at: Moment

    @property
    def lines(self) -> set[int]:
        return {line for unit in self.units for line in unit.lines}


def judge(scene: Scene, bound: Bound) -> Judgement:
    wanted = [
        Wanted(
            names.resolve(entry["part"], scene.table, bound.movement.index).units,
            moments.moment(scene.table, bound, entry["at"]),
        )
        for entry in bound["entries"]
    ]
    wanted.sort(key=lambda w: (w.at.bar, w.at.tick or 0))
    facts = [one for one in imitations(scene.table) if _in_movement(scene, bound, one)]
    facts = [one for one in facts if not _denied(scene, one)]
    tried = [_held(scene, bound, wanted, one) for one in facts]
    best = min(tried, key=_cost, default=None)
    if best is not None and best.place == "wrong":
        best = None
    told = _tutor(scene, wanted)
    if bound.claim.negated:
        return _deny(scene, bound, wanted, best, told)
    if told is not None:
        shown = _played(scene, wanted)
        return Judgement(judged=True, evidence=shown, says=(told,))
    if best is not None:
        return best
    return _nothing(scene, bound, wanted, facts)


def _in_movement(scene: Scene, bound: Bound, one: Imitation) -> bool:
    first = places.bar_at(scene.table, one.entries[0].onset)
    return bound.movement.first_bar <= first <= bound.movement.last_bar


def _cost(judgement: Judgement) -> tuple[int, int]:
    return judgement.verdicts.count("wrong"), judgement.verdicts.count("near")


def _held(scene: Scene, bound: Bound, wanted: Sequence[Wanted], one: Imitation) -> Judgement:
    """The claim against one imitation."""
    table = scene.table
    matched = [_match(scene, w, one) for w in wanted]
    found = [(w, e) for w, e in zip(wanted, matched, strict=True) if e is not None]
    missing = [w for w, e in zip(wanted, matched, strict=True) if e is None]
    if len(found) < 2:
        return Judgement(place="wrong", relation="wrong")
    place = worst(moments.verdict(table, w.at, e.onset) for w, e in found)
    inside = [bound.bars.first <= places.bar_at(table, e.onset) <= bound.bars.last
              for _, e in found]  # fmt: skip
    if place == "right" and not all(inside):
        place = "near" if any(inside) else "wrong"
    parts: Verdict = "right"
    if missing:
        parts = "near" if len(missing) == 1 and len(wanted) >= 3 else "wrong"
    entries = [e for _, e in found]
    degree, tonal = _interval(scene, bound, one, entries)
    notes = _notes(scene, one, wanted, tonal)
    says = _says(scene, one.entries, [w for w, _ in found])
    if missing:
        labels = [u.label for w in missing for u in w.units]
        says.append(speech.say("claim.imitation.not-in-it", parts=labels))
    bad = "wrong" in (place, parts, degree)
    contrary = _evidence(scene, one.entries)
    if missing:
        contrary += tuple(
            e for w in missing
            for e in proof.playing_or_rests(table, w.lines, bound.bars.first, bound.bars.last)
        )  # fmt: skip
    return Judgement(
        place=place,
        parts=parts,
        degree=degree,
        confidence=max(sure(one), OTHER) if bad else sure(one),
        judged=True,
        evidence=_evidence(scene, entries),
        contrary=contrary,
        says=tuple(says),
        notes=tuple(notes),
        truth=_truths(scene, bound, one, entries),
        cause="octave-count" if degree == "near" and place == parts == "right" else None,
    )


def _match(scene: Scene, wanted: Wanted, one: Imitation) -> Entry | None:
    """The entry of a claimed part, if it has one."""
    own = [e for e in one.entries if set(e.lines) & wanted.lines]

    def away(entry: Entry) -> int:
        bar = scene.table.bars[wanted.at.bar]
        return abs(entry.onset - (bar.start if wanted.at.tick is None else wanted.at.tick))

    return min(own, key=away, default=None)


def _mostly(one: Imitation, before: Entry, entry: Entry) -> int:
    """Semitones from one entry to a later one, as most of their notes have it."""
    first, last = one.entries.index(before), one.entries.index(entry)
    way = 1 if first <= last else -1
    low, high = sorted((first, last))
    return way * sum(one.intervals[low:high])


def _interval(
    scene: Scene, bound: Bound, one: Imitation, entries: Sequence[Entry]
) -> tuple[Verdict, bool]:
    """Whether each entry stands at the claimed interval from the one before; whether bent."""
    wanted = bound["interval"]
    if wanted is None:
        return "right", False
    s = stream(scene.table)
    found: list[Verdict] = []
    tonal = False
    for before, entry in pairwise(entries):
        semis = int(s.pitch[entry.at] - s.pitch[before.at])
        steps = int(s.degree[entry.at] - s.degree[before.at])
        if wanted in (semis, _mostly(one, before, entry)):
            found.append("right")
        elif (semis - wanted) % 12 == 0:
            found.append("near")
        elif abs(semis - wanted) <= 1 and abs(steps) % 7 in _GENERIC[abs(wanted) % 12]:
            found.append("right")
            tonal = True
        else:
            found.append("wrong")
    if "wrong" in found and "right" in found and len(found) > 2:
        return "near", tonal
    return worst(found), tonal


def _says(
    scene: Scene,
    entries: Sequence[Entry],
    wanted: Sequence[Wanted],
) -> list[Sentence]:
    table, s = scene.table, stream(scene.table)
    named = {id(e): w.units[0].label for w in wanted for e in entries
             if set(e.lines) & w.lines}  # fmt: skip
    says: list[Sentence] = []
    before: Entry | None = None
    for entry in entries:
        part = named.get(id(entry), table.lines[entry.lines[0]].name)
        where = moments.words(table, entry.onset)
        if before is None:
            says.append(speech.say("claim.imitation.first", part=part, where=where))
        else:
            steps = int(s.degree[entry.at] - s.degree[before.at])
            semis = int(s.pitch[entry.at] - s.pitch[before.at])
            level = level_words(steps, semis)
            says.append(speech.say("claim.imitation.next", part=part, where=where, level=level))
        before = entry
    return says


def _notes(scene: Scene, one: Imitation, wanted: Sequence[Wanted], tonal: bool) -> list[Sentence]:
    own = {line for w in wanted for line in w.lines}
    too = [e.lines[0] for e in one.entries if not set(e.lines) & own]
    along = [k for e in one.entries if set(e.lines) & own for k in e.lines if k not in own]
    notes = []
    for template, lines in (("claim.imitation.too", too), ("claim.imitation.with", along)):
        if lines:
            notes.append(speech.say(template, parts=speech.line_names(scene.table, lines)[:6]))
    if tonal:
        notes.append(speech.say("claim.imitation.tonal"))
    return notes


def _evidence(scene: Scene, entries: Sequence[Entry]) -> tuple[Evidence, ...]:
    return tuple(
        e
        for entry in entries
        for e in proof.notes(
            scene.table,
            proof.attacked(scene.table, entry.lines[:1], entry.onset, entry.end),
        )
    )


def _played(scene: Scene, wanted: Sequence[Wanted]) -> tuple[Evidence, ...]:
    """What the claimed parts play where they are said to enter, or their rests."""
    found: list[Evidence] = []
    for w in wanted:
        for unit in w.units:
            found += proof.playing_or_rests(scene.table, unit.lines, w.at.bar, w.at.bar)
    return tuple(found)


def _truths(
    scene: Scene, bound: Bound, one: Imitation, entries: Sequence[Entry]
) -> tuple[JSON, ...]:
    """The imitation as it is: the claimed parts' entries first, then all."""
    return tuple(value for chosen in (entries, one.entries)
                 if (value := _as_claim(scene, bound, chosen)))  # fmt: skip


def _as_claim(scene: Scene, bound: Bound, entries: Sequence[Entry]) -> JSON:
    table, s = scene.table, stream(scene.table)
    told = []
    for entry in entries:
        line = table.lines[entry.lines[0]]
        unit = Unit(line.part, (line.index,), line.name)
        told.append({"part": part_json(table, unit), "at": places.point_of(table, entry.onset)})
    first = places.bar_at(table, entries[0].onset)
    last = places.bar_at(table, entries[-1].onset)
    semis = {int(s.pitch[b.at] - s.pitch[a.at]) for a, b in pairwise(entries)}
    value = {**bound.claim.as_json(), "bars": place_json(table, first, last), "entries": told}
    value.pop("interval", None)
    if len(semis) == 1 and abs(only := semis.pop()) <= 48:
        value["interval"] = only
    return {**value, "negated": False}


# --- none, denied, the tutor's ------------------------------------------------


def _nothing(
    scene: Scene, bound: Bound, wanted: Sequence[Wanted], facts: Sequence[Imitation]
) -> Judgement:
    if scene.trial:
        return Judgement(relation="wrong")
    found = instead(scene, [(w.units, w.at) for w in wanted], bound)
    truth: list[JSON] = []
    says = list(found.says)
    lines = {line for w in wanted for line in w.lines}
    for one in facts:
        mine = [e for e in one.entries if set(e.lines) & lines]
        if len(mine) >= 2:
            if not truth:
                says += _says(scene, one.entries, wanted)
            truth += _truths(scene, bound, one, mine)
    truth.append({**bound.claim.as_json(), "negated": True})
    return Judgement(
        relation=found.relation,
        confidence=found.confidence,
        judged=True,
        evidence=found.evidence if found.relation != "wrong" else (),
        contrary=found.evidence,
        says=tuple(says),
        truth=tuple(truth[:4]),
    )


def _deny(
    scene: Scene,
    bound: Bound,
    wanted: Sequence[Wanted],
    best: Judgement | None,
    told: Sentence | None,
) -> Judgement:
    if best is not None and not best.any_wrong:
        bars = set(bound.bars.indices)
        found = deny(
            scene, bound, bars, best.evidence, unclear=not best.all_right,
            evidence=best.evidence, confidence=best.confidence, judged=True,
        )  # fmt: skip
        return found.but(says=(*found.says, *best.says), truth=(*best.truth, *found.truth))
    if told is not None:
        shown = _played(scene, wanted)
        return deny(scene, bound, bound.bars.indices, shown, evidence=shown, judged=True)
    if best is not None:
        found = deny(scene, bound, (), (), evidence=best.contrary, confidence=OTHER, judged=True)
        return found.but(says=(*found.says, *best.says))
    none = instead(scene, [(w.units, w.at) for w in wanted], bound)
    sure_of_it = none.confidence if none.relation == "wrong" else OTHER
    found = deny(scene, bound, (), (), evidence=none.evidence, confidence=sure_of_it, judged=True)
    return found.but(says=(*found.says, *none.says))


def _denied(scene: Scene, one: Imitation) -> bool:
    """Whether the tutor has struck this imitation out."""
    lines = {e.lines[0] for e in one.entries}
    return any(
        word.says != "added" and lines <= set(word.lines)
        and all(word.covers(places.bar_at(scene.table, e.onset)) for e in one.entries)
        for word in scene.tutor_on("imitation")
    )  # fmt: skip


def _tutor(scene: Scene, wanted: Sequence[Wanted]) -> Sentence | None:
    """The tutor's word that these parts imitate each other there."""
    for word in scene.tutor_on("imitation"):
        if word.says == "absent" or not all(word.covers(w.at.bar) for w in wanted):
            continue
        if all(w.lines & set(word.lines) for w in wanted):
            return word.sentence
    return None


_ENTRY = Group(
    (Field("part", PartField(), required=True), Field("at", PointField(), required=True))
)

KIND = Kind(
    name="imitation",
    says="parts that follow each other",
    form=Form(
        (
            Field("entries", Many(_ENTRY, least=2), required=True),
            Field("interval", Whole(-48, 48)),
        ),
        parts=False,
    ),
    judge=judge,
    part_fields=("entries.part",),
    readings=WHERE_AND_WHO
    | {"bass-written", "old-bass-clef", "cello-treble", "untransposed", "clef"},
)
