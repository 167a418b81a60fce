"""What is written over a part (dynamics, pizz. and arco, other words), or the register it uses."""

from __future__ import annotations

import random
import re
from dataclasses import dataclass, replace

import numpy as np

from tests.simulated.expecting import PLACE, Rule
from tests.simulated.judging import WRONG, Asked, Between, Verdicts, denied, place_of
from tests.simulated.kinds.shape import DrawnKind, Sort, span, within
from tests.simulated.music import TICKS, Music

LEVELS = ("ppp", "pp", "p", "mp", "mf", "f", "ff", "fff")
#: words that say nothing about how loud or with what
_HARMLESS = re.compile(r"^(cresc|dim|decresc|dolce|arco|pizz|espr|a\.? ?2|\d\.? ?solo|I+\.?)")
_STATES = {"pizz": "pizz.", "arco": "arco"}
#: lowest note of the middle and of the high register (trade facts 1.1), semitones; written?
REGISTERS = {
    "Flute": (72, 84, False), "Oboe": (67, 82, False), "Clarinet": (67, 85, True),
    "Bassoon": (43, 64, False), "Trumpet": (60, 79, True), "Horn": (48, 74, True),
}  # fmt: skip
#: books differ by one to three semitones about where a register begins
DIFFER = 4


@dataclass(frozen=True)
class Sign:
    tick: int
    sort: str
    text: str


def signs(music: Music, part: int) -> list[Sign]:
    key = ("signs", part)
    if key not in music._kept:
        found = [
            Sign(int(music.starts[s.bar]) + round(s.at * TICKS), s.sort, s.text)
            for s in music.page.parts[part].signs
        ]
        music._kept[key] = sorted(found, key=lambda s: s.tick)
    return music._kept[key]  # type: ignore[return-value]


def states(music: Music, part: int, sort: str) -> list[tuple[int, str]]:
    """(onset, what is in force there) of each attack; "?" where the page does not tell surely."""
    notes = music.notes[part]
    onsets = np.unique(notes.onset).tolist()
    found: list[tuple[int, str]] = []
    own = signs(music, part)
    k, now = 0, "?"
    for onset in onsets:
        while k < len(own) and own[k].tick <= onset:
            at = own[k].tick
            here = [s for s in own[k:] if s.tick == at]
            now = _after(now, here, sort)
            k += len(here)
        found.append((onset, now))
    return found


def _after(now: str, here: list[Sign], sort: str) -> str:
    if sort == "bowing":
        words = [s.text.casefold().lstrip("([ ") for s in here]
        told = {v for word in words for w, v in _STATES.items() if word.startswith(w)}
        return told.pop() if len(told) == 1 else "?" if told else now
    levels = {s.text for s in here if s.sort == "dynamic" and s.text in LEVELS}
    odd = [s for s in here if (s.sort == "dynamic" and s.text not in LEVELS and s.text != "sf")
           or (s.sort == "words" and not _HARMLESS.match(s.text.casefold()))]  # fmt: skip
    if odd or len(levels) > 1:
        return "?"
    return levels.pop() if levels else now


def judge(music: Music, asked: Asked) -> Between | None:
    (part,) = asked.parts
    if "register" in asked.fields:
        return _register(music, asked)
    mark = asked.fields["mark"]
    if mark not in LEVELS and mark not in _STATES.values():
        return _word(music, asked)
    by_bar = _by_bar(music, part, "bowing" if mark in _STATES.values() else "level")
    true, maybe = set(), set()
    for bar in range(max(asked.first - 1, 0), min(asked.last + 2, music.bars)):
        told = by_bar.get(bar)
        if not told:
            if bar in asked.bars:
                return None  # no attack: what is in force through rests is not said
            maybe.add(bar)
            continue
        ends = {told[0], told[-1]}
        if mark in ends:
            true.add(bar)
        if "?" in ends or mark in ends or any(_beside(mark, t) for t in ends):
            maybe.add(bar)
    return _throughout(asked, true, maybe)


def _throughout(asked: Asked, true: set[int], maybe: set[int]) -> Between:
    if asked.negated:
        return denied(true, maybe, asked.bars)
    low = Verdicts(place=place_of(true, asked.bars)) if true & set(asked.bars) else WRONG
    high = Verdicts(place=place_of(maybe | true, asked.bars))
    return Between(low, high)


def _beside(mark: str, other: str) -> bool:
    """A step softer or louder: the contract does not say whether that is near."""
    if mark not in LEVELS or other not in LEVELS:
        return False
    return abs(LEVELS.index(mark) - LEVELS.index(other)) == 1 or {mark, other} in (
        {"p", "mf"}, {"f", "mp"},
    )  # fmt: skip


def _by_bar(music: Music, part: int, sort: str) -> dict[int, list[str]]:
    key = ("by bar", part, sort)
    if key not in music._kept:
        found: dict[int, list[str]] = {}
        told = states(music, part, sort)
        bars = music.bar_of(np.array([t for t, _ in told], dtype=np.int64)).tolist()
        for bar, (_, state) in zip(bars, told, strict=True):
            found.setdefault(bar, []).append(state)
        music._kept[key] = found
    return music._kept[key]  # type: ignore[return-value]


def _word(music: Music, asked: Asked) -> Between:
    wanted = asked.fields["mark"].casefold()
    own = [s for s in signs(music, asked.parts[0]) if s.sort == "words"]
    ticks = [s.tick for s in own if wanted in s.text.casefold()]
    true = set(music.bar_of(np.array(ticks, dtype=np.int64)).tolist())
    return _throughout(asked, true, true)


def _register(music: Music, asked: Asked) -> Between | None:
    (part,) = asked.parts
    middle, high, written = REGISTERS[instrument(music, part)]
    shift = (music.transposition(part) or 0) if written else 0
    low, top = {"low": (0, middle), "middle": (middle, high), "high": (high, 127)}[
        asked.fields["register"]
    ]
    notes = music.notes[part]
    bars = music.bar_of(notes.onset)
    true, maybe = set(), set()
    for bar in range(max(asked.first - 1, 0), min(asked.last + 2, music.bars)):
        own = notes.pitch[bars == bar] - shift
        if not len(own):
            if bar in asked.bars:
                return None
            continue
        deep = (own >= (low and low + DIFFER)) & (own < (top if top == 127 else top - DIFFER))
        about = (own >= low - DIFFER) & (own < top + DIFFER)
        if deep.all():
            true.add(bar)
        if about.mean() > 0.2:
            maybe.add(bar)
    return _throughout(asked, true, maybe)


def instrument(music: Music, part: int) -> str:
    label = music.label(part)
    if "Bass Cl" in label or "English" in label or "Contrab" in label or "amore" in label:
        return ""
    return next((n for n in REGISTERS if re.search(rf"\b{n}\b", label)), "")


def sorts(music: Music, rng: random.Random) -> list[Sort]:
    parts = [p for p in music.parts if len(music.notes[p].onset)]
    named = [p for p in parts if instrument(music, p) and music.transposition(p) is not None]
    levels = {p: own for p in parts if (own := _by_bar(music, p, "level"))}
    bowed = {p: own for p in parts
             if set(_STATES.values()) & {s for t in _by_bar(music, p, "bowing").values() for s in t}
             for own in [_by_bar(music, p, "bowing")]}  # fmt: skip
    words = [(p, s) for p in parts for s in signs(music, p)
             if s.sort == "words" and s.text.casefold() in ("dolce", "espressivo", "cantabile",
                                                            "marcato", "pesante")]  # fmt: skip

    def run(own: dict[int, list[str]], mark: str) -> tuple[int, int] | None:
        bars = [b for b, told in own.items() if mark in (told[0], told[-1])]
        if not bars:
            return None
        first = last = rng.choice(bars)
        while first - 1 in bars and last - first < 12:
            first -= 1
        while last + 1 in bars and last - first < 12:
            last += 1
        return first, last

    def level() -> Asked | None:
        part = rng.choice(list(levels)) if levels else None
        mark = rng.choice(LEVELS[1:7])
        found = run(levels[part], mark) if part is not None else None
        if found is None or part is None:
            return None
        return Asked("marking", *within(rng, *found), (part,), {"mark": mark})

    def edge() -> Asked | None:
        """Up to where the dynamic changes, which may be within a bar, and a little over it."""
        part = rng.choice(list(levels)) if levels else None
        mark = rng.choice(LEVELS[1:7])
        found = run(levels[part], mark) if part is not None else None
        if found is None or part is None:
            return None
        first, last = max(found[1] - rng.randint(0, 3), 0), found[1] + rng.randint(0, 2)
        return Asked("marking", first, last, (part,), {"mark": mark}) if last < music.bars else None

    def other_level() -> Asked | None:
        found = level()
        return found.but(mark=rng.choice(LEVELS[1:7])) if found else None

    def bowing() -> Asked | None:
        if not bowed:
            return None
        part, mark = rng.choice(list(bowed)), rng.choice(list(_STATES.values()))
        found = run(bowed[part], rng.choice(list(_STATES.values())))
        return Asked("marking", *within(rng, *found), (part,), {"mark": mark}) if found else None

    def word() -> Asked | None:
        if not words:
            return None
        part, sign = rng.choice(words)
        bar = int(music.bar_of(np.array([sign.tick]))[0])
        if rng.random() < 0.5:
            bar = rng.randrange(music.bars)
        return Asked("marking", bar, bar, (part,), {"mark": sign.text})

    def register() -> Asked | None:
        if not named:
            return None
        part = rng.choice(named)
        bars = np.flatnonzero(music.attacking[part]).tolist()
        bar = rng.choice(bars)
        last = min(bar + rng.randint(0, 3), music.bars - 1)
        return Asked("marking", bar, last, (part,),
                     {"register": rng.choice(("low", "middle", "high"))})  # fmt: skip

    def negated() -> Asked | None:
        found = rng.choice((level, other_level, bowing, register))()
        return replace(found, negated=True) if found else None

    def chance() -> Asked | None:
        if not levels:
            return None
        fields = {"mark": rng.choice(LEVELS[1:7])}
        return Asked("marking", *span(rng, music, 4), (rng.choice(list(levels)),), fields)

    return [("level", False, level), ("edge", True, edge), ("other", True, other_level),
            ("bowing", False, bowing), ("word", False, word), ("register", False, register),
            ("chance", False, chance), ("negated", False, negated)]  # fmt: skip


KIND = DrawnKind(Rule(judge, PLACE), sorts)
