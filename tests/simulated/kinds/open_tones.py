"""What a natural horn or trumpet gives with its crook: partials other than 7, 11, 13 and 14."""

from __future__ import annotations

import random
import re
from dataclasses import replace
from math import log2

from tests.simulated.expecting import Rule
from tests.simulated.judging import RIGHT, WRONG, Asked, Between
from tests.simulated.kinds.range_ import name_of
from tests.simulated.kinds.shape import DrawnKind, Sort, span
from tests.simulated.music import Music

#: written partial 1 (C2): the fundamental lies the transposition from it
WRITTEN_FIRST = 36
TRUE_CENTS, DOUBTFUL_CENTS = 15, 60
#: partials of the horn and the trumpet that are counted (trade facts 3.2)
LIMITS = {"Horn": (2, 16), "Trumpet": (3, 16)}


def brass(music: Music, part: int) -> str:
    """ "Horn" or "Trumpet" with a crook in its label, else ""."""
    label = music.label(part)
    found = re.match(r"([A-G](?:b|#)?)( basso| alto)? (Horn|Trumpet)\b", label)
    shift = music.transposition(part)
    if found is None or shift is None or "\n" in label:
        return ""
    semitones = {"C": 0, "D": 2, "Eb": 3, "E": 4, "F": 5, "G": 7, "A": 9, "Bb": 10, "B": 11}
    low = {"Horn": -12 if found[2] != " basso" else -24, "Trumpet": 0}[found[3]]
    pitch = semitones.get(found[1])
    if pitch is None or (shift - pitch) % 12:
        return ""
    # A horn in C at pitch, or one that is off by octaves: the file does not say which is meant.
    return found[3] if low - 12 < shift < 12 and (found[3] == "Trumpet" or shift < 0) else ""


def crook(music: Music, part: int) -> str:
    return music.label(part).split(" ")[0]


def state(music: Music, part: int, sounding: int) -> str:
    """ "open", "not" or "doubtful" of a sounding pitch."""
    above = 100 * (sounding - WRITTEN_FIRST - (music.transposition(part) or 0))
    low, high = LIMITS[brass(music, part)]
    off = min(abs(1200 * log2(n) - above) for n in range(low, high + 1))
    return "open" if off <= TRUE_CENTS else "doubtful" if off <= DOUBTFUL_CENTS else "not"


def judge(music: Music, asked: Asked) -> Between | None:
    parts = asked.fields.get("pair") or asked.parts
    right = True
    for midi in asked.fields["tones"]:
        found = [state(music, p, midi) for p in parts]
        wanted = "pitches" in asked.fields
        if asked.fields.get("pair"):
            found = ["open" if "open" in found else "doubtful" if "doubtful" in found else "not"]
        if "doubtful" in found:
            return None
        if wanted:
            right &= all(f == "open" for f in found)
        else:
            right &= all(f == "not" for f in found)
    named = asked.fields.get("crook")
    if named is not None:
        right &= all(crook(music, p) == named for p in parts)
    verdict = RIGHT if right is not asked.negated else WRONG
    return Between(verdict, verdict)


def sorts(music: Music, rng: random.Random) -> list[Sort]:
    parts = [p for p in music.parts if brass(music, p)]
    if not parts:
        return []

    def tones(part: int, wanted: str, count: int) -> list[int]:
        base = WRITTEN_FIRST + (music.transposition(part) or 0)
        pool = [m for m in range(base + 24, base + 46) if state(music, part, m) == wanted]
        return sorted(rng.sample(pool, min(count, len(pool))))

    def pitches(part: int, midi: list[int]) -> list[object]:
        """Some as they sound, some as they are written."""
        if rng.random() < 0.3:
            shift = music.transposition(part) or 0
            return [{"pitch": name_of(m - shift), "written": True} for m in midi]
        return [name_of(m) for m in midi]

    def claim(field: str, own: str, other: str) -> Asked:
        part = rng.choice(parts)
        found = tones(part, own, rng.randint(1, 3))
        if rng.random() < 0.4:
            found = sorted({*found[1:], *tones(part, other, 1)})
        fields = {field: pitches(part, found), "tones": tuple(found)}
        if rng.random() < 0.3:
            fields["crook"] = crook(music, part)
        return Asked("open-tones", *span(rng, music), (part,), fields)

    def has() -> Asked:
        return claim("pitches", "open", "not")

    def misses() -> Asked:
        return claim("missing", "not", "open")

    def wrong_crook() -> Asked:
        found = has()
        names = ("C", "D", "Eb", "E", "F", "G", "A")
        return found.but(crook=rng.choice(names))

    def pair() -> Asked | None:
        horns = [p for p in parts if brass(music, p) == "Horn"]
        if len(horns) < 2:
            return None
        one, two = rng.sample(horns, 2)
        found = sorted({*tones(one, "open", 2), *tones(two, "open", 2)})
        if rng.random() < 0.5:
            found = sorted({*found, *tones(one, "not", 1)})
        fields = {"pitches": [name_of(m) for m in found], "tones": tuple(found), "pair": (one, two)}
        return Asked("open-tones", *span(rng, music), (one, two), fields)

    def negated() -> Asked:
        return replace(rng.choice((has, misses))(), negated=True)

    return [("has", False, has), ("misses", False, misses), ("crook", True, wrong_crook),
            ("pair", True, pair), ("negated", False, negated)]  # fmt: skip


KIND = DrawnKind(Rule(judge, ()), sorts)
