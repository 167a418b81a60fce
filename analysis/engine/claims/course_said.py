"""The course of a part as it is: with whom it goes in each bar; its steps in words and as a claim.

Doublings are those of `doubling_facts`, with the tutor's word; blemishes of a bar are taken out as
`analyses.course_facts` and `analyses.course_pairs` do it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

from analysis.engine.analyses import course_facts, course_pairs
from analysis.engine.analyses.attacks import memo
from analysis.engine.analyses.course_facts import Step
from analysis.engine.analyses.course_pairs import TOGETHER, State
from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bars, Scene
from analysis.engine.claims.doubling_facts import facts_between
from analysis.engine.claims.fields import JSON
from analysis.engine.claims.naming import part_json, place_json
from analysis.engine.claims.speech import Phrase
from analysis.engine.model import ScoreTable
from analysis.engine.names import Unit
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "claim.course.rests": "rests in {bars}",
        "claim.course.alone": "alone in {bars}",
        "claim.course.with": "with {company} in {bars}",
        "claim.course.with.octaves": "with {company} {octaves} in {bars}",
        "claim.course.apart": "apart from {company} in {bars}",
    }
)

FULL = frozenset({"full", "noted"})
LOOSE = frozenset({"simplified", "heterophonic", "partial"})


@dataclass(frozen=True)
class Piece:
    """A step as it is: bars (indices), the lines it goes with, octaves above them if known."""

    first: int
    last: int
    company: tuple[int, ...]
    octaves: int | None = None
    rests: bool = False


def steps_of(table: ScoreTable, line: int, settings: Settings) -> tuple[Step, ...]:
    """All steps of a line in the score, by place; built once."""

    def build() -> tuple[Step, ...]:
        plays = course_facts.playing_bars(table, line)
        return tuple(
            step
            for first, last in course_facts.stretches(table, plays)
            for step in course_facts.steps(table, line, first, last, settings)
        )

    return memo(table, f"_course-{line}-{hash(settings)}", build)


def states_of(table: ScoreTable, a: int, b: int, settings: Settings) -> tuple[State, ...]:
    """What two players of one kind do, by place; built once."""
    key = f"_course-pair-{a}-{b}-{hash(settings)}"
    return memo(table, key, lambda: tuple(course_pairs.states(table, a, b, settings)))


def bars_with(
    scene: Scene, unit: Unit, other: Unit, octaves: int | None, *, loosely: bool = False
) -> frozenset[int]:
    """Bars in which the unit goes with the other, at so many octaves (None: any).

    `loosely`: or plays a simpler, richer or partial version of it.
    """
    if scene.tutor_on("doubling"):
        return _bars_with(scene, unit, other, octaves, loosely)
    store: dict[tuple[object, ...], frozenset[int]] = memo(
        scene.table, f"_course-with-{hash(scene.settings)}", dict
    )
    key = (unit.lines, other.lines, octaves, loosely)
    if key not in store:
        store[key] = _bars_with(scene, unit, other, octaves, loosely)
    return store[key]


def _bars_with(
    scene: Scene, unit: Unit, other: Unit, octaves: int | None, loosely: bool
) -> frozenset[int]:
    found: set[int] = set()
    wanted = FULL | LOOSE if loosely else FULL
    for fact in facts_between(scene, unit, (other,), any_octave=octaves is None):
        alike = octaves is None or fact.value.get("octaves") == octaves
        if (
            fact.value["coverage"] in wanted
            and alike
            and not (octaves is not None and fact.value.get("flips"))
        ):
            found |= fact.bars
    told = {b for w in scene.tutor_on("doubling") for b in range(w.first, w.last + 1)}
    for line in unit.lines:
        for first, last in _smoothed(scene, line, other.lines, octaves):
            found |= set(range(first, last + 1)) - told
    return frozenset(found)


def _smoothed(
    scene: Scene, line: int, others: Sequence[int], octaves: int | None
) -> Iterable[tuple[int, int]]:
    """Steps and states that take a blemish of one bar along."""
    for step in steps_of(scene.table, line, scene.settings):
        for who, apart in step.company:
            if who in others and (octaves is None or apart == octaves):
                yield step.first, step.last
    for other in others:
        if is_pair(scene.table, line, other):
            for state in states_of(scene.table, line, other, scene.settings):
                alike = octaves is None or state.octaves == octaves
                if state.word == TOGETHER and alike:
                    yield state.first, state.last


def is_pair(table: ScoreTable, a: int, b: int) -> bool:
    """Players of one kind, or first and second violins: a pair that splits and rejoins."""
    known = memo(table, "_course_pairs", lambda: frozenset(course_pairs.pairs(table)))
    desks = course_facts.desks(table)
    return (a, b) in known or (b, a) in known or desks[a] == desks[b]


def make_pair(table: ScoreTable, unit: Unit, other: Unit) -> bool:
    """Whether two parts are such a pair; lines of a divided section count with it."""
    return any(is_pair(table, a, b) for a in unit.lines for b in other.lines)


def bars_alone(scene: Scene, unit: Unit, named: Sequence[Unit]) -> frozenset[int]:
    """Bars in which the unit goes with nobody; of a pair, in which the two are not together.

    Parameters
    ----------
    named : sequence of Unit
        Whom the other steps name. Where all of them make a pair with it, being alone is being
        apart from them; else players of its own desk may go along.
    """
    table = scene.table
    if named and all(make_pair(table, unit, o) for o in named):
        together = {b for o in named for b in bars_with(scene, unit, o, None)}
        apart = {
            bar
            for a in unit.lines
            for o in named
            for b in o.lines
            if is_pair(table, a, b)
            for state in states_of(table, a, b, scene.settings)
            if state.word != TOGETHER
            for bar in range(state.first, state.last + 1)
        }
        return frozenset(set(range(len(table.bars))) - together | apart)
    found: set[int] = set()
    for line in unit.lines:
        desk = course_facts.desks(table)
        plays = course_facts.playing_bars(table, line)
        own = course_facts.partners(table, scene.settings).get(line, {})
        mates = [k.index for k in table.lines if desk[k.index] == desk[line] and k.index != line]
        company = {b for b, who in own.items() if who}
        if not named:
            units = [Unit(table.lines[k].part, (k,), table.lines[k].name) for k in mates]
            company |= {b for u in units for b in bars_with(scene, unit, u, None)}
        found |= {b for b in range(len(table.bars)) if plays[b] and b not in company}
        for step in steps_of(table, line, scene.settings):
            if not step.company and (named or not mates):
                found |= set(range(step.first, step.last + 1))
    return frozenset(found)


# --- as it is -----------------------------------------------------------------


def pieces(scene: Scene, unit: Unit, named: Sequence[Unit], bars: Bars) -> list[Piece]:
    """The course within these bars: with those named, with others where none of them goes."""
    table = scene.table
    others = [u for u in named if not set(u.lines) & set(unit.lines)]
    goes = [bars_with(scene, unit, u, None) for u in others]
    sounding = proof.bars_sounding(table, unit.lines)
    pair = bool(others) and all(make_pair(table, unit, u) for u in others)
    company = {
        bar: step.who
        for step in reversed(steps_of(table, unit.lines[0], scene.settings))
        for bar in range(step.first, step.last + 1)
    }

    def key(bar: int) -> tuple[tuple[int, ...], bool]:
        who = {k for u, true in zip(others, goes, strict=True) if bar in true for k in u.lines}
        if not who and not pair:
            who = set(company.get(bar, ()))
        return tuple(sorted(who)), not who and bar not in sounding

    found = []
    for (who, rests), same in groupby(bars.indices, key):
        run = list(same)
        octaves = _distance(scene, unit, who, run) if who else None
        found.append(Piece(run[0], run[-1], who, octaves, rests))
    return found


def _distance(scene: Scene, unit: Unit, who: Sequence[int], bars: Sequence[int]) -> int | None:
    """The one distance to all of them throughout these bars, if there is one."""
    lines = scene.table.lines
    units = [Unit(lines[k].part, (k,), lines[k].name) for k in who]
    for octaves in (0, -1, 1, -2, 2, -3, 3, -4, 4):
        if all(set(bars) <= bars_with(scene, unit, u, octaves) for u in units):
            return octaves
    return None


def piece_words(table: ScoreTable, piece: Piece, named: Sequence[Unit], *, pair: bool) -> Phrase:
    """ "with Vl I two octaves lower in bars 5–8"."""
    bars = speech.bars(table, piece.first, piece.last)
    if piece.rests:
        return speech.phrase("claim.course.rests", bars=bars)
    if not piece.company:
        if pair:
            who = [u.label for u in named]
            return speech.phrase("claim.course.apart", company=who, bars=bars)
        return speech.phrase("claim.course.alone", bars=bars)
    who = speech.line_names(table, piece.company)[:4]
    if piece.octaves is None:
        return speech.phrase("claim.course.with", company=who, bars=bars)
    octaves = speech.octaves(piece.octaves)
    return speech.phrase("claim.course.with.octaves", company=who, bars=bars, octaves=octaves)


def piece_value(table: ScoreTable, piece: Piece) -> JSON:
    """A step of a claim that says what is."""
    company = [
        part_json(table, Unit(table.lines[k].part, (k,), table.lines[k].name))
        for k in piece.company
    ]
    value: JSON = {"bars": place_json(table, piece.first, piece.last), "with": company}
    if company and piece.octaves is not None:
        value["octaves"] = piece.octaves
    if piece.rests:
        value["role"] = "silence"
    return value
