"""The bar map: one list of bars for all parts."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from analysis.engine.model import TICKS, Bar, Notice
from analysis.engine.reader.raw import RawBar, Scan

_NOT_A_NUMBER = re.compile(r"^[Xx]\d*$")


@dataclass(slots=True)
class Signs:
    """What any part shows at one bar, all parts taken together."""

    forward: bool = False
    backward: int = 0
    ending: str = ""
    ending_stop: bool = False
    final: bool = False
    jumps: dict[str, str] | None = None


def unite(bars: Sequence[RawBar]) -> Signs:
    """Repeat signs of one bar: a sign printed in one part holds for all."""
    jumps: dict[str, str] = {}
    for bar in bars:
        for name, value in bar.jumps.items():
            jumps.setdefault(name, value)
    return Signs(
        forward=any(b.forward for b in bars),
        backward=max((b.backward for b in bars), default=0),
        ending=next((b.ending for b in bars if b.ending), ""),
        ending_stop=any(b.ending_stop for b in bars),
        final=any(b.final for b in bars),
        jumps=jumps,
    )


def expand_multirests(scan: Scan) -> list[list[int]]:
    """Bar index in the score of every `<measure>` of every part.

    Normally measure k is bar k. Some files write a rest of n bars as one
    measure; where the part is short and its next number jumps by n, the bars
    in between are put back.
    """
    most = max(len(bars) for bars in scan.bars)
    maps: list[list[int]] = []
    for bars in scan.bars:
        if len(bars) == most or not any(b.multirest > 1 for b in bars):
            maps.append(list(range(len(bars))))
            continue
        index, found = 0, []
        for k, bar in enumerate(bars):
            found.append(index)
            after = bars[k + 1].number if k + 1 < len(bars) else ""
            jump = bar.multirest if bar.multirest > 1 else 1
            told = after.isdigit() and bar.number.isdigit()
            if jump > 1 and told and int(after) != int(bar.number) + jump:
                jump = 1
            index += jump
        maps.append(found)
    return maps


def build(scan: Scan, maps: Sequence[Sequence[int]]) -> tuple[list[Bar], list[Signs], list[Notice]]:
    """Bars with label, start and length, from all parts together.

    Returns
    -------
    bars : list of Bar
        Without movements and passes, which need the whole list.
    signs : list of Signs
        Repeats, endings and jumps, one entry a bar.
    notices : list of Notice
        Bars that are not equally long in all parts, parts with fewer bars.
    """
    count = max(1 + m[-1] for m in maps if m)
    columns: list[list[tuple[int, RawBar]]] = [[] for _ in range(count)]
    for part, (bars, places) in enumerate(zip(scan.bars, maps, strict=True)):
        for raw, place in zip(bars, places, strict=True):
            columns[place].append((part, raw))
    notices: list[Notice] = []
    result: list[Bar] = []
    signs: list[Signs] = []
    uneven: list[int] = []
    start, time, label = 0, (4, 4), ""
    unmeasured = False
    for index, column in enumerate(columns):
        raws = [raw for _, raw in column]
        changed = next((raw.time for raw in raws if raw.time is not None), None)
        if changed is not None:
            time, unmeasured = (changed if changed[0] else time), not changed[0]
        nominal = time[0] * 4 * TICKS // time[1]
        length = _length(raws, nominal)
        if any(0 < raw.length != length for raw in raws):
            uneven.append(index)
        implicit = any(raw.implicit for raw in raws)
        label = _label(raws, index, implicit, label)
        result.append(
            Bar(
                index=index,
                label=label,
                nth=1,
                start=start,
                length=length,
                beats=0 if unmeasured else time[0],
                beat_type=time[1],
                implicit=implicit,
            )
        )
        signs.append(unite(raws))
        start += length
    for part, places in enumerate(maps):
        missing = count - (1 + places[-1] if places else 0)
        if missing:
            head = scan.heads[part]
            notices.append(
                Notice(
                    "missing-bars",
                    f"{head.label or head.id} has {missing} bars fewer than the longest part;"
                    " they are read as rests at its end.",
                    tuple(range(count - missing, count)),
                    head.id,
                )
            )
    if uneven:
        notices.append(
            Notice(
                "unequal-bars",
                "These bars are not equally long in all parts; the longest part counts,"
                " and the others are read as silent to its end.",
                tuple(uneven),
            )
        )
    return result, signs, notices


def _length(raws: Sequence[RawBar], nominal: int) -> int:
    """The longest part decides; whole-bar rests only where they are believable."""
    sounding = max((raw.length for raw in raws), default=0)
    resting = max((raw.rest_length for raw in raws), default=0)
    if not sounding:
        # Some programs write four quarters for every whole-bar rest.
        return resting if 0 < resting <= nominal else nominal
    return max(sounding, resting) if resting <= nominal else sounding


def _label(raws: Sequence[RawBar], index: int, implicit: bool, before: str) -> str:
    for raw in raws:
        text = raw.text or raw.number
        if not text:
            continue
        if implicit and _NOT_A_NUMBER.match(text):
            # The rest of a bar that a repeat sign splits has no number of its own.
            return before or "0"
        return text
    return str(index + 1)


def number_equal_labels(bars: Sequence[Bar]) -> list[Bar]:
    """Fill `nth`: which of the bars with this label in its movement."""
    seen: Counter[tuple[int, str]] = Counter()
    out = []
    for bar in bars:
        seen[bar.movement, bar.label] += 1
        out.append(replace(bar, nth=seen[bar.movement, bar.label]))
    return out
