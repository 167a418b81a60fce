"""Reading of the German B, which is B flat: taken for B natural, everything is a semitone off."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from analysis.engine.analyses.attacks import memo
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bound, Scene
from analysis.engine.claims.fields import PitchName, SaidKey, read_pitch
from analysis.engine.claims.variants import Variant
from analysis.engine.instruments.names import parse_label
from analysis.engine.model import ScoreTable
from analysis.engine.pitch import Key, Pitch, spelled
from analysis.engine.sentences import register

register(
    {
        "claim.reading.german-b": (
            "The B of German names is B flat, a semitone lower; B natural is called H there."
        ),
        "claim.reading.german-b.h": (
            "H is the German name of B natural; B flat, a semitone lower, is called B there."
        ),
    }
)

_B, _FLAT = 6, -1


def german_b(bound: Bound, scene: Scene) -> Iterator[Variant]:
    """What was said of B natural, said of B flat.

    A key is asked whatever the page says: no other slip makes a key a semitone off, whether it was
    called B or H; not what was called si or Ces. Notes and transpositions only where a label names
    its B in German, for else a B that is a B flat is more likely a signature forgotten.
    """
    key = bound.claim.fields.get("key")
    of_h = isinstance(key, SaidKey) and _letter(key) == "h"
    say = (speech.say("claim.reading.german-b.h" if of_h else "claim.reading.german-b"),)
    for changed in _changes(bound, scene.table):
        yield Variant(bound.with_fields(**changed), scene, say=say)


def _changes(bound: Bound, table: ScoreTable) -> Iterator[dict[str, Any]]:
    fields = bound.claim.fields
    key = fields.get("key")
    if isinstance(key, Key):
        if (key.step, key.alter) == (_B, 0) and _letter(key) in "bh":
            yield {"key": replace(key, alter=_FLAT)}
        return
    if bound.claim.kind == "layout":
        claimed = fields.get("transposition")
        if claimed is not None and claimed % 12 == 11 and _in_german_b(bound, table):
            yield {"transposition": claimed - 1}
        return
    if not _names_german_b(table):
        return
    for name in ("pitch", "root"):
        flat = _flat(fields.get(name))
        if flat is not None:
            yield {name: flat}
    if bound.claim.kind == "open-tones" and _in_german_b(bound, table):
        yield from _tones(fields)


def _letter(key: Key) -> str:
    """How the name of the key begins as it was said, "b" or "h" or "s" of si."""
    said = key.text if isinstance(key, SaidKey) else key.name
    return said.strip()[:1].casefold()


def _tones(fields: Any) -> Iterator[dict[str, Any]]:
    """Open tones: the B alone, or all of them reckoned from B natural."""
    asked = {name: fields.get(name) or () for name in ("pitches", "missing")}
    alone = {name: tuple(_flat(p) or p for p in own) for name, own in asked.items()}
    if alone != asked:
        yield alone
    lower = {name: tuple(_lower(p) for p in own) for name, own in asked.items()}
    if lower != asked:
        yield lower


def _flat(claimed: Any) -> PitchName | None:
    """The B flat of a claimed "B" or "B4"; None for any other note, and for "H" or "si"."""
    if not isinstance(claimed, PitchName) or (claimed.step, claimed.alter) != (_B, 0):
        return None
    text = claimed.text.strip()
    if text[:1] not in "bB":
        return None
    midi = None if claimed.midi is None else claimed.midi - 1
    return replace(claimed, text=f"Bb{text[1:]}", pc=10, midi=midi, alter=_FLAT)


def _lower(claimed: PitchName) -> PitchName:
    """The same step a semitone lower: D sharp becomes D, F sharp F."""
    name = spelled(claimed.step, claimed.alter - 1)
    if claimed.midi is not None:
        found = read_pitch(claimed.text)
        assert isinstance(found, Pitch)
        name += str(found.octave)
    midi = None if claimed.midi is None else claimed.midi - 1
    pc = (claimed.pc - 1) % 12
    return replace(claimed, text=name, pc=pc, midi=midi, alter=claimed.alter - 1)


def _in_german_b(bound: Bound, table: ScoreTable) -> bool:
    """Whether each named part is one of those whose label names a B in German."""
    parts = {unit.part for named in bound.everyone for unit in named.units}
    return bool(parts) and parts <= _parts(table)


def _names_german_b(table: ScoreTable) -> bool:
    return bool(_parts(table))


def _parts(table: ScoreTable) -> frozenset[int]:
    """Parts "in B" that are in B flat."""
    return memo(table, "_german_b", lambda: frozenset(_found(table)))


def _found(table: ScoreTable) -> Iterator[int]:
    for reading in table.parts:
        crooks = parse_label(reading.label).crooks
        if any(c.german_b for c in crooks) and (reading.transposition - 10) % 12 == 0:
            yield reading.index
