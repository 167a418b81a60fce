"""Crossing: a part lower on the page sounds above an upper one."""

from __future__ import annotations

from analysis.engine.analyses.crossing import Crossing, crossings
from analysis.engine.analyses.speech import bar_at
from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import WHERE_AND_WHO, Bound, Judgement, Kind, Scene, Verdict
from analysis.engine.claims.fields import Field, Form, PartField
from analysis.engine.claims.naming import place_json
from analysis.engine.claims.negation import deny
from analysis.engine.claims.occurrences import Span, clipped, nearest, place_verdict
from analysis.engine.model import Evidence, Sentence
from analysis.engine.sentences import register

register(
    {
        "claim.crossing.is": "{lower} sounds above {upper} in {bars}.",
        "claim.crossing.elsewhere": "{lower} sounds above {upper} in {bars}, not in {claimed}.",
        "claim.crossing.dip": "It is a single short note only.",
        "claim.crossing.not": "{lower} stays below {upper} in {bars}.",
        "claim.crossing.silent": "{part} rests there, so nothing crosses.",
        "claim.crossing.page": "{lower} stands above {upper} on the page already.",
        "claim.crossing.same": "They are one and the same line.",
    }
)


def judge(scene: Scene, bound: Bound) -> Judgement:
    table, bars = scene.table, bound.bars
    uppers = [i for u in bound.named_units("upper") for i in u.lines]
    lowers = [i for u in bound.named_units("lower") for i in u.lines]
    if set(uppers) & set(lowers):
        return Judgement(relation="open", says=(speech.say("claim.crossing.same"),))
    if min(lowers) < max(uppers):
        return _page_order(scene, bound)
    found = [
        c
        for a in uppers
        for b in lowers
        for c in crossings(table, a, b, scene.settings)
        if bound.movement.first_bar <= bar_at(table, c.start) <= bound.movement.last_bar
    ]
    spans = {_span(scene, c): c for c in sorted(found, key=lambda c: not c.dip)}
    told = _tutor(scene, bound, uppers, lowers)
    spans = {s: c for s, c in spans.items() if not _denied(scene, s, uppers, lowers)}
    every: list[Span] = [*spans, *told]
    names = {
        "upper": speech.people(table, bound.named_units("upper")),
        "lower": speech.people(table, bound.named_units("lower")),
    }
    both = [*uppers, *lowers]
    played = proof.notes_or_rests(table, both, bars)
    here = [s for s in every if s[0] <= bars.last and s[1] >= bars.first]
    shown = tuple(e for s in here if s in spans for e in _notes(scene, bound, spans[s]))
    if bound.claim.negated:
        clear = [s for s in here if s not in spans or not spans[s].dip]
        true = {b for s in (clear or here) for b in range(s[0], s[1] + 1)}
        notes = () if clear or not here else (speech.say("claim.crossing.dip"),)
        if here and not clear:
            # A dip is no clear run: the denial stands, with a note.
            return deny(scene, bound, (), (), evidence=shown, notes=notes)
        return deny(scene, bound, true, shown, evidence=played)
    place = place_verdict(every, bars, scene.settings)
    relation: Verdict = "right"
    where = nearest(here or every, bars)
    says: list[Sentence] = []
    silent = [
        u
        for u in (*bound.named_units("upper"), *bound.named_units("lower"))
        if not proof.bars_sounding(table, u.lines) & set(bars.indices)
    ]
    claimed = speech.bars(table, bars.first, bars.last)
    if here and where is not None:
        inside = speech.bars(table, *clipped(where, bars))
        says.append(speech.say("claim.crossing.is", bars=inside, **names))
    else:
        if not every:
            place, relation = "right", "wrong"
        said = [speech.say("claim.crossing.not", bars=claimed, **names)]
        if silent:
            said = [speech.say("claim.crossing.silent", part=u.label) for u in silent]
        says += said
        if where is not None:
            says = [
                speech.say(
                    "claim.crossing.elsewhere",
                    bars=speech.bars(table, *where),
                    claimed=claimed,
                    **names,
                )
            ]
    notes_: list[Sentence] = []
    if here and all(s in spans and spans[s].dip for s in here):
        notes_.append(speech.say("claim.crossing.dip"))
    rests = tuple(proof.rests(table, u.part, bars.first, bars.last) for u in silent)
    base = bound.claim.as_json()
    truths = []
    if where is not None:
        truths.append({**base, "bars": place_json(table, *clipped(where, bars))})
        tight = (where[0], min(where[1], where[0] + scene.settings.occurrence_bars - 1))
        truths.append({**base, "bars": place_json(table, *tight)})
    truths.append({**base, "negated": True})
    tutor = [w.sentence for w in scene.tutor_on("crossing") if told and set(both) <= set(w.lines)]
    return Judgement(
        place=place,
        relation=relation,
        evidence=shown,
        contrary=rests or played,
        says=tuple(says),
        notes=(*notes_, *tutor),
        truth=tuple(truths),
    )


def _page_order(scene: Scene, bound: Bound) -> Judgement:
    """The part called lower stands above on the page: to sound above is no crossing."""
    table, bars = scene.table, bound.bars
    upper, lower = bound.named_units("upper"), bound.named_units("lower")
    lines = [i for u in (*upper, *lower) for i in u.lines]
    shown = proof.notes_or_rests(table, lines, bars)
    says = speech.say(
        "claim.crossing.page",
        lower=speech.people(table, lower),
        upper=speech.people(table, upper),
    )
    denied = bound.claim.negated
    base = {**bound.claim.as_json(), "negated": True}
    return Judgement(
        relation="right" if denied else "wrong",
        evidence=shown,
        contrary=shown,
        says=(says,),
        truth=(base,),
    )


def _span(scene: Scene, crossing: Crossing) -> Span:
    table = scene.table
    return bar_at(table, crossing.start), bar_at(table, max(crossing.end - 1, crossing.start))


def _notes(scene: Scene, bound: Bound, crossing: Crossing) -> tuple[Evidence, ...]:
    """The crossing notes that lie in the claimed bars."""
    found: list[Evidence] = []
    for rows in (crossing.lower_rows, crossing.upper_rows):
        inside = (rows["onset"] < bound.bars.end) & (
            rows["onset"] + rows["duration"] > bound.bars.start
        )
        found += proof.notes(scene.table, rows[inside])
    return tuple(found)


def _tutor(scene: Scene, bound: Bound, uppers: list[int], lowers: list[int]) -> list[Span]:
    """Crossings the tutor put there."""
    return [
        (w.first, w.last)
        for w in scene.tutor_on("crossing")
        if w.says != "absent" and {*uppers, *lowers} <= set(w.lines)
    ]


def _denied(scene: Scene, span: Span, uppers: list[int], lowers: list[int]) -> bool:
    return any(
        w.says != "added"
        and {*uppers, *lowers} <= set(w.lines)
        and w.first <= span[0]
        and w.last >= span[1]
        for w in scene.tutor_on("crossing")
    )


KIND = Kind(
    name="crossing",
    says="a lower part that sounds above an upper one",
    form=Form(
        (
            Field("upper", PartField(), required=True),
            Field("lower", PartField(), required=True),
        ),
        parts=False,
    ),
    judge=judge,
    part_fields=("upper", "lower"),
    readings=WHERE_AND_WHO | {"bass-written", "old-bass-clef", "cello-treble", "untransposed"},
)
