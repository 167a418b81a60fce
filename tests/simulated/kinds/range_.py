"""The highest or lowest note of a part, in a passage or in the movement."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace

from tests.simulated.expecting import BASS_WRITTEN, PLACE, UNTRANSPOSED, Reading, Rule, Variant
from tests.simulated.judging import WRONG, Asked, Between, Verdicts, denied, place_of_occurrence
from tests.simulated.kinds.shape import DrawnKind, Sort, span
from tests.simulated.music import Music

_NAMES = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
_SHARP = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")


def name_of(midi: int, sharp: bool = False) -> str:
    """ "Eb4" of 63."""
    return f"{(_SHARP if sharp else _NAMES)[midi % 12]}{midi // 12 - 1}"


def extreme(music: Music, asked: Asked) -> tuple[int, set[int]] | None:
    """The pitch and its bars; None where the part has nothing there, or a note held into it."""
    notes = music.notes[asked.parts[0]]
    there = notes.pitch >= 0
    start, end = music.starts[asked.first], music.starts[asked.last + 1]
    if asked.fields["within"] == "passage":
        there &= (notes.onset >= start) & (notes.onset < end)
    if not there.any():
        return None
    highest = asked.fields["extreme"] == "highest"
    found = int(notes.pitch[there].max() if highest else notes.pitch[there].min())
    if asked.fields["within"] == "passage":
        held = (notes.onset < start) & (notes.end > start) & (notes.pitch >= 0)
        beyond = notes.pitch[held] >= found if highest else notes.pitch[held] <= found
        if beyond.any():
            return None
    at = notes.onset[there & (notes.pitch == found)]
    return found, set(music.bar_of(at).tolist())


def judge(music: Music, asked: Asked) -> Between | None:
    told = extreme(music, asked)
    if told is None:
        return None
    pitch, bars = told
    if asked.negated:
        true = bars if pitch == asked.fields["midi"] else set()
        return denied(true, true, asked.bars)
    place = "right"
    low = high = place
    if asked.fields["within"] == "movement":
        low = high = place = place_of_occurrence(bars, asked.bars)
        if place == "wrong" and bars & {asked.first - 1, asked.last + 1}:
            high = "near"
    if pitch == asked.fields["midi"]:
        return Between(Verdicts(place=low), Verdicts(place=high))
    if (pitch - asked.fields["midi"]) % 12:
        return Between(WRONG, Verdicts(place=place, degree="wrong"))
    # Another octave: near or wrong, the contract does not say (the reading does).
    return Between(Verdicts(place=low, degree="wrong"), Verdicts(place=high, degree="near"))


def _octave_count(music: Music, asked: Asked) -> Iterator[Variant]:
    for by in (-24, -12, 12, 24):
        yield Variant(music, asked.but(midi=asked.fields["midi"] + by))


def sorts(music: Music, rng: random.Random) -> list[Sort]:
    parts = [
        p for p in music.parts if len(music.notes[p].pitch) and (music.notes[p].pitch >= 0).all()
    ]
    shifted = [p for p in parts if music.transposition(p)]
    if not parts:
        return []

    def claim(pool: list[int], within: str) -> Asked | None:
        if not pool:
            return None
        part = rng.choice(pool)
        fields = {"extreme": rng.choice(("highest", "lowest")), "within": within}
        asked = Asked("range", *span(rng, music), (part,), fields)
        told = extreme(music, asked)
        if told is None:
            return None
        pitch, bars = told
        if within == "movement":
            bar = rng.choice(sorted(bars))
            first, last = (
                max(bar - rng.randint(0, 3), 0),
                min(bar + rng.randint(0, 3), music.bars - 1),
            )
            asked = replace(asked, first=first, last=last)
        return _spelled(asked, pitch)

    def _spelled(asked: Asked, midi: int) -> Asked:
        return asked.but(midi=midi, pitch=name_of(midi, rng.random() < 0.3))

    def true() -> Asked | None:
        return claim(parts, rng.choice(("passage", "passage", "movement")))

    def off() -> Asked | None:
        """Another note near by, or the right one an octave off."""
        found = true()
        if found is None:
            return None
        return _spelled(
            found, found.fields["midi"] + rng.choice((-2, -1, 1, 2, 12, -12, 24, 5, -3))
        )

    def place() -> Asked | None:
        found = claim(parts, "movement")
        if found is None:
            return None
        first, last = span(rng, music)
        return replace(found, first=first, last=last)

    def beside() -> Asked | None:
        found, by = claim(parts, "movement"), rng.choice((-1, 1))
        if found is None:
            return None
        told = extreme(music, found)
        assert told is not None
        bar = rng.choice(sorted(told[1])) + by
        return replace(found, first=bar, last=bar) if 0 <= bar < music.bars else None

    def on_paper() -> Asked | None:
        """The note as it is written, of a transposing part."""
        found = claim(shifted, rng.choice(("passage", "movement")))
        if found is None:
            return None
        return _spelled(found, found.fields["midi"] - (music.transposition(found.parts[0]) or 0))

    def negated() -> Asked | None:
        found = rng.choice((true, off))()
        return replace(found, negated=True) if found else None

    return [("true", False, true), ("off", True, off), ("place", False, place),
            ("beside", True, beside), ("paper", True, on_paper), ("true", False, true),
            ("negated", False, negated)]  # fmt: skip


_COUNT = Reading("octave-count", "partly", "pitch", _octave_count)
KIND = DrawnKind(Rule(judge, (*PLACE, BASS_WRITTEN, _COUNT, UNTRANSPOSED)), sorts)
__all__ = ["KIND", "extreme", "judge", "name_of"]
