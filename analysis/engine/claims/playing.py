"""Who sounds: play, rest, only, tutti, silence; and whether the place is the only one."""

from __future__ import annotations

from collections.abc import Sequence

from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bars, Bound, Judgement, Kind, Scene, Verdict
from analysis.engine.claims.facts import (
    Fact,
    combine_units,
    place_verdict,
    stretch,
    stretches,
    with_tutor,
)
from analysis.engine.claims.fields import Field, Form, Word, YesNo
from analysis.engine.claims.naming import part_json, place_json
from analysis.engine.claims.negation import deny
from analysis.engine.claims.only import judge_only
from analysis.engine.claims.schema import Claim
from analysis.engine.claims.silence import judge_silence
from analysis.engine.claims.tutti import judge_tutti
from analysis.engine.claims.unique import unique
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.model import Evidence, ScoreTable, Sentence
from analysis.engine.names import Unit
from analysis.engine.sentences import register

register(
    {
        "claim.playing.play": "{parts} play in {bars}.",
        "claim.playing.play.one": "{parts} plays in {bars}.",
        "claim.playing.rest": "{parts} rest in {bars}.",
        "claim.playing.rest.one": "{parts} rests in {bars}.",
        "claim.playing.only": "Only {parts} play in {bars}.",
        "claim.playing.only.one": "Only {parts} plays in {bars}.",
        "claim.playing.tutti": "Everybody plays in {bars}.",
        "claim.playing.silence": "Nobody sounds in {bars}.",
        "claim.playing.part": "{part} plays in {playing} and rests in {resting}.",
        "claim.playing.part.plays": "{part} plays in {bars}.",
        "claim.playing.part.rests": "{part} rests in {bars}.",
        "claim.playing.others": "{parts} play as well.",
        "claim.playing.others.one": "{parts} plays as well.",
        "claim.playing.resting": "{parts} rest there.",
        "claim.playing.resting.one": "{parts} rests there.",
        "claim.playing.brass": "{parts} have no note of these chords: their rest does not count.",
        "claim.playing.brass.one": "{parts} has no note of these chords: its rest does not count.",
        "claim.playing.short": "Nearly everybody: {parts} rest.",
        "claim.playing.short.one": "Nearly everybody: {parts} rests.",
        "claim.playing.families": "No {families} there.",
        "claim.playing.sounds": "{parts} sound there.",
        "claim.playing.sounds.one": "{parts} sounds there.",
        "claim.playing.pause": "Nobody sounds for a part of it.",  # in stored answers
        "claim.playing.shorter": "There are shorter silences too: {bars}.",
        "claim.playing.again": "It is not the only such place: there is also {bars}.",
    }
)


def check(claim: Claim) -> None:
    if claim["mode"] in ("play", "rest", "only") and not claim.parts:
        raise ClaimNotUnderstood("Who plays or rests? No part is named.")


def judge(scene: Scene, bound: Bound) -> Judgement:
    rule = {
        "play": _sounds,
        "rest": _sounds,
        "only": judge_only,
        "tutti": judge_tutti,
        "silence": judge_silence,
    }[bound["mode"]]
    return rule(scene, bound)


# --- play and rest ------------------------------------------------------------


def _sounds(scene: Scene, bound: Bound) -> Judgement:
    table, bars, mode = scene.table, bound.bars, bound["mode"]
    true = {unit: _unit_bars(scene, bound, unit, mode) for unit in bound.units}
    if bound.claim.negated:
        return _deny_units(scene, bound, true, mode)
    verdicts = [(place_verdict(t, bars, scene.settings), _right(), _right()) for t in true.values()]
    if not any(true.values()) or all(not (t & set(bars.indices)) for t in true.values()):
        # Not once: what is claimed of them, not the place, is not so.
        verdicts = [("right", "wrong", "right") for _ in true]
    place, parts, relation, degree = combine_units(verdicts)
    common = frozenset.intersection(*true.values())
    good = [u for u, v in zip(true, verdicts, strict=True) if "wrong" not in v]
    odd = [u for u in true if not set(bars.indices) <= true[u]]
    judgement = Judgement(
        place=place,
        parts=parts,
        relation=relation,
        degree=degree,
        evidence=tuple(
            e
            for unit in good
            for first, last in stretches(true[unit] & set(bars.indices))
            for e in proof.playing_or_rests(table, unit.lines, first, last)
        ),
        contrary=tuple(
            e
            for unit in odd
            for first, last in stretches(set(bars.indices) - true[unit])
            for e in proof.playing_or_rests(table, unit.lines, first, last)
        ),
        says=_say_units(table, bound, true, mode, odd),
        truth=_truths(table, bound, true, mode),
    )
    run = stretch(common, bars) if common else None
    if judgement.all_right:
        judgement = judgement.but(
            notes=tuple(speech.place_note(table, run, bars.first, bars.last)) + _tutor(scene, bound)
        )
    return unique(scene, bound, judgement, common)


def _right() -> Verdict:
    return "right"


def _unit_bars(scene: Scene, bound: Bound, unit: Unit, mode: str) -> frozenset[int]:
    """Bars of the movement in which the unit plays (or rests)."""
    sounding = proof.bars_sounding(scene.table, unit.lines)
    everything = range(bound.movement.first_bar, bound.movement.last_bar + 1)
    played = frozenset(b for b in everything if b in sounding)
    facts = [
        Fact(played, {"mode": "play"}, unit.lines),
        Fact(frozenset(everything) - played, {"mode": "rest"}, unit.lines),
    ]
    facts = _opposed(with_tutor(facts, scene, "playing", unit.lines))
    return frozenset(b for f in facts if f.value.get("mode") == mode for b in f.bars)


def _opposed(facts: list[Fact]) -> list[Fact]:
    """Where the tutor says "plays" the computed rest is gone, and the reverse."""
    told = {f.value.get("mode"): f.bars for f in facts if f.tutor}
    result = []
    for fact in facts:
        if fact.tutor is None:
            other = "rest" if fact.value["mode"] == "play" else "play"
            fact = Fact(fact.bars - told.get(other, frozenset()), fact.value, fact.lines)
        result.append(fact)
    return result


def _tutor(scene: Scene, bound: Bound) -> tuple[Sentence, ...]:
    lines = {line for unit in bound.units for line in unit.lines}
    return tuple(
        word.sentence
        for word in scene.tutor_on("playing")
        if lines & set(word.lines) and word.first <= bound.bars.last >= bound.bars.first
        and word.last >= bound.bars.first
    )  # fmt: skip


def _deny_units(
    scene: Scene, bound: Bound, true: dict[Unit, frozenset[int]], mode: str
) -> Judgement:
    """ "The violas never play": in no claimed bar any of them."""
    table, bars = scene.table, bound.bars
    some = frozenset(b for t in true.values() for b in t if b in bars.indices)
    counter: list[Evidence] = []
    for unit, t in true.items():
        for first, last in stretches(t & set(bars.indices)):
            counter += proof.playing_or_rests(table, unit.lines, first, last)
    shown = tuple(
        e for unit in true for e in proof.playing_or_rests(table, unit.lines, bars.first, bars.last)
    )
    found = deny(scene, bound, some, tuple(counter), evidence=shown)
    if some:
        who = [u for u in true if true[u] & some]
        run = stretch(some, bars)
        assert run is not None
        said = speech.say(
            f"claim.playing.{mode}", parts=speech.people(table, who), bars=speech.bars(table, *run)
        )
        return found.but(says=(*found.says, said))
    return found


def _say_units(
    table: ScoreTable,
    bound: Bound,
    true: dict[Unit, frozenset[int]],
    mode: str,
    odd: Sequence[Unit],
) -> tuple[Sentence, ...]:
    bars = bound.bars
    fine = [u for u in true if u not in odd]
    says = []
    if fine:
        where = speech.bars(table, bars.first, bars.last)
        says.append(
            speech.say(f"claim.playing.{mode}", parts=speech.people(table, fine), bars=where)
        )
    for unit in odd[:6]:
        says.append(_say_odd(table, bars, unit, true[unit], mode))
    return tuple(says)


def _say_odd(
    table: ScoreTable, bars: Bars, unit: Unit, true: frozenset[int], mode: str
) -> Sentence:
    inside = set(bars.indices)
    so, not_so = stretches(true & inside), stretches(inside - true)
    opposite = "rests" if mode == "play" else "plays"
    if not so:
        where = speech.bars(table, bars.first, bars.last)
        return speech.say(f"claim.playing.part.{opposite}", part=unit.label, bars=where)
    plays, rests = (so, not_so) if mode == "play" else (not_so, so)
    return speech.say(
        "claim.playing.part",
        part=unit.label,
        playing=[speech.bars(table, *s) for s in plays],
        resting=[speech.bars(table, *s) for s in rests],
    )


def _truths(
    table: ScoreTable, bound: Bound, true: dict[Unit, frozenset[int]], mode: str
) -> tuple[dict[str, object], ...]:
    base = bound.claim.as_json()
    found: list[dict[str, object]] = []
    good = [u for u in true if set(bound.bars.indices) <= true[u]]
    if good and len(good) < len(true):
        found.append({**base, "parts": [part_json(table, u) for u in good]})
    common = frozenset.intersection(*true.values())
    run = stretch(common & set(bound.bars.indices), bound.bars)
    if run:
        found.append({**base, "bars": place_json(table, *run)})
    if mode in ("play", "rest"):
        found.append({**base, "mode": "rest" if mode == "play" else "play"})
    run = stretch(common, bound.bars) if common else None
    if run:
        found.append({**base, "bars": place_json(table, *run)})
    return tuple(found)


KIND = Kind(
    name="playing",
    says="who plays and who rests",
    form=Form(
        (
            Field("mode", Word(("play", "rest", "only", "tutti", "silence")), required=True),
            Field("unique", YesNo(), default=False),
        ),
        parts=False,
    ),
    judge=judge,
    check=check,
    pitched=False,
)
