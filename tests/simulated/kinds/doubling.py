"""Which parts go together, and at how many octaves: fully, in part, or in so many levels."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from tests.simulated import runs
from tests.simulated.expecting import (
    BASS_WRITTEN,
    PLACE,
    UNTRANSPOSED,
    Reading,
    Variant,
)
from tests.simulated.judging import (
    RIGHT,
    WRONG,
    Asked,
    Between,
    Verdicts,
    denied,
    flag_of,
    place_of,
    together,
)
from tests.simulated.kinds import parallel
from tests.simulated.music import Bools, Music
from tests.simulated.runs import Row

#: shares of the contract: full (with a note from .8 on), and the least that is more than contact
FULL, LEAST = 0.8, 0.1
#: "at least one bar": shorter ones, with a rest behind, might still be counted as one
SHORT = 0.5
MOST_OCTAVES = 5


@dataclass(frozen=True)
class _Try:
    """A way to take a claim: bars where it is surely so, and possibly; what is only near in it."""

    sure: frozenset[int]
    possible: frozenset[int]
    relation: str = "right"
    degree: str = "right"


def judge(music: Music, asked: Asked) -> Between | None:
    if asked.fields.get("levels") is not None:
        return _levels(music, asked)
    if asked.fields.get("coverage") == "none":
        return _nobody(music, asked)
    tries = []
    for part in asked.parts:
        own = _tries(music, asked, part)
        if own is None:
            return None
        tries.append(own)
    bars = asked.bars
    if asked.negated:
        # A mere contact is no doubling; of one in part the contract does not say.
        sure = {b for own in tries for b in own[0].sure}
        return denied(sure, {b for own in tries for t in own[:2] for b in t.possible}, bars)
    low = together([_best([(t.sure, t) for t in own], bars) for own in tries])
    units = [_best([(t.possible, t) for t in own], bars) for own in tries]
    high = together(units)
    if len(units) > 1:
        # Another distance and in part besides are two nears: with a third it is for the ear.
        near = {"relation": "near", "degree": "near"}
        loose = [u if u.all_right or u.any_wrong else u._replace(**near) for u in units]
        if flag_of(together(loose)) != flag_of(high):
            return None
    return Between(low, high)


def _best(found: Sequence[tuple[frozenset[int], _Try]], bars: range) -> Verdicts:
    every = [
        Verdicts(place_of(true, bars), "right", t.relation, t.degree) if true & set(bars) else WRONG
        for true, t in found
    ]
    return min(every, key=lambda v: (v.any_wrong, list(v).count("near")))


def _tries(music: Music, asked: Asked, part: int) -> list[_Try] | None:
    """For one part against the union of `with`; None where a part is no single line."""
    octaves, full = asked.fields.get("octaves"), asked.fields.get("coverage", "full") == "full"
    either = not asked.fields.get("direction", True)
    sets: dict[str, set[int]] = {n: set() for n in ("sure", "maybe", "part", "any", "every")}
    for other in asked.fields["with"]:
        if other == part:
            return None
        row = runs.row_of(music, part, other, asked.first, asked.last)
        if row is None:
            return None
        if not len(row.onset):
            continue
        every = runs.classes_met(row)
        met = every
        if octaves is not None:
            met = runs.octaves_met(row, octaves)
            if either and octaves:
                met = met | runs.octaves_met(row, -octaves)
        sets["sure"] |= runs.surely(music, row, met)
        sets["maybe"] |= runs.possibly(music, row, met, FULL, bars=SHORT)
        sets["any"] |= runs.possibly(music, row, met, LEAST)
        sets["every"] |= runs.possibly(music, row, every, LEAST)
        if runs.in_part(music, row, met, asked.bars):
            sets["part"] |= set(asked.bars)
    return _ways({n: frozenset(s) for n, s in sets.items()}, full)


def _ways(sets: dict[str, frozenset[int]], full: bool) -> list[_Try]:
    none: frozenset[int] = frozenset()
    if full:
        exact = _Try(sets["sure"], sets["maybe"] | sets["sure"])
        near = _Try(sets["part"] | sets["sure"], sets["any"], "near")
    else:
        exact = _Try(sets["part"] - sets["maybe"], sets["any"] - sets["sure"])
        near = _Try(sets["sure"] | sets["part"], sets["any"], "near")
    # Another distance than claimed: near or wrong, the contract does not say.
    return [exact, near, _Try(none, sets["every"], "right", "near")]


def _levels(music: Music, asked: Asked) -> Between | None:
    """Two parts on so many octave levels: one in unison, two an octave apart.

    Completeness counts here: where anybody else may go with them, nothing is said.
    """
    a, b = asked.parts
    for part in music.parts:
        if part in (a, b) or not music.attacking[part, asked.first : asked.last + 1].any():
            continue
        other = runs.row_of(music, part, a, asked.first, asked.last)
        if other is None:
            return None
        if runs.possibly(music, other, runs.classes_met(other), LEAST) & set(asked.bars):
            return None
    row = runs.row_of(music, a, b, asked.first, asked.last)
    if row is None or not len(row.onset):
        return None
    wanted = asked.fields["levels"]
    sure = {n: runs.surely(music, row, _distant(row, n - 1)) for n in (1, 2)}
    for n, true in sure.items():
        if set(asked.bars) <= true:
            found = RIGHT if (n == wanted) is not asked.negated else WRONG
            return Between(found, found)
    return None


def _nobody(music: Music, asked: Asked) -> Between | None:
    """No other part doubles the one, at any distance and however fully; to meet is no doubling."""
    (part,) = asked.parts
    sure: set[int] = set()
    possible: set[int] = set()
    for other in music.parts:
        first, last = max(asked.first - runs.MARGIN, 0), asked.last + runs.MARGIN + 1
        if other == part or not music.attacking[other, first:last].any():
            continue
        row = runs.row_of(music, other, part, asked.first, asked.last)
        if row is None:
            if not music.single[part, first:last].all():
                return None
            possible |= set(asked.bars)
            continue
        met = runs.classes_met(row)
        for octaves in np.unique((row.a - row.b)[met]).tolist():
            sure |= runs.surely(music, row, runs.octaves_met(row, octaves // 12), motion=2)
        possible |= runs.possibly(music, row, met, LEAST)
    alone = (set(asked.bars) - possible, set(asked.bars) - sure)
    if asked.negated:
        return denied(alone[0], alone[1], asked.bars)
    low, high = (Verdicts(place=place_of(a, asked.bars)) if a else WRONG for a in alone)
    return Between(low, high)


def _plain(asked: Asked) -> bool:
    """Whether the claim is about parts and those they double."""
    return asked.fields.get("levels") is None and asked.fields.get("coverage") != "none"


def _distant(row: Row, octaves: int) -> Bools:
    return runs.octaves_met(row, octaves) | runs.octaves_met(row, -octaves)


# --- readings -------------------------------------------------------------------------------


def _octave_count(music: Music, asked: Asked) -> Iterator[Variant]:
    if asked.fields.get("levels") is not None:
        for levels in (1, 2):
            if levels != asked.fields["levels"]:
                yield Variant(music, asked.but(levels=levels))
    elif _plain(asked) and asked.fields.get("octaves") is not None:
        for octaves in range(-MOST_OCTAVES, MOST_OCTAVES + 1):
            if octaves != asked.fields["octaves"]:
                yield Variant(music, asked.but(octaves=octaves, direction=True))


def _partial(music: Music, asked: Asked) -> Iterator[Variant]:
    if asked.fields.get("coverage", "full") == "full" and asked.fields.get("levels") is None:
        yield Variant(music, asked.but(coverage="partial"))


def _instead(*intervals: str) -> Reading:
    """They move in parallel instead: throughout the claimed bars, part by part."""

    def variants(music: Music, asked: Asked) -> Iterator[Variant]:
        if not _plain(asked):
            return
        found = [parallel.bars_of(music, asked, p, intervals) for p in asked.parts]
        if any(f is None for f in found):
            yield Variant(music, asked, Between(WRONG, RIGHT))
            return
        bars = set(asked.bars)
        low = all(bars <= f[0] for f in found if f)
        high = all(bars <= f[1] for f in found if f)
        yield Variant(music, asked, Between(RIGHT if low else WRONG, RIGHT if high else WRONG))

    code = {"third": "third-as-octave", "sixth": "sixth-as-octave"}[intervals[0]]
    return Reading(code, "conflicts", "claim", variants)


def _contact(music: Music, asked: Asked) -> Iterator[Variant]:
    """ "Less: contact (they only meet)": once or twice in the claimed bars, and in no run there."""
    if not _plain(asked):
        return
    low = high = True
    met = 0
    for part in asked.parts:
        for other in asked.fields["with"]:
            row = runs.row_of(music, part, other, asked.first, asked.last)
            if row is None:
                low = False
                met += 1
                continue
            classes = runs.classes_met(row)
            inside = np.isin(row.bar, list(asked.bars))
            count = int((classes & inside).sum())
            met += count
            if count >= runs.LEAST or runs.possibly(music, row, classes, LEAST) & set(asked.bars):
                low = False
            sure = runs.surely(music, row, classes) & set(asked.bars)
            if sure:
                high = False
    if not met:
        low = high = False
    yield Variant(music, asked, Between(RIGHT if low else WRONG, RIGHT if high else WRONG))


READINGS = (
    *PLACE,
    BASS_WRITTEN,
    Reading("octave-count", "partly", "pitch", _octave_count),
    Reading("partial-as-full", "partly", "claim", _partial),
    UNTRANSPOSED,
    _instead("third", "tenth"),
    _instead("sixth"),
    Reading("contact", "conflicts", "claim", _contact),
)
