"""Layout: the page before any note. Instruments, transposition, clefs, players, staves."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from analysis.engine.analyses.layout import STANDS_FOR, clefs, instruments_in
from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bound, Judgement, Kind, Scene, Verdict
from analysis.engine.claims.facts import combine_units, worst
from analysis.engine.claims.fields import Field, Form, Many, PartField, Text, Whole
from analysis.engine.claims.schema import Claim
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.instruments.names import parse_label
from analysis.engine.instruments.table import INSTRUMENTS
from analysis.engine.model import Evidence, PartReading, ScoreTable, Sentence
from analysis.engine.names import Unit, players_of
from analysis.engine.pitch import plain
from analysis.engine.sentences import register

register(
    {
        "claim.layout.instrument": "{part} is for {instrument}.",
        "claim.layout.lower": "{part} sounds {count} semitones lower than written.",
        "claim.layout.higher": "{part} sounds {count} semitones higher than written.",
        "claim.layout.as-written": "{part} sounds as written.",
        "claim.layout.clef": "{part} stands in {clefs}.",
        "claim.layout.players": "{part} has {count} players.",
        "claim.layout.player": "{part} is for one player.",
        "claim.layout.section": "{part} is a section; its players are not counted on the page.",
        "claim.layout.shares": "{part} shares its staff with {others}.",
        "claim.layout.alone": "{part} has a staff of its own.",
        "claim.layout.absent": "There is no {name} in this movement.",
        "claim.layout.present": "There is a part for {names}: {parts}.",
        "claim.layout.changes": "It changes within these bars.",
        "claim.layout.not": "That it is not.",
    }
)

#: Clef words in four languages -> sign and line (MusicXML); common practice.
CLEFS: dict[str, str] = {
    "treble": "G2", "violin": "G2", "g": "G2", "sol": "G2", "violinschlussel": "G2",
    "chiave di violino": "G2", "cle de sol": "G2",
    "bass": "F4", "f": "F4", "fa": "F4", "basso": "F4", "bassschlussel": "F4",
    "chiave di basso": "F4", "cle de fa": "F4",
    "alto": "C3", "viola": "C3", "altschlussel": "C3", "contralto": "C3", "ut 3": "C3",
    "tenor": "C4", "tenorschlussel": "C4", "tenore": "C4", "ut 4": "C4",
    "soprano": "C1", "mezzo soprano": "C2", "baritone": "F3", "percussion": "percussion",
}  # fmt: skip


def check(claim: Claim) -> None:
    said = [n for n in ("instrument", "transposition", "clef", "players") if claim[n] is not None]
    about_parts = bool(said) or bool(claim["shares-staff-with"])
    if not about_parts and not claim["absent"]:
        raise ClaimNotUnderstood(
            "What of the layout: instrument, transposition, clef, players, a shared staff, "
            "or who is absent?"
        )
    if about_parts and not claim.parts:
        raise ClaimNotUnderstood("Which part's layout? None is named.")
    if claim["clef"] is not None:
        clef_named(claim["clef"])
    if claim["instrument"] is not None:
        instruments_named(claim["instrument"])
    for name in claim["absent"]:
        instruments_named(name)


def clef_named(text: str) -> str:
    """Sign and line of a clef by its word or sign; ClaimNotUnderstood if it is none."""
    word = plain(text).replace("clef", "").replace("-", " ").strip()
    if word.upper() in ("G1", "G2", "F3", "F4", "F5", "C1", "C2", "C3", "C4", "C5"):
        return word.upper()
    if word in CLEFS:
        return CLEFS[word]
    raise ClaimNotUnderstood(f"“{text}” names no clef; write treble, alto, tenor or bass.")


def instruments_named(text: str) -> frozenset[str]:
    """Keys an instrument's name may mean; ClaimNotUnderstood if it is none."""
    if text in INSTRUMENTS:
        return frozenset({text})
    reading = parse_label(text)
    if not reading.candidates or reading.unknown:
        raise ClaimNotUnderstood(f"“{text}” names no instrument that I know.")
    return frozenset(reading.candidates)


def judge(scene: Scene, bound: Bound) -> Judgement:
    table = scene.table
    verdicts: list[tuple[Verdict, Verdict, Verdict]] = []
    says: list[Sentence] = []
    evidence: list[Evidence] = []
    for unit in bound.units:
        relation, degree, said = _unit(scene, bound, unit)
        verdicts.append(("right", relation, degree))
        says += said
        evidence += _first_notes(table, bound, unit)
    absent, said = _absent(scene, bound)
    says += said
    if verdicts:
        place, parts, relation, degree = combine_units(verdicts)
    else:
        place = parts = relation = degree = "right"
    relation = worst((relation, absent))
    if bound["absent"]:
        evidence += _witness(scene, bound)
    if bound.claim.negated:
        whole = worst((parts, relation, degree))
        flipped: dict[Verdict, Verdict] = {"right": "wrong", "wrong": "right"}
        parts, relation, degree = "right", flipped.get(whole, "open"), "right"
    return Judgement(
        place=place,
        parts=parts,
        relation=relation,
        degree=degree,
        evidence=tuple(evidence),
        contrary=tuple(evidence),
        says=tuple(says),
        truth=_truths(scene, bound),
    )


def _readings(table: ScoreTable, bound: Bound, part: int) -> list[PartReading]:
    bars = bound.bars
    later = [r for r in table.parts if r.index == part and bars.first < r.from_bar <= bars.last]
    return [table.reading_at(part, bars.first), *later]


def _unit(scene: Scene, bound: Bound, unit: Unit) -> tuple[Verdict, Verdict, list[Sentence]]:
    """Relation (instrument, staff) and degree (transposition, clef, players) of one part."""
    relation: list[Verdict] = []
    degree: list[Verdict] = []
    says: list[Sentence] = []
    readings = _readings(scene.table, bound, unit.part)
    if bound["instrument"] is not None:
        keys = instruments_named(bound["instrument"])
        own = {i for r in readings for i in _keys(scene.table, unit, r)}
        hits = [bool(keys & _keys(scene.table, unit, r)) for r in readings]
        relation.append("right" if all(hits) else "near" if any(hits) else "wrong")
        names = [INSTRUMENTS[i].name if i in INSTRUMENTS else i for i in sorted(own)]
        says.append(speech.say("claim.layout.instrument", part=unit.label, instrument=names))
    if bound["transposition"] is not None:
        found = list(dict.fromkeys(_transposition(scene.table, unit, r) for r in readings))
        degree.append(_transposed(bound["transposition"], found, strict=bound.claim.negated))
        says += [_say_transposition(unit, t) for t in found]
        if len(found) > 1:
            says.append(speech.say("claim.layout.changes"))
    if bound["clef"] is not None:
        wanted = clef_named(bound["clef"])
        used = clefs(scene.table, unit.part, bound.bars.first, bound.bars.last)
        degree.append(_clef_verdict(wanted, used))
        if len(used) > 1:
            says.append(speech.say("claim.layout.changes"))
        if used:
            says.append(speech.say("claim.layout.clef", part=unit.label, clefs=used))
    if bound["players"] is not None:
        verdict, said = _players(scene.table, unit, readings[0], bound["players"])
        degree.append(verdict)
        says.append(said)
    if bound["shares-staff-with"]:
        verdict, said = _shares(scene, bound, unit)
        relation.append(verdict)
        says.append(said)
    return worst(relation), worst(degree), says


def _keys(table: ScoreTable, unit: Unit, reading: PartReading) -> frozenset[str]:
    own = {reading.instrument} | {table.lines[i].instrument for i in unit.lines}
    return frozenset(own | {other for key in own for other in STANDS_FOR.get(key, ())})


def _transposition(table: ScoreTable, unit: Unit, reading: PartReading) -> int:
    """Of the reading; a line of another instrument on a shared staff has its own."""
    keys = {table.lines[i].instrument for i in unit.lines}
    if keys == {"double-bass"} and reading.instrument == "cello-and-bass":
        return reading.transposition - 12
    return reading.transposition


def _transposed(claimed: int, found: list[int], *, strict: bool = False) -> Verdict:
    """An octave apart in the same direction is near (alto for basso), unless `strict`."""
    if all(t == claimed for t in found):
        return "right"
    if any(t == claimed for t in found):
        return "near"
    same_way = all(
        (t - claimed) % 12 == 0 and (t * claimed > 0 or 0 in (t, claimed)) for t in found
    )
    return "near" if same_way and not strict else "wrong"


def _say_transposition(unit: Unit, semitones: int) -> Sentence:
    if not semitones:
        return speech.say("claim.layout.as-written", part=unit.label)
    way = "lower" if semitones < 0 else "higher"
    return speech.say(f"claim.layout.{way}", part=unit.label, count=abs(semitones))


def _clef_verdict(wanted: str, used: list[str]) -> Verdict:
    bare = [c[:2] if c[:1] in "GFC" else c for c in used]
    if not bare:
        return "open"
    if bare[0] == wanted:  # the one that stands there first; later ones are told
        return "right"
    return "near" if wanted in bare else "wrong"


def _players(
    table: ScoreTable, unit: Unit, reading: PartReading, claimed: int
) -> tuple[Verdict, Sentence]:
    known = INSTRUMENTS.get(reading.instrument)
    if known is not None and known.section:
        return "open", speech.say("claim.layout.section", part=unit.label)
    numbers = {n for i in unit.lines for n in players_of(table.lines[i])}
    count = len(reading.players) or len(numbers)
    if not count and known is not None:
        count = 1
    if count == 1:
        verdict: Verdict = "right" if claimed == 1 else "wrong"
        return verdict, speech.say("claim.layout.player", part=unit.label)
    says = speech.say("claim.layout.players", part=unit.label, count=speech.number(count))
    if not count:
        return "open", says
    return ("right" if count == claimed else "wrong"), says


def _shares(scene: Scene, bound: Bound, unit: Unit) -> tuple[Verdict, Sentence]:
    others = bound.named_units("shares-staff-with")
    on_staff = [
        line
        for line in scene.table.lines
        if line.part == unit.part and line.index not in unit.lines
    ]
    names = [line.name for line in on_staff]
    says = (
        speech.say("claim.layout.shares", part=unit.label, others=names)
        if names
        else speech.say("claim.layout.alone", part=unit.label)
    )
    return ("right" if all(o.part == unit.part for o in others) else "wrong"), says


def _absent(scene: Scene, bound: Bound) -> tuple[Verdict, list[Sentence]]:
    """Each named instrument has no part that plays in the movement."""
    if not bound["absent"]:
        return "right", []
    table = scene.table
    here = instruments_in(table, bound.movement)
    present = [n for n in bound["absent"] if instruments_named(n) & here]
    away = [n for n in bound["absent"] if n not in present]
    says: list[Sentence] = []
    says += [speech.say("claim.layout.absent", name=name) for name in away]
    for name in present:
        labels = [table.first_readings[p].label for p in _parts_for(scene, bound, name)]
        says.append(speech.say("claim.layout.present", names=name, parts=labels))
    if present:
        return "wrong", says
    return ("open" if "unknown" in here else "right"), says


def _parts_for(scene: Scene, bound: Bound, name: str) -> list[int]:
    keys = instruments_named(name)
    found = []
    for line in scene.table.lines:
        own = {line.instrument, *STANDS_FOR.get(line.instrument, ())}
        if own & keys:
            found.append(line.part)
    return list(dict.fromkeys(found))


def _first_notes(table: ScoreTable, bound: Bound, unit: Unit) -> tuple[Evidence, ...]:
    """The first note of the part in the bars, or its rests."""
    rows = proof.attacked(table, unit.lines, bound.bars.start, bound.bars.end)[:1]
    found = proof.notes(table, rows)
    return found or (proof.rests(table, unit.part, bound.bars.first, bound.bars.last),)


def _witness(scene: Scene, bound: Bound) -> Iterable[Evidence]:
    """For absent instruments: first notes of those that are there after all, or of everybody."""
    found: list[Evidence] = []
    table, movement = scene.table, bound.movement
    present = [p for name in bound["absent"] for p in _parts_for(scene, bound, name)]
    for part in dict.fromkeys(present or range(table.part_count)):
        if len(found) < 24:
            lines = [line.index for line in table.lines if line.part == part]
            start, end = table.bars[movement.first_bar].start, table.bars[movement.last_bar].end
            found += proof.notes(table, proof.attacked(table, lines, start, end)[:1])
    return found


def _truths(scene: Scene, bound: Bound) -> tuple[dict[str, Any], ...]:
    """What the page says of the first part named; who is absent among those claimed."""
    table = scene.table
    base = {**bound.claim.as_json(), "negated": False}
    found: list[dict[str, Any]] = []
    here = instruments_in(table, bound.movement)
    away = [n for n in bound["absent"] if not instruments_named(n) & here]
    for unit in bound.units:
        reading = table.reading_at(unit.part, bound.bars.first)
        value = {**base, "parts": [base["parts"][0] if len(bound.units) == 1 else reading.id]}
        if bound["instrument"] is not None and reading.instrument != "unknown":
            value["instrument"] = reading.instrument
        if bound["transposition"] is not None:
            value["transposition"] = _transposition(table, unit, reading)
        used = clefs(table, unit.part, bound.bars.first, bound.bars.last)
        if bound["clef"] is not None and used:
            value["clef"] = used[0][:2]
        if bound["players"] is not None:
            value["players"] = len(reading.players) or 1
        value["absent"] = away
        value.pop("shares-staff-with", None)
        others = [x for x in table.lines if x.part == unit.part and x.index not in unit.lines]
        if bound["shares-staff-with"] and others:
            value["shares-staff-with"] = [x.name for x in others]
        found.append(value)
    if not bound.units:
        found.append({**base, "absent": away} if away else {**base, "negated": True})
    return tuple(found)


KIND = Kind(
    name="layout",
    says="the page before any note",
    form=Form(
        (
            Field("instrument", Text(80)),
            Field("transposition", Whole(-36, 36)),
            Field("clef", Text(40)),
            Field("players", Whole(1, 99)),
            Field("shares-staff-with", Many(PartField()), default=()),
            Field("absent", Many(Text(80)), default=()),
        ),
        parts=False,
        bars=False,
    ),
    judge=judge,
    check=check,
    part_fields=("shares-staff-with",),
    pitched=False,
    readings=frozenset({"reversed", "german-b"}),
)
