"""Charitable readings: the claim as its writer may have meant it, or misread it.

Each reading turns a claim (or the table it is held against) into variants. One
that makes everything right is named and gives its flag. Adding a reading =
a function here and its line in `READINGS`, in the contract's order.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import Any, Literal

import numpy as np

from analysis.engine.analyses.attacks import memo
from analysis.engine.analyses.parallel import Interval
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bound, Flag, Judgement, Kind, Rule, Scene
from analysis.engine.claims.course_misread import in_steps
from analysis.engine.claims.misreadings import contact_rule, parallel_rule
from analysis.engine.claims.reading_clefs import CELLOS, cello_treble, old_bass_clef, other_clef
from analysis.engine.claims.reading_endings import other_ending, other_time
from analysis.engine.claims.reading_german import german_b
from analysis.engine.claims.reading_keys import touched_only
from analysis.engine.claims.reading_players import other_player
from analysis.engine.claims.variants import Make, Variant
from analysis.engine.claims.verdict import flag_of
from analysis.engine.model import NoteArray, ScoreTable, Sentence
from analysis.engine.names import Named, Unit
from analysis.engine.pitch import NATURAL
from analysis.engine.sentences import register

register(
    {
        "claim.reading.pickup": (
            "Everything fits one bar earlier, in {bars}: did you count the pickup as bar 1?"
        ),
        "claim.reading.bar-offset": "It fits {bars}: one bar off.",
        "claim.reading.bass-written": (
            "The right instruments, one octave more: {parts} sound an octave away from the page."
        ),
        "claim.reading.bass-written.one": (
            "The right instruments, one octave more: {parts} sounds an octave away from the page."
        ),
        "claim.reading.octave-count": "The right lines; only the number of octaves is another.",
        "claim.reading.octave-count.way": (
            "The right lines and the right distance; only which of them is above is the other way "
            "round."
        ),
        "claim.reading.octave-count.both": (
            "The right lines; the number of octaves is another, and so is which of them is above."
        ),
        "claim.reading.untransposed": (
            "True on paper, not in sound: {parts} do not sound as written, "
            "but {semitones} semitones {way}."
        ),
        "claim.reading.untransposed.one": (
            "True on paper, not in sound: {parts} does not sound as written, "
            "but {semitones} semitones {way}."
        ),
        "claim.reading.untransposed.step": (
            "True on paper, not in sound: {parts} do not sound as written, but a semitone {way}."
        ),
        "claim.reading.untransposed.step.one": (
            "True on paper, not in sound: {parts} does not sound as written, but a semitone {way}."
        ),
        "claim.reading.third-as-octave": "They move in parallel {interval}s, not in octaves.",
        "claim.reading.partial-as-full": "They go together in part only, not note for note.",
        "claim.reading.contact": "They only meet for a moment; it is no doubling.",
        "claim.reading.reversed": (
            "The direction is reversed: written C sounds {semitones} semitones {way}."
        ),
        "claim.reading.relative-key": "{key} is the relative key: look for the cadence.",
        "claim.reading.parallel-key": "{key} is the parallel key: look at the third.",
        "claim.reading.edition": "In this score these are {bars}.",
        "claim.reading.synonym": "Taken as {parts}.",
    }
)

Sort = Literal["name", "place", "pitch", "claim"]


@dataclass(frozen=True)
class Reading:
    """One cause code.

    `sort`: "name" and "place" readings move the claim, "pitch" readings change
    what is heard; one of each may go together. `only_if_wrong`: never lowers a
    near verdict. Denied claims get no "pitch" and no "claim" readings.
    """

    code: str
    flag: Flag
    sort: Sort
    make: Make

    @property
    def only_if_wrong(self) -> bool:
        return self.flag in ("conflicts", "ear")


def _names(bound: Bound, scene: Scene) -> Iterator[Variant]:
    """Further meanings of a collective: "winds" without the brass; in whichever field it stands."""
    fields = {"": bound.parts, **bound.named}
    places = [(field, n) for field, names in fields.items() for n in names]
    options = [(n.units, *n.others) for _, n in places]
    if not any(len(o) > 1 for o in options):
        return
    for choice in list(product(*options))[1:16]:
        taken: dict[str, list[Named]] = {field: [] for field in fields}
        for (field, n), units in zip(places, choice, strict=True):
            taken[field].append(replace(n, units=units, others=()))
        parts = tuple(taken.pop(""))
        named = {field: tuple(names) for field, names in taken.items()}
        told = [u.label for (_, n), units in zip(places, choice, strict=True) if n.others
                for u in units]  # fmt: skip
        yield Variant(
            replace(bound, parts=parts, named=named),
            scene,
            say=(speech.say("claim.reading.synonym", parts=told),),
        )


def _edition(bound: Bound, scene: Scene) -> Iterator[Variant]:
    """The student's own edition, as declared."""
    from analysis.engine.claims.papers import declared

    if scene.edition is not None and bound.claim.bars is not None:
        moved = declared(bound, scene.edition, scene)
        if moved is not None:
            where = speech.bars(scene.table, moved.bars.first, moved.bars.last)
            yield Variant(moved, scene, say=(speech.say("claim.reading.edition", bars=where),))


def _pickup(bound: Bound, scene: Scene) -> Iterator[Variant]:
    """The pickup counted as bar 1: every number one too high."""
    first = scene.table.bars[bound.movement.first_bar]
    if first.label == "0" or first.implicit:
        yield from _shifted(bound, scene, -1, "claim.reading.pickup")


def _offset(bound: Bound, scene: Scene) -> Iterator[Variant]:
    for size in range(1, scene.settings.bar_offset + 1):
        for by in (-size, size):
            yield from _shifted(bound, scene, by, "claim.reading.bar-offset")


def _shifted(bound: Bound, scene: Scene, by: int, template: str) -> Iterator[Variant]:
    moved = bound.moved(scene.table, by)
    if moved is not None:
        where = speech.bars(scene.table, moved.bars.first, moved.bars.last)
        yield Variant(moved, scene, say=(speech.say(template, bars=where, by=by),))


# --- what is heard ------------------------------------------------------------


def at_written_pitch(
    table: ScoreTable, lines: Sequence[int], only: Sequence[int] | None = None
) -> ScoreTable:
    """The table with some lines taken at written pitch, as a reader who forgets to transpose.

    `only`: lines the question is about; the notes of others are left out, to be quick.
    """
    store: dict[object, ScoreTable] = memo(table, "_written", dict)
    key = (tuple(sorted(lines)), None if only is None else tuple(sorted(set(only))))
    if key not in store:
        if len(store) > 32:
            store.clear()
        rows = table.notes if only is None else table.notes[np.isin(table.notes["line"], only)]
        rows = rows.copy()
        mask = np.isin(rows["line"], lines) & (rows["pitch"] >= 0)
        rows["pitch"][mask] = written_midi(rows[mask])
        for sounding, written in (("step", "wstep"), ("alter", "walter"), ("octave", "woctave")):
            rows[sounding][mask] = rows[written][mask]
        # A tie names its row: without all rows it would name another one.
        ties = table.continuations if only is None else table.continuations[:0]
        store[key] = replace(table, notes=rows, continuations=ties)
    return store[key]


def written_midi(rows: NoteArray) -> np.ndarray:
    """MIDI numbers of the notes as they stand on the staff."""
    natural = np.array(NATURAL)[rows["wstep"].astype(int)]
    midi: np.ndarray = 12 * (rows["woctave"].astype(int) + 1) + natural + rows["walter"]
    return midi


def _transposing(bound: Bound, scene: Scene, *, octaves: bool) -> list[Unit]:
    """Named units whose sound is not what is written: by octaves only, or otherwise."""
    found = []
    for named in bound.everyone:
        for unit in named.units:
            shift = _transposes(scene.table, unit, bound)
            if octaves and _by_habit(scene.table, unit):
                continue
            if shift and (shift % 12 == 0) is octaves and unit not in found:
                found.append(unit)
    return found


def _transposes(table: ScoreTable, unit: Unit, bound: Bound) -> int:
    """Semitones from written to sounding: by the notes there, else by the part's reading."""
    reading = table.reading_at(unit.part, bound.bars.first)
    return _shift_of(table, unit, bound) or reading.transposition


def _shift_of(table: ScoreTable, unit: Unit, bound: Bound) -> int:
    """Semitones from written to sounding of the unit's first note in the claimed bars."""
    rows = table.by_line[unit.lines[0]] if unit.lines else table.notes[:0]
    rows = rows[(rows["onset"] >= bound.bars.start) & (rows["onset"] < bound.bars.end)][:1]
    return int(rows["pitch"][0] - written_midi(rows)[0]) if len(rows) else 0


def _as_written(bound: Bound, scene: Scene, template: str, *, octaves: bool) -> Iterator[Variant]:
    units = _transposing(bound, scene, octaves=octaves)
    if not units or _alone_in_a_step(bound):
        return
    # All of them, then those that transpose alike: nobody misreads one of two clarinets in A.
    alike: dict[int, list[Unit]] = {}
    for unit in units:
        alike.setdefault(_transposes(scene.table, unit, bound), []).append(unit)
    choices = [units] if len(alike) == 1 else [units, *alike.values()]
    for chosen in choices[:8]:
        lines = [line for u in chosen for line in u.lines]
        shift = _transposes(scene.table, chosen[0], bound)
        say = speech.say(
            f"{template}.step" if abs(shift) == 1 else template,
            parts=[u.label for u in chosen],
            instrument=scene.table.lines[chosen[0].lines[0]].instrument,
            semitones=abs(shift),
            way="lower" if shift < 0 else "higher",
        )
        table = at_written_pitch(scene.table, lines, _asked_about(bound))
        variant = replace(scene, table=table)
        yield Variant(bound, variant, say=(say,))


def _alone_in_a_step(bound: Bound) -> bool:
    """A course with a step alone asks all lines of the score: too much for a mere trial."""
    return any(not step["with"] for step in bound.claim.fields.get("steps", ()))


def _asked_about(bound: Bound) -> list[int] | None:
    """Lines a claim is about; None where every line of the score counts."""
    fields = bound.claim.fields
    if fields.get("coverage") == "none" or fields.get("levels") is not None:
        return None
    return [line for named in bound.everyone for line in named.lines]


def _bass_written(bound: Bound, scene: Scene) -> Iterator[Variant]:
    yield from _as_written(bound, scene, "claim.reading.bass-written", octaves=True)


def _by_habit(table: ScoreTable, unit: Unit) -> bool:
    """A cello is off by an octave in one clef only: `cello_treble` tells that."""
    return {table.lines[i].instrument for i in unit.lines} <= CELLOS


def _untransposed(bound: Bound, scene: Scene) -> Iterator[Variant]:
    yield from _as_written(bound, scene, "claim.reading.untransposed", octaves=False)


def _of_octaves(claimed: Mapping[str, Any], octaves: int) -> Sentence:
    """What of a claimed distance is another: how far, which way, or both."""
    turned = bool(claimed.get("direction")) and octaves * claimed["octaves"] < 0
    if not turned:
        return speech.say("claim.reading.octave-count")
    far = abs(octaves) != abs(claimed["octaves"])
    return speech.say(f"claim.reading.octave-count.{'both' if far else 'way'}")


def _octave_count(bound: Bound, scene: Scene) -> Iterator[Variant]:
    say = (speech.say("claim.reading.octave-count"),)
    fields = bound.claim.fields
    if fields.get("coverage") == "none":
        return  # nobody, at whatever distance
    if fields.get("octaves") is not None:
        for octaves in range(-6, 7):
            if octaves != fields["octaves"]:
                changed = bound.with_fields(octaves=octaves, direction=True)
                yield Variant(changed, scene, say=(_of_octaves(fields, octaves),))
    elif fields.get("levels") is not None:
        for levels in (fields["levels"] - 1, fields["levels"] + 1):
            if levels >= 1:
                yield Variant(bound.with_fields(levels=levels), scene, say=say)
    elif fields.get("pitch") is not None and fields["pitch"].midi is not None:
        pitch = fields["pitch"]
        for by in (-24, -12, 12, 24):
            changed = bound.with_fields(pitch=replace(pitch, midi=pitch.midi + by))
            yield Variant(changed, scene, say=say)


# --- what it is instead -------------------------------------------------------


def _partial_as_full(bound: Bound, scene: Scene) -> Iterator[Variant]:
    if bound.claim.fields.get("coverage") == "full" and bound.claim.fields.get("levels") is None:
        say = (speech.say("claim.reading.partial-as-full"),)
        yield Variant(bound.with_fields(coverage="partial"), scene, say=say)


def _thirds(bound: Bound, scene: Scene) -> Iterator[Variant]:
    yield _parallel(bound, scene, ("third", "tenth"))


def _sixths(bound: Bound, scene: Scene) -> Iterator[Variant]:
    yield _parallel(bound, scene, ("sixth",))


def _parallel(bound: Bound, scene: Scene, intervals: tuple[Interval, ...]) -> Variant:
    say = speech.say("claim.reading.third-as-octave", interval=intervals[0])
    return Variant(bound, scene, _asked(parallel_rule(intervals), bound), (say,))


def _asked(rule: Rule, bound: Bound) -> Rule:
    """Of a course, asked step by step."""
    return in_steps(rule) if "steps" in bound.claim.fields else rule


def _contact(bound: Bound, scene: Scene) -> Iterator[Variant]:
    say = speech.say("claim.reading.contact")
    yield Variant(bound, scene, _asked(contact_rule, bound), (say,))


def _reversed(bound: Bound, scene: Scene) -> Iterator[Variant]:
    """A transposition with its direction turned: +5 for -7, or +7 for -7."""
    claimed = bound.claim.fields.get("transposition")
    if not claimed:
        return
    for turned in (-claimed, claimed - 12 if claimed > 0 else claimed + 12):
        way = "lower" if turned < 0 else "higher"
        say = speech.say("claim.reading.reversed", semitones=abs(turned), way=way)
        yield Variant(bound.with_fields(transposition=turned), scene, say=(say,))


def _relative(bound: Bound, scene: Scene) -> Iterator[Variant]:
    key = bound.claim.fields.get("key")
    if key is not None:
        say = speech.say("claim.reading.relative-key", key=key.words)
        yield Variant(bound.with_fields(key=key.relative), scene, say=(say,))


def _parallel_key(bound: Bound, scene: Scene) -> Iterator[Variant]:
    key = bound.claim.fields.get("key")
    if key is not None:
        say = speech.say("claim.reading.parallel-key", key=key.words)
        yield Variant(bound.with_fields(key=key.parallel), scene, say=(say,))


#: In the order of the contract's table. Causes that no other claim explains are named by the rules
#: themselves: two-statements and repetition (sequence), top-staff and filler (role), not-understood
#: and unconfirmed-part (answering).
READINGS: tuple[Reading, ...] = (
    Reading("synonym", "agrees", "name", _names),
    Reading("edition", "agrees", "name", _edition),
    Reading("pickup", "partly", "place", _pickup),
    Reading("ending", "partly", "place", other_ending),
    Reading("pass", "partly", "claim", other_time),
    Reading("bar-offset", "partly", "place", _offset),
    Reading("player", "partly", "claim", other_player),
    Reading("bass-written", "partly", "pitch", _bass_written),
    Reading("old-bass-clef", "partly", "pitch", old_bass_clef),
    Reading("cello-treble", "partly", "pitch", cello_treble),
    Reading("octave-count", "partly", "pitch", _octave_count),
    Reading("partial-as-full", "partly", "claim", _partial_as_full),
    Reading("untransposed", "conflicts", "pitch", _untransposed),
    Reading("reversed", "conflicts", "pitch", _reversed),
    Reading("clef", "conflicts", "pitch", other_clef),
    Reading("german-b", "conflicts", "claim", german_b),
    Reading("third-as-octave", "conflicts", "claim", _thirds),
    Reading("sixth-as-octave", "conflicts", "claim", _sixths),
    Reading("contact", "conflicts", "claim", _contact),
    Reading("relative-key", "partly", "claim", _relative),
    Reading("parallel-key", "partly", "claim", _parallel_key),
    Reading("tonicisation", "ear", "claim", touched_only),
)


@dataclass(frozen=True)
class Found:
    """The reading that fits: its code and flag, what was judged, what to say."""

    code: str
    flag: Flag
    judgement: Judgement
    bound: Bound
    say: tuple[Sentence, ...]


def find_reading(kind: Kind, bound: Bound, scene: Scene, as_written: Judgement) -> Found | None:
    """The first reading, in order, under which all is right: single ones, then pairs.

    A pair is one place reading with one pitch reading (contract, step 2), never with a "claim"
    one: what a claim is instead is asked of the bars it names. The graver gives flag and name.
    """
    readings = [r for r in READINGS if _may_be_tried(r, kind, bound, as_written)]
    for reading in readings:
        for variant in reading.make(bound, scene):
            found = _judge(kind, variant)
            if found.all_right and _is_sure(reading, found, as_written, scene):
                whole = _judge(kind, variant, trial=False)
                return Found(reading.code, reading.flag, whole, variant.bound, variant.say)
    places = [r for r in readings if r.sort == "place"]
    others = [r for r in readings if r.sort == "pitch"]
    for place in places:
        for moved in place.make(bound, scene):
            for reading in others:
                for variant in reading.make(moved.bound, scene):
                    found = _judge(kind, variant)
                    if found.all_right and _is_sure(reading, found, as_written, scene):
                        graver = reading if reading.only_if_wrong else place
                        say = (*variant.say, *moved.say)
                        whole = _judge(kind, variant, trial=False)
                        return Found(graver.code, graver.flag, whole, variant.bound, say)
    return None


def _is_sure(reading: Reading, found: Judgement, as_written: Judgement, scene: Scene) -> bool:
    """Sure enough for the reading's flag: what is judged conflicts only where it is as sure as a
    claim must be that conflicts as written, or does so as written."""
    settings = scene.settings
    if reading.flag == "conflicts" and found.judged:
        known = flag_of(as_written, settings) == "conflicts"
        return found.is_sure(settings) and (
            known or found.confidence >= settings.conflict_confidence
        )
    return found.is_sure(settings)


def _judge(kind: Kind, variant: Variant, *, trial: bool = True) -> Judgement:
    rule = variant.rule or kind.judge
    assert rule is not None
    return rule(replace(variant.scene, trial=trial), variant.bound)


def _may_be_tried(reading: Reading, kind: Kind, bound: Bound, as_written: Judgement) -> bool:
    if reading.code not in kind.readings and reading.sort != "name":
        return False
    if reading.only_if_wrong and not as_written.any_wrong:
        return False
    if not bound.claim.negated:
        return True
    if reading.sort == "place":
        # A denial is true nearly everywhere: that it fits the next bar says nothing, unless
        # what is denied only touches the edge of the claimed bars.
        return not as_written.any_wrong or _mostly_free(bound, as_written)
    return reading.sort == "name"


def _mostly_free(bound: Bound, as_written: Judgement) -> bool:
    return as_written.hits * 2 < len(bound.bars)
