"""The flag and the cause a claim deserves: as written, then the contract's readings in order."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from tests.simulated.judging import Asked, Between, Verdicts, flag_of
from tests.simulated.music import Music

Judge = Callable[[Music, Asked], "Between | None"]


class Variant(NamedTuple):
    """A claim read otherwise: by its kind's own rule, or already judged."""

    music: Music
    asked: Asked
    judged: Between | None = None


class Reading(NamedTuple):
    code: str
    flag: str  # "partly" or "conflicts"
    sort: str  # "place", "pitch", "claim"
    variants: Callable[[Music, Asked], Iterator[Variant]]


@dataclass(frozen=True)
class Rule:
    """One kind: how it is judged, and the readings that may be tried."""

    judge: Judge
    readings: tuple[Reading, ...]


@dataclass(frozen=True)
class Expected:
    """`causes`: the codes that would be right; None among them where none need be named."""

    flag: str
    causes: frozenset[str | None]

    @property
    def named(self) -> bool:
        return None not in self.causes


class _Outcomes:
    def __init__(self) -> None:
        self.flags: set[str] = set()
        self.causes: set[str | None] = set()

    def add(self, flag: str, *causes: str | None) -> None:
        self.flags.add(flag)
        self.causes.update(causes)


def expected(music: Music, asked: Asked, rule: Rule) -> Expected | None:
    """What the contract says of a claim; None where it leaves more than one flag."""
    bounds = rule.judge(music, asked)
    if bounds is None:
        return None
    outcomes = _Outcomes()
    for verdicts in dict.fromkeys(bounds):
        if not _follow(music, asked, rule, verdicts, outcomes):
            return None
        if len(outcomes.flags) > 1:
            return None
    return Expected(outcomes.flags.pop(), frozenset(outcomes.causes))


def _follow(
    music: Music, asked: Asked, rule: Rule, verdicts: Verdicts, outcomes: _Outcomes
) -> bool:
    """Go through the steps for one view of the facts; False where nothing can be said."""
    if verdicts.all_right:
        outcomes.add("agrees", None)
        return True
    for codes, flag, fits in _tried(music, asked, rule, verdicts):
        if fits != "no":
            outcomes.add(flag, *codes)
        if fits == "yes":
            return True
        if len(outcomes.flags) > 1:
            return False
    outcomes.add(flag_of(verdicts), None)
    return True


def _tried(
    music: Music, asked: Asked, rule: Rule, verdicts: Verdicts
) -> Iterator[tuple[tuple[str, ...], str, str]]:
    """Codes, flag and whether it fits ("yes", "no", "maybe"), reading by reading, then pairs."""
    readings = [r for r in rule.readings if verdicts.any_wrong or r.flag == "partly"]
    if asked.negated:  # "no pitch readings are tried"; of a place nothing is said
        for reading in readings:
            if reading.sort == "place":
                for variant in reading.variants(music, asked):
                    fits = _fits(rule, variant)
                    yield (reading.code,), reading.flag, "no" if fits == "no" else "maybe"
        return
    for reading in readings:
        for variant in reading.variants(music, asked):
            yield (reading.code,), reading.flag, _fits(rule, variant)
    for place in (r for r in readings if r.sort == "place"):
        for moved in place.variants(music, asked):
            for pitch in (r for r in readings if r.sort == "pitch"):
                for variant in pitch.variants(music, moved.asked):
                    fits = _fits(rule, variant)
                    if pitch.flag != place.flag and fits != "no":
                        yield (place.code,), place.flag, "maybe"
                        yield (pitch.code,), pitch.flag, "maybe"
                    else:
                        yield (place.code, pitch.code), place.flag, fits


def _fits(rule: Rule, variant: Variant) -> str:
    found = variant.judged or rule.judge(variant.music, variant.asked)
    if found is None:
        return "maybe"
    if found.low.all_right:
        return "yes"
    return "maybe" if found.high.all_right else "no"


# --- readings that several kinds have -------------------------------------------------------


def _one_bar(music: Music, asked: Asked) -> Iterator[Variant]:
    for by in (-1, 1):
        if asked.first + by >= 0 and asked.last + by < music.bars:
            yield Variant(music, asked.moved(by))


def _other_ending(music: Music, asked: Asked) -> Iterator[Variant]:
    """The same bars of the bracket beside it, where all claimed ones stand under one."""
    brackets: list[list[int]] = []  # runs of bars with one number, each directly after the other
    for bar, number in enumerate(music.page.endings):
        if number and bar and music.page.endings[bar - 1] == number:
            brackets[-1].append(bar)
        elif number:
            brackets.append([bar])
    for one, other in pairwise(brackets):
        numbers = [music.page.endings[b[0]].split(",")[0] for b in (one, other)]
        if one[-1] + 1 != other[0] or numbers[0] >= numbers[1]:
            continue
        for here, there in ((one, other), (other, one)):
            by = there[0] - here[0]
            inside = here[0] <= asked.first and asked.last <= here[-1]
            if inside and asked.last + by <= there[-1]:
                yield Variant(music, asked.moved(by))


def _pickup(music: Music, asked: Asked) -> Iterator[Variant]:
    """The pickup counted as bar 1: every number one too high."""
    if (music.page.implicit or music.page.labels[0] == "0") and asked.first > 0:
        yield Variant(music, asked.moved(-1))


def _named(asked: Asked) -> list[int]:
    others = (asked.fields.get(n, ()) for n in ("with", "upper", "lower"))
    return [*asked.parts, *(p for own in others for p in own)]


def written(octaves: bool) -> Callable[[Music, Asked], Iterator[Variant]]:
    """Parts off by octaves, or the others, taken as written: all of them, then those alike."""

    def variants(music: Music, asked: Asked) -> Iterator[Variant]:
        parts = [
            p
            for p in dict.fromkeys(_named(asked))
            if (shift := music.transposition(p)) and (shift % 12 == 0) is octaves
        ]
        if music.at_written or not parts:
            return
        by_shift: dict[int, list[int]] = {}
        for part in parts:
            by_shift.setdefault(music.transposition(part) or 0, []).append(part)
        for chosen in [parts] if len(by_shift) == 1 else [parts, *by_shift.values()]:
            yield Variant(music.as_written(chosen), asked)

    return variants


PLACE = (
    Reading("pickup", "partly", "place", _pickup),
    Reading("ending", "partly", "place", _other_ending),
    Reading("bar-offset", "partly", "place", _one_bar),
)
BASS_WRITTEN = Reading("bass-written", "partly", "pitch", written(octaves=True))
UNTRANSPOSED = Reading("untransposed", "conflicts", "pitch", written(octaves=False))
