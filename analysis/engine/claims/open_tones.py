"""Open tones: what natural brass gives with its crook, alone or as a pair; and kettledrums.

A drum has the notes it is tuned to, read from what it plays in the movement.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analysis.engine.analyses.drums import drum_pitches
from analysis.engine.analyses.open_tones import Crooked, crook_at, tone
from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bound, Judgement, Kind, Scene, Verdict
from analysis.engine.claims.fields import Field, Form, Many, PartField, PitchField, PitchName, Text
from analysis.engine.claims.schema import Claim
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.instruments import brass
from analysis.engine.model import Evidence, Sentence
from analysis.engine.names import Unit
from analysis.engine.pitch import NoteName, parse_note_name, plain
from analysis.engine.sentences import register

register(
    {
        "claim.open.has": "{parts} (crook {crook}) has {pitches} as open tones.",
        "claim.open.has-not": "{pitches} is no open tone of {parts} (crook {crook}).",
        "claim.open.doubtful": "On {parts} (crook {crook}) {pitches} would be out of tune.",
        "claim.open.crook": "{parts} has the crook {crook}.",
        "claim.open.drums": "{parts} has drums on {pitches}.",
        "claim.open.no-drum": "{parts} has no drum on {pitches}.",
        "claim.open.none": "{parts} is no natural horn or trumpet that I know the crook of.",
        "claim.open.hand": "The hand in the bell could give it.",
        "claim.open.plays": "It also plays {pitches} there.",
        "claim.open.word": "{name}",
    }
)

#: A tone is open if it is for anybody; for "missing" nobody may have it.
_RANK = {"open": 2, "doubtful": 1, "not open": 0}


@dataclass(frozen=True, slots=True)
class _Group:
    """Players asked together: one unit alone, or the pair."""

    units: tuple[Unit, ...]
    crooks: tuple[Crooked, ...]
    drums: frozenset[int] = frozenset()  # sounding pitches

    @property
    def known(self) -> bool:
        return bool(self.crooks or self.drums)

    @property
    def words(self) -> str:
        return " and ".join(dict.fromkeys(c.crook.words for c in self.crooks))


def check(claim: Claim) -> None:
    if not claim["pitches"] and not claim["missing"] and not claim["crook"]:
        raise ClaimNotUnderstood("Which tones are open, or missing? None are named.")
    if claim["pair"] and len(claim["pair"]) != 2:
        raise ClaimNotUnderstood("A pair is two players; “pair” should name two.")
    if claim["crook"] and _crook_note(claim["crook"]) is None:
        raise ClaimNotUnderstood(f"“{claim['crook']}” names no crook; write D, Eb, C basso ...")


def _crook_note(text: str) -> NoteName | None:
    words = [w for w in plain(text).split() if w not in ("in", "alto", "basso", "low", "high")]
    return parse_note_name(" ".join(words)) if words else None


def judge(scene: Scene, bound: Bound) -> Judgement:
    groups = _groups(scene, bound)
    unknown = [u for g in groups for u in g.units if not g.known]
    if unknown or not groups:
        silent = speech.say("claim.open.none", parts=[u.label for u in unknown])
        return Judgement(relation="open", says=(silent,))
    pitches, missing = bound["pitches"], bound["missing"]
    states = [
        (g, p, _state(scene, g, p), wanted)
        for g in groups
        for wanted, tones in (("open", pitches), ("missing", missing))
        for p in tones
    ]
    verdicts: list[Verdict] = [_verdict(state, wanted) for _, _, state, wanted in states]
    relation: Verdict = "right"
    if "wrong" in verdicts:
        relation = "wrong"
    elif "open" in verdicts:
        relation = "open"
    degree, crook_says = _crook(scene, bound, groups)
    says = [*crook_says, *_says(states)]
    if bound.claim.negated:
        flipped: dict[Verdict, Verdict] = {"right": "wrong", "wrong": "right"}
        both: Verdict = "wrong" if degree == "wrong" else relation
        relation, degree = flipped.get(both, both), "right"
    base = bound.claim.as_json()
    contrary = _played(scene, bound)
    return Judgement(
        relation=relation,
        degree=degree,
        evidence=contrary,
        contrary=contrary,
        says=tuple(says),
        notes=_notes(scene, bound, groups, states, relation),
        truth=_truths(scene, bound, groups, states, base),
    )


def _groups(scene: Scene, bound: Bound) -> list[_Group]:
    """Each part alone, or the pair together."""

    def crooks(unit: Unit) -> tuple[Crooked, ...]:
        found = (crook_at(scene.table, i, bound.bars.first) for i in unit.lines)
        return tuple(dict.fromkeys(c for c in found if c is not None))

    pair = bound.named_units("pair")
    if pair:
        each = [crooks(u) for u in pair]
        joined = tuple(c for own in each for c in own)
        return [_Group(pair, joined if all(each) else ())]
    return [_Group((u,), crooks(u), _drums(scene, u, bound.bars.first)) for u in bound.units]


def _drums(scene: Scene, unit: Unit, bar: int) -> frozenset[int]:
    """What the drums of a unit are tuned to; empty for other instruments."""
    return frozenset().union(*(drum_pitches(scene.table, i, bar) for i in unit.lines))


def _state(scene: Scene, group: _Group, pitch: PitchName) -> str:
    """ "open", "doubtful" or "not open" for the best placed of the group."""
    if group.drums:
        shift = _written(scene, group) if pitch.written else 0
        whole = pitch.midi is not None
        tuned = group.drums if whole else {p % 12 for p in group.drums}
        wanted = (pitch.midi or 0) + shift if whole else (pitch.pc + shift) % 12
        return "open" if wanted in tuned else "not open"
    best = "not open"
    for crooked in group.crooks:
        for midi in _candidates(scene, crooked, pitch):
            found = tone(midi, crooked.crook, crooked.instrument, scene.settings).openness
            best = max(best, found, key=lambda s: _RANK[s])
    return best


def _written(scene: Scene, group: _Group) -> int:
    """Semitones from written to sounding of a drum part."""
    parts = {u.part for u in group.units}
    return next((r.transposition for r in scene.table.first_readings if r.index in parts), 0)


def _candidates(scene: Scene, crooked: Crooked, pitch: PitchName) -> list[int]:
    """Sounding MIDI numbers a PITCH may stand for on that crook."""
    shift = crooked.crook.semitones if pitch.written else 0
    if pitch.midi is not None:
        return [pitch.midi + shift]
    pc = (pitch.pc + shift) % 12
    _, high = brass.partial_limits(crooked.instrument)
    top = brass.printed(high, crooked.crook) + 2
    return [m for m in range(24, top) if m % 12 == pc]


def _verdict(state: str, wanted: str) -> Verdict:
    if state == "doubtful":
        return "open"
    return "right" if (state == "open") is (wanted == "open") else "wrong"


def _crook(scene: Scene, bound: Bound, groups: Sequence[_Group]) -> tuple[Verdict, list[Sentence]]:
    """Is the crook the one named? Alto and basso are told apart only where both are said."""
    if not bound["crook"]:
        return "right", []
    note = _crook_note(bound["crook"])
    assert note is not None
    words = plain(bound["crook"]).split()
    for group in groups:
        for crooked in group.crooks:
            names = {note.pc, (note.pc - 1) % 12} if note.german_b else {note.pc}
            level = next((w for w in ("alto", "basso") if w in words), "")
            other = {"alto": "basso", "basso": "alto"}.get(level, "-")
            if crooked.crook.pc not in names or other in crooked.crook.name.split():
                if bound.named_units("pair"):
                    continue
                says = speech.say(
                    "claim.open.crook",
                    parts=speech.people(scene.table, group.units),
                    crook=group.words,
                )
                return "wrong", [says]
    return "right", []


def _says(states: Sequence[tuple[_Group, PitchName, str, str]]) -> list[Sentence]:
    says = []
    templates = {
        "open": "claim.open.has",
        "doubtful": "claim.open.doubtful",
        "not open": "claim.open.has-not",
    }
    drum_words = {"open": "claim.open.drums", "not open": "claim.open.no-drum"}
    for group in dict.fromkeys(g for g, *_ in states):
        for state, template in (drum_words if group.drums else templates).items():
            tones = [p.text for g, p, s, _ in states if g is group and s == state]
            if tones:
                labels = [u.label for u in group.units]
                says.append(speech.say(template, parts=labels, crook=group.words, pitches=tones))
    return says


def _played(scene: Scene, bound: Bound) -> tuple[Evidence, ...]:
    """What the parts play in the claimed bars, or their rests: the proof on the page."""
    units = bound.named_units("pair") or bound.units
    return tuple(
        e
        for unit in units
        for e in proof.playing_or_rests(scene.table, unit.lines, bound.bars.first, bound.bars.last)
    )


def _notes(
    scene: Scene,
    bound: Bound,
    groups: Sequence[_Group],
    states: Sequence[tuple[_Group, PitchName, str, str]],
    relation: Verdict,
) -> tuple[Sentence, ...]:
    notes = []
    horn = any(c.instrument == "horn" for g in groups for c in g.crooks)
    if horn and any(state == "not open" for _, _, state, _ in states):
        notes.append(speech.say("claim.open.hand"))
    wanted = {p.pc for p in bound["pitches"] if p.midi is None and not p.written}
    if relation == "right" and wanted and len(wanted) == len(bound["pitches"]) > 1:
        lines = [i for u in bound.units for i in u.lines]
        rows = proof.attacked(scene.table, lines, bound.bars.start, bound.bars.end)
        rows = rows[(rows["pitch"] >= 0) & ~np.isin(rows["pitch"] % 12, list(wanted))]
        others = dict.fromkeys(speech.pitch_class(row) for row in rows)
        if others:
            notes.append(speech.say("claim.open.plays", pitches=list(others)))
    return tuple(notes)


def _truths(
    scene: Scene,
    bound: Bound,
    groups: Sequence[_Group],
    states: Sequence[tuple[_Group, PitchName, str, str]],
    base: dict[str, object],
) -> tuple[dict[str, object], ...]:
    """The tones that are open for everybody asked, and those that are not for anybody."""
    tones = dict.fromkeys(p for _, p, _, _ in states)
    by_tone = {p: [s for _, q, s, _ in states if q is p] for p in tones}
    open_ = [p.as_json() for p, found in by_tone.items() if set(found) == {"open"}]
    closed = [p.as_json() for p, found in by_tone.items() if set(found) == {"not open"}]
    crooks = {c.crook.name for g in groups for c in g.crooks}
    value = {**base, "negated": False, "pitches": open_, "missing": closed}
    if bound["crook"] and len(crooks) == 1:
        value["crook"] = crooks.pop()
    return (value,) if open_ or closed or bound["crook"] else ()


KIND = Kind(
    name="open-tones",
    says="what natural brass can play",
    form=Form(
        (
            Field("crook", Text(40)),
            Field("pitches", Many(PitchField()), default=()),
            Field("missing", Many(PitchField()), default=()),
            Field("pair", Many(PartField())),
        )
    ),
    judge=judge,
    check=check,
    part_fields=("pair",),
    readings=frozenset({"german-b"}),
)
