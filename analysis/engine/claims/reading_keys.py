"""Reading of keys: a key only touched, by its dominant, within another one."""

from __future__ import annotations

from collections.abc import Iterator

from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bound, Judgement, Scene
from analysis.engine.claims.variants import Variant
from analysis.engine.errors import EngineError
from analysis.engine.model import Finding
from analysis.engine.pitch import Key, parse_key
from analysis.engine.sentences import register

register(
    {
        "claim.reading.tonicisation": (
            "{key} is touched there, by its own dominant, and I find no cadence that settles it: "
            "whether that is a change of key is for the ear."
        ),
    }
)


def touched_only(bound: Bound, scene: Scene) -> Iterator[Variant]:
    """The claimed key, where one of its chords is led to by its dominant in the claimed bars."""
    key = bound.claim.fields.get("key")
    if isinstance(key, Key):
        say = speech.say("claim.reading.tonicisation", key=key.words)
        yield Variant(bound, scene, _touched, (say,))


def _touched(scene: Scene, bound: Bound) -> Judgement:
    wanted: Key = bound.claim.fields["key"]
    bars = bound.bars
    for finding in scene.of_kind("key-route", bound.movement.index):
        touched = finding.sentence.template.startswith("tonicisation")
        if not touched or finding.first > bars.last or finding.last < bars.first:
            continue
        if wanted.sound in {k.sound for k in _keys(finding)}:
            return Judgement(evidence=finding.evidence, judged=True)
    rows = proof.rows_of(scene.table, range(len(scene.table.lines)), bars.start, bars.end)
    return Judgement(degree="wrong", contrary=proof.notes(scene.table, rows))


def _keys(finding: Finding) -> list[Key]:
    found = []
    for name in finding.value.get("keys", ()):
        try:
            found.append(parse_key(str(name)))
        except EngineError:
            continue
    return found
