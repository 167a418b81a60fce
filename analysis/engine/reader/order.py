"""Repeats, endings and jumps: the bars in the order they are played."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from analysis.engine.model import Movement, Notice
from analysis.engine.reader.bars import Signs

#: A file that plays more bars than this is taken in printed order instead.
MOST_BARS = 20_000


def endings(signs: Sequence[Signs]) -> list[tuple[int, ...]]:
    """Numbers of the ending bracket over each bar; () where there is none."""
    out: list[tuple[int, ...]] = []
    current: tuple[int, ...] = ()
    for sign in signs:
        if sign.ending:
            current = _numbers(sign.ending)
        out.append(current)
        if sign.ending_stop:
            current = ()
    return out


def _numbers(text: str) -> tuple[int, ...]:
    found: list[int] = []
    for low, high in re.findall(r"(\d+)(?:\s*[-\u2013]\s*(\d+))?", text):
        found.extend(range(int(low), min(int(high or low), int(low) + 99) + 1))
    return tuple(dict.fromkeys(found)) or (1,)


@dataclass(slots=True)
class _Walk:
    """One movement played through."""

    signs: Sequence[Signs]
    over: Sequence[tuple[int, ...]]
    first: int
    last: int
    played: list[tuple[int, int]] = field(default_factory=list)
    passes: dict[int, list[int]] = field(default_factory=dict)
    jumped: bool = False

    def play(self, bar: int, time: int) -> None:
        earlier = self.passes.setdefault(bar, [])
        number = max(earlier) + 1 if self.jumped and earlier else time
        if self.jumped and not earlier:
            number = time
        earlier.append(number)
        self.played.append((bar, number))


def play(
    signs: Sequence[Signs], movements: Sequence[Movement]
) -> tuple[list[tuple[int, int]], list[tuple[int, ...]], list[Notice]]:
    """The order of play and the passes of every bar.

    Parameters
    ----------
    signs : sequence of Signs
        One a bar, united over all parts: a repeat printed in one part holds
        for all.
    movements : sequence of Movement
        A repeat without an opening sign goes back to the start of its
        movement (or to the bar after the last repeat).

    Returns
    -------
    order : list of (bar index, pass)
    passes : list of tuple
        Passes in which each bar is played. A second ending is played in pass
        2 only; bars after a jump (da capo) get the next free number. Repeats
        are left out after a jump, as is the custom.
    notices : list of Notice
        ``repeats-too-long`` where the walk was given up.
    """
    over = endings(signs)
    order: list[tuple[int, int]] = []
    passes: list[tuple[int, ...]] = [(1,)] * len(signs)
    notices: list[Notice] = []
    for movement in movements:
        walk = _Walk(signs, over, movement.first_bar, movement.last_bar)
        _play(walk, MOST_BARS - len(order))
        bars = range(movement.first_bar, movement.last_bar + 1)
        if len(walk.played) + len(order) > MOST_BARS:
            notices.append(
                Notice(
                    "repeats-too-long",
                    "The repeats of this movement make it longer than"
                    f" {MOST_BARS} bars; it is taken as printed, without repeats.",
                    (movement.first_bar, movement.last_bar),
                )
            )
            order += [(bar, 1) for bar in bars]
            continue
        order += walk.played
        for bar in bars:
            passes[bar] = tuple(walk.passes.get(bar, ())) or (1,)
    return order, passes, notices


def _play(walk: _Walk, room: int) -> None:
    bar, start, time = walk.first, walk.first, 1
    used: set[str] = set()
    while walk.first <= bar <= walk.last and len(walk.played) <= room:
        sign = walk.signs[bar]
        if sign.forward and bar != start:
            start, time = bar, 1
        numbers = walk.over[bar]
        if numbers and not _taken(walk, bar, numbers, time):
            bar += 1
            continue
        walk.play(bar, time)
        jump = _jump(walk, bar, used)
        if jump is not None:
            if jump < 0:
                return
            bar = start = jump
            time = 1
            continue
        if sign.backward and not walk.jumped and time < _times(walk, start, bar):
            time += 1
            bar = start
            continue
        if _section_ends(walk, bar):
            start, time = bar + 1, 1
        bar += 1


def _taken(walk: _Walk, bar: int, numbers: tuple[int, ...], time: int) -> bool:
    """Whether a bar under an ending is played this time; after a jump the last ending is."""
    if walk.jumped:
        return not _later_ending(walk, bar)
    return time in numbers


def _later_ending(walk: _Walk, bar: int) -> bool:
    """Whether another ending of the same group follows the bracket over `bar`."""
    own = walk.over[bar]
    i = bar
    while i <= walk.last and walk.over[i] == own:
        i += 1
    return i <= walk.last and bool(walk.over[i]) and min(walk.over[i]) > max(own)


def _times(walk: _Walk, start: int, bar: int) -> int:
    """How often the section from `start` to the repeat sign at `bar` is played.

    Endings decide (the highest number of the group, if its bracket has no
    repeat of its own it is the way out); else the `times` of the sign.
    """
    numbers = walk.over[bar]
    if not numbers:
        return walk.signs[bar].backward
    return max(numbers) + 1 if _later_ending(walk, bar) else max(numbers)


def _section_ends(walk: _Walk, bar: int) -> bool:
    """Whether a repeated section ends at `bar`, so that the count starts anew after it."""
    own = walk.over[bar]
    if not own:
        return walk.signs[bar].backward > 0
    last_of_bracket = bar == walk.last or walk.over[bar + 1] != own or walk.signs[bar].ending_stop
    return last_of_bracket and not _later_ending(walk, bar)


def _jump(walk: _Walk, bar: int, used: set[str]) -> int | None:
    """Where play goes after `bar`; None = on, -1 = this is the end. Each jump is taken once."""
    jumps = walk.signs[bar].jumps or {}
    if walk.jumped:
        if "fine" in jumps:
            return -1
        if "tocoda" in jumps and "coda-taken" not in used:
            used.add("coda-taken")
            target = _find(walk, "coda", jumps["tocoda"], bar + 1)
            if target is not None:
                return target
    for name in ("dacapo", "dalsegno"):
        key = f"{name}-{bar}"
        if name in jumps and key not in used:
            used.add(key)
            walk.jumped = True
            if name == "dacapo":
                return walk.first
            target = _find(walk, "segno", jumps[name], walk.first)
            return walk.first if target is None else target
    return None


def _find(walk: _Walk, name: str, wanted: str, start: int) -> int | None:
    found = [bar for bar in range(start, walk.last + 1) if name in (walk.signs[bar].jumps or {})]
    for bar in found:
        if (walk.signs[bar].jumps or {}).get(name) == wanted:
            return bar
    return found[0] if found else None
