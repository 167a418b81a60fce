"""Who sounds: play, rest, only, tutti, silence, and the only such place."""

from __future__ import annotations

import random
import re
from dataclasses import replace

import numpy as np

from tests.simulated.expecting import PLACE, Rule
from tests.simulated.judging import (
    RIGHT,
    WRONG,
    Asked,
    Between,
    Verdicts,
    denied,
    place_of,
    together,
)
from tests.simulated.kinds.shape import DrawnKind, Sort, span, within
from tests.simulated.music import Music

_FAMILIES = {
    "woodwind": r"pic|fl|ob|cl|bassoon|fag|english|corno ingl|traverso|ottav",
    "brass": r"corn|tromb|trump|tuba",
    "percussion": r"timp|triang|drum|cymb|tamb|piatti|cassa",
    "strings": r"viol|cello|contrab|viola|violone",
}


def family(label: str) -> str:
    """By the label's word; keyboards and what else there is stand each for themselves."""
    word = label.casefold()
    if re.search(r"trombone|horn(?! eng)", word) and "english" not in word:
        return "brass"
    if re.search(r"contrabassoon|bassoon|clarinet", word):
        return "woodwind"
    if re.search(r"sopran|\balto\b|\btenor\b|\bbass\b", word):
        return "voice"
    order = ("strings", "percussion", "woodwind", "brass")
    return next((f for f in order if re.search(_FAMILIES[f], word)), word)


def judge(music: Music, asked: Asked) -> Between | None:
    mode, bars = asked.fields["mode"], asked.bars
    rules = {"only": _only, "tutti": _tutti, "silence": _silence}
    if mode in rules:
        return rules[mode](music, asked)
    plays = music.sounding[list(asked.parts)]
    true = [set(np.flatnonzero(p if mode == "play" else ~p).tolist()) for p in plays]
    if asked.negated:
        some = set().union(*true)
        return denied(some, some, bars)
    found = together([Verdicts(place=place_of(t, bars)) for t in true])
    if asked.fields.get("unique"):
        common = set.intersection(*true)
        inside = set(bars) <= common
        return Between(found, found) if inside and not _again(common, bars) else None
    return Between(found, found)


def _again(true: set[int], bars: range) -> bool:
    """Whether it is so elsewhere, apart from the stretch the claimed bars lie in."""
    first, last = bars[0], bars[-1]
    while first - 1 in true:
        first -= 1
    while last + 1 in true:
        last += 1
    return bool(true - set(range(first, last + 1)))


def _only(music: Music, asked: Asked) -> Between | None:
    plays, bars = music.sounding, asked.bars
    ours = plays[list(asked.parts)]
    rest = [p for p in music.parts if p not in asked.parts]
    outside = plays[rest].any(axis=0)
    if asked.negated:
        true = set(np.flatnonzero(ours.all(axis=0) & ~outside).tolist())
        some = set(np.flatnonzero(ours.any(axis=0) & ~outside).tolist())
        return denied(true, some, bars)
    units = []
    for own in ours:
        inside = own[bars.start : bars.stop]
        if inside.any() and not inside.all():
            return None  # some of the time: the contract does not say how much is enough
        units.append(RIGHT if inside.all() else WRONG)
    who = together(units)
    alone = set(np.flatnonzero(ours.any(axis=0) & ~outside).tolist())
    place = place_of(alone, bars)
    found = Verdicts(place=place, parts="wrong" if who.any_wrong else who.parts)
    return Between(found, found)


def _tutti(music: Music, asked: Asked) -> Between | None:
    sure, near, possible, nearly = _tutti_bars(music)
    bars = asked.bars
    if asked.negated:
        return denied(sure, possible | nearly, bars)
    low = Verdicts(place=place_of(sure, bars))
    if low.any_wrong:
        other = Verdicts(place=place_of(sure | near, bars), relation="near")
        low = low if other.any_wrong else other
    high = Verdicts(place=place_of(possible, bars))
    if high.place != "right":
        other = Verdicts(place=place_of(possible | nearly, bars), relation="near")
        high = high if other.any_wrong else other
    return Between(low, high)


def _tutti_bars(music: Music) -> tuple[set[int], set[int], set[int], set[int]]:
    """Bars that are surely tutti, surely nearly so; possibly, possibly nearly so.

    "Every family and >= 80 % of lines; natural brass with no chord tone to play does not spoil
    it; one family short = near." Drums go with natural brass.
    """
    if "tutti" in music._kept:
        return music._kept["tutti"]  # type: ignore[return-value]
    plays = music.sounding[[p for p in music.parts if music.sounding[p].any()]]
    labels = [music.label(p) for p in music.parts if music.sounding[p].any()]
    kinds = np.array([family(text) for text in labels])
    excused = np.array([bool(re.search("Horn|Corn|Trump|Tromba|Timp", t)) for t in labels])
    names = sorted(set(kinds))
    there = np.array([plays[kinds == n].any(axis=0) for n in names])
    share = plays.mean(axis=0)
    rest = plays[~excused].mean(axis=0) if (~excused).any() else share
    sure = there.all(axis=0) & (share >= 0.8)
    possible = sure | (rest >= 0.7) | (share >= 0.75)
    nearly = np.zeros_like(sure)
    near = np.zeros_like(sure)
    for n, name in enumerate(names):
        others = plays[kinds != name].mean(axis=0) if (kinds != name).any() else share
        nearly |= (others >= 0.7) | (rest >= 0.6)
        if len(names) >= 3 and name in ("woodwind", "strings", "voice"):
            near |= ~there[n] & (there.sum(axis=0) == len(names) - 1) & (others >= 0.8)
    near &= ~sure
    possible &= ~near
    found = tuple(set(np.flatnonzero(m).tolist()) for m in (sure, near, possible, nearly))
    music._kept["tutti"] = found
    return found  # type: ignore[return-value]


def silences(music: Music) -> list[tuple[int, int]]:
    """Stretches in ticks in which nobody sounds, with notes on both sides."""
    spans = sorted(
        (int(a), int(b)) for n in music.notes for a, b in zip(n.onset, n.end, strict=True)
    )
    found: list[tuple[int, int]] = []
    until = spans[0][1] if spans else 0
    for start, end in spans:
        if start > until:
            found.append((until, start))
        until = max(until, end)
    return found


def _silence(music: Music, asked: Asked) -> Between | None:
    if "silences" not in music._kept:
        music._kept["silences"] = silences(music)
    pauses: list[tuple[int, int]] = music._kept["silences"]  # type: ignore[assignment]
    start, end = asked.fields.get("ticks") or (
        music.starts[asked.first],
        music.starts[asked.last + 1],
    )
    if any(a <= start and b >= end for a, b in pauses):
        found = WRONG if asked.negated else RIGHT
        return Between(found, found)
    if any(a < end and b > start for a, b in pauses) or end > music.starts[-1] - 1:
        return None  # a pause of part of it: the contract does not say
    last = max((int(n.end.max()) for n in music.notes if len(n.end)), default=0)
    first = min((int(n.onset.min()) for n in music.notes if len(n.onset)), default=0)
    if start < first or end > last:
        return None
    found = RIGHT if asked.negated else WRONG
    return Between(found, found)


def sorts(music: Music, rng: random.Random) -> list[Sort]:
    parts = [p for p in music.parts if music.sounding[p].any()]
    plays = music.sounding

    def stretch(part: int, mode: str) -> tuple[int, int] | None:
        there = plays[part] if mode == "play" else ~plays[part]
        bars = np.flatnonzero(there)
        if not len(bars):
            return None
        first = last = int(rng.choice(bars.tolist()))
        while first > 0 and there[first - 1]:
            first -= 1
        while last + 1 < music.bars and there[last + 1]:
            last += 1
        return first, last

    def true() -> Asked | None:
        mode, part = rng.choice(("play", "rest")), rng.choice(parts)
        found = stretch(part, mode)
        if found is None:
            return None
        first, last = within(rng, *found)
        there = plays[:, first : last + 1]
        same = [p for p in parts if (there[p].all() if mode == "play" else not there[p].any())]
        who = tuple(sorted({part, *rng.sample(same, min(len(same), rng.randint(0, 3)))}))
        return Asked("playing", first, last, who, {"mode": mode})

    def chance() -> Asked:
        who = tuple(sorted(rng.sample(parts, rng.randint(1, min(3, len(parts))))))
        return Asked("playing", *span(rng, music), who, {"mode": rng.choice(("play", "rest"))})

    def edge() -> Asked | None:
        """A bar or two more than it is."""
        mode, part = rng.choice(("play", "rest")), rng.choice(parts)
        found = stretch(part, mode)
        if found is None:
            return None
        first = found[0] - rng.randint(0, 2)
        last = found[1] + rng.randint(0, 2)
        if first < 0 or last >= music.bars or last - first > 24:
            return None
        return Asked("playing", first, last, (part,), {"mode": mode})

    def one_wrong() -> Asked | None:
        """All but one of several."""
        found = true()
        if found is None or len(parts) < 5:
            return None
        there = plays[:, found.first : found.last + 1]
        mode = found.fields["mode"]
        odd = [p for p in parts if (not there[p].any() if mode == "play" else there[p].all())]
        return replace(found, parts=(*found.parts, rng.choice(odd))) if odd else None

    def negated() -> Asked | None:
        found = rng.choice((true, chance))()
        return replace(found, negated=True) if found else None

    def only() -> Asked | None:
        first, last = span(rng, music, 4)
        who = [p for p in parts if plays[p, first : last + 1].any()]
        if not who or len(who) > 14:
            return None
        change = rng.random()
        if change < 0.3 and len(who) > 1:
            who.remove(rng.choice(who))
        elif change < 0.5 and len(who) < len(parts):
            who.append(rng.choice([p for p in parts if p not in who]))
        return Asked("playing", first, last, tuple(sorted(who)), {"mode": "only"},
                     negated=rng.random() < 0.1)  # fmt: skip

    def tutti() -> Asked | None:
        sure, near, _, _ = _tutti_bars(music)
        pool = sorted(sure | near)
        if pool and rng.random() < 0.6:
            first = last = rng.choice(pool)
            while last + 1 in pool and last - first < rng.randint(0, 7):
                last += 1
        else:
            first, last = span(rng, music, 4)
        return Asked("playing", first, last, (), {"mode": "tutti"}, negated=rng.random() < 0.1)

    def unique() -> Asked | None:
        part, mode = rng.choice(parts), rng.choice(("play", "rest"))
        found = stretch(part, mode)
        if found is None or found[1] - found[0] > 24:
            return None
        return Asked("playing", *found, (part,), {"mode": mode, "unique": True})

    def silent() -> Asked | None:
        pauses = silences(music)
        if not pauses or rng.random() < 0.4:
            return Asked("playing", *span(rng, music, 2), (), {"mode": "silence"},
                         negated=rng.random() < 0.2)  # fmt: skip
        a, b = rng.choice(pauses)
        first = int(music.bar_of(np.array([a]))[0])
        if not music.beat or music.starts[first + 1] - music.starts[first] < music.beat[first]:
            return None
        beat, start = music.beat[first], int(music.starts[first])
        from_beat = -(-(a - start) // beat)  # the first whole beat of it, from 0
        to_beat = (min(b, int(music.starts[first + 1])) - start) // beat
        if to_beat <= from_beat or first == 0:
            return None
        label = music.page.labels[first]
        place = {
            "from": {"bar": label, "beat": from_beat + 1},
            "to": {"bar": label, "beat": to_beat},
        }
        ticks = (start + from_beat * beat, start + to_beat * beat)
        return Asked("playing", first, first, (), {"mode": "silence", "place": place,
                                                   "ticks": ticks})  # fmt: skip

    return [("true", False, true), ("chance", False, chance), ("edge", True, edge),
            ("one-wrong", True, one_wrong), ("negated", False, negated), ("only", True, only),
            ("tutti", True, tutti), ("unique", True, unique),
            ("silence", True, silent)]  # fmt: skip


KIND = DrawnKind(Rule(judge, PLACE), sorts)
