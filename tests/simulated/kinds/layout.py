"""The page before any note: instrument, transposition, clef, players, staves, who is absent."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from dataclasses import replace

from tests.simulated.expecting import Reading, Rule, Variant
from tests.simulated.judging import RIGHT, WRONG, Asked, Between, Verdicts
from tests.simulated.kinds.shape import DrawnKind, Sort
from tests.simulated.music import Music

#: a label's word -> what people call the instrument in four languages
INSTRUMENTS = {
    "Flute": ("flute", "Flöte", "flauto"), "Oboe": ("oboe", "hautbois"),
    "Clarinet": ("clarinet", "Klarinette", "clarinetto"),
    "Bassoon": ("bassoon", "Fagott", "fagotto", "basson"),
    "Contrabassoon": ("contrabassoon", "Kontrafagott"), "Piccolo": ("piccolo",),
    "English Horn": ("English horn", "corno inglese"), "Horn": ("horn", "corno"),
    "Trumpet": ("trumpet", "Trompete", "tromba"), "Timpani": ("timpani", "Pauken"),
    "Violin": ("violin", "Violine", "violino"), "Viola": ("viola", "Bratsche"),
    "Violoncello": ("cello", "Violoncello"), "Contrabass": ("double bass", "Kontrabass"),
}  # fmt: skip
CLEFS = {"G2": "treble", "F4": "bass", "C3": "alto", "C4": "tenor"}
#: what may be looked for and missed, with the words in a label that would name it
MISSING = {
    "contrabassoon": "contrabassoon|contrafag", "tuba": "tuba", "harp": "harp|arpa",
    "English horn": "english|inglese", "bass clarinet": "bass cl|clarinetto basso",
    "piccolo": "picc|ottavino", "triangle": "triang", "trombone": "tromb(?!a)", "oboe": "obo",
    "timpani": "timp", "clarinet": "clar", "trumpet": "trump|tromba", "horn": "horn|corn",
    "flute": "fl|trav", "bassoon": "bassoon|fag", "cello": "cell", "viola": "viola",
}  # fmt: skip


def word(label: str) -> str:
    """The instrument's word in a label: "Bb Clarinet 1" -> "Clarinet"."""
    plain = re.sub(r"\bbasso |^([A-G](b|#)?,? )+|\s+\d+$", "", label).strip()
    return plain if plain in INSTRUMENTS else ""


def judge(music: Music, asked: Asked) -> Between | None:
    found = [_holds(music, asked, name) for name in asked.fields if name != "place"]
    if any(f is None for f in found):
        return None
    true = all(found)
    verdict = RIGHT if true is not asked.negated else Verdicts(relation="wrong")
    return Between(verdict, verdict)


def _holds(music: Music, asked: Asked, name: str) -> bool | None:
    wanted = asked.fields[name]
    if name == "absent":
        labels = " ".join(music.label(p).casefold() for p in music.parts if music.sounding[p].any())
        if "amore" in labels and "oboe" in wanted:
            return None  # whether an oboe d'amore is an oboe, the contract does not say
        return not any(re.search(MISSING[n], labels) for n in wanted)
    (part,) = asked.parts
    if name == "instrument":
        return wanted in INSTRUMENTS[word(music.label(part))]
    if name == "transposition":
        return music.transposition(part) == wanted
    if name == "players":
        return bool(wanted == 1)
    if name == "shares-staff-with":
        return False  # every part of these files has a staff of its own
    clefs = music.page.parts[part].clefs
    sign = next(k for k, v in CLEFS.items() if v == wanted)
    if not clefs:
        return None
    return clefs[0] == sign if clefs[0] == sign or sign not in clefs else None


def _reversed(music: Music, asked: Asked) -> Iterator[Variant]:
    shift = asked.fields.get("transposition")
    if shift:
        yield Variant(music, asked.but(transposition=-shift))
        # A fifth lower for a fourth higher and the like: the contract does not name it.
        octave = asked.but(transposition=shift - 12 if shift > 0 else shift + 12)
        found = judge(music, octave)
        if found and found.low.all_right:
            yield Variant(music, octave, Between(WRONG, RIGHT))


def sorts(music: Music, rng: random.Random) -> list[Sort]:
    parts = [p for p in music.parts if word(music.label(p))]
    sections = ("Violin", "Viola", "Violoncello", "Contrabass")
    numbered = [p for p in parts if re.search(r"\d$", music.label(p))]
    winds = [p for p in numbered if word(music.label(p)) not in sections]
    shifted = [p for p in parts if music.transposition(p)]
    if not parts:
        return []
    last = music.bars - 1

    def claim(pool: list[int], **fields: object) -> Asked | None:
        if not pool:
            return None
        return Asked("layout", 0, last, (rng.choice(pool),), fields)

    def instrument() -> Asked | None:
        found = claim(parts)
        assert found is not None
        right = INSTRUMENTS[word(music.label(found.parts[0]))]
        if rng.random() < 0.5:
            return found.but(instrument=rng.choice(right))
        other = rng.choice([n for n in INSTRUMENTS.values() if n != right])
        return found.but(instrument=other[0])

    def transposition() -> Asked | None:
        pool = [p for p in parts if music.transposition(p) is not None]
        found = claim(pool)
        if found is None:
            return None
        right = music.transposition(found.parts[0]) or 0
        wrong = rng.choice((-2, -3, -7, 3, 5, 0))
        # An octave apart the same way is left out: the contract does not say how far off it is.
        value = right if rng.random() < 0.6 or (wrong - right) % 12 == 0 else wrong
        return found.but(transposition=value)

    def turned() -> Asked | None:
        found = claim([p for p in shifted if (music.transposition(p) or 0) % 12])
        if found is None:
            return None
        return found.but(transposition=-(music.transposition(found.parts[0]) or 0))

    def clef() -> Asked | None:
        found = claim([p for p in parts if music.page.parts[p].clefs])
        if found is None:
            return None
        first = CLEFS.get(music.page.parts[found.parts[0]].clefs[0])
        named = first if first and rng.random() < 0.5 else rng.choice(list(CLEFS.values()))
        return found.but(clef=named)

    def players() -> Asked | None:
        return claim(winds, players=rng.choice((1, 1, 2, 3)))

    def shares() -> Asked | None:
        found = claim(winds)
        if found is None or len(winds) < 2:
            return None
        other = rng.choice([p for p in winds if p != found.parts[0]])
        return found.but(**{"shares-staff-with": (other,)})

    def absent() -> Asked:
        names = rng.sample(list(MISSING), rng.choice((1, 1, 2)))
        return Asked("layout", 0, last, (), {"absent": names})

    def negated() -> Asked | None:
        found = rng.choice((instrument, transposition, clef, players, shares))()
        return replace(found, negated=True) if found else None

    return [("instrument", False, instrument), ("transposition", False, transposition),
            ("turned", True, turned), ("clef", False, clef), ("players", False, players),
            ("shares", False, shares), ("absent", False, absent),
            ("negated", False, negated)]  # fmt: skip


REVERSED = Reading("reversed", "conflicts", "pitch", _reversed)
KIND = DrawnKind(Rule(judge, (REVERSED,)), sorts)
