"""What a reader types into the cells of a survey, read: distances, signatures, metres, names."""

from __future__ import annotations

import re

from analysis.engine.errors import EngineError
from analysis.engine.pitch import interval_name, parse_key, plain, steps_of

NOTHING = frozenset({"", "-", "none", "no", "nobody", "nothing", "0", "natural", "no crook"})
METRES = {
    "c": (4, 4), "common": (4, 4), "common time": (4, 4), "c|": (2, 2), "¢": (2, 2),
    "alla breve": (2, 2), "cut": (2, 2), "cut c": (2, 2), "cut time": (2, 2),
}  # fmt: skip


def metre_said(text: str) -> tuple[int, int] | None:
    """
    >>> metre_said("3/4"), metre_said("6 8"), metre_said("C"), metre_said("waltz")
    ((3, 4), (6, 8), (4, 4), None)
    """
    word = " ".join(plain(text).split())
    numbers = re.fullmatch(r"(\d{1,2})\s*[/:,]?\s*(?:over\s+)?(\d{1,2})", word)
    return (int(numbers[1]), int(numbers[2])) if numbers else METRES.get(word)


def names_said(text: str) -> list[str]:
    """Several names in one cell: by commas, slashes, "and" in four languages."""
    return [n.strip() for n in re.split(r"[,;/+&]|\band\b|\be\b|\bund\b|\bet\b", text) if n.strip()]


def distance(semitones: int, steps: int | None = None) -> str:
    """How far the sounding pitch lies from the written one, in words; steps tell the name.

    >>> distance(-7, -4), distance(0), distance(-14)
    ('a perfect fifth lower', 'as written', 'a major ninth lower')
    """
    if not semitones:
        return "as written"
    count = steps_of(semitones) if steps is None else steps
    name = interval_name(abs(semitones), abs(count))
    article = "an" if name[0] in "aeiou" else "a"
    return f"{article} {name} {'lower' if semitones < 0 else 'higher'}"


def signature(fifths: int) -> str:
    """
    >>> signature(-3), signature(1), signature(0)
    ('3 flats', '1 sharp', 'none')
    """
    if not fifths:
        return "none"
    word = "flat" if fifths < 0 else "sharp"
    return f"{abs(fifths)} {word}{'s' if abs(fifths) > 1 else ''}"


def fifths_said(text: str) -> int | None:
    """A signature as typed: "2 flats", "bb", "3#", "none", or the name of its key.

    >>> fifths_said("2 flats"), fifths_said("##"), fifths_said("D major"), fifths_said("blue")
    (-2, 2, 2, None)
    """
    word = " ".join(plain(text).replace("♯", "#").split())
    if word in NOTHING or word in ("no signature", "no sharps or flats", "open"):
        return 0
    if re.fullmatch(r"(b\s?)+|(#\s?)+", word):
        signs = word.replace(" ", "")
        return len(signs) if "#" in signs else -len(signs)
    word = re.sub(r"\b(one|two|three|four|five|six|seven)\b",
                  lambda m: str(_SMALL.index(m[1]) + 1), word)  # fmt: skip
    match = re.fullmatch(r"(\d)\s*(b|#|flats?|sharps?)", word)
    if match:
        count = int(match[1])
        return -count if match[2].startswith(("b", "f")) else count
    try:
        return parse_key(text).fifths
    except EngineError:
        return None


_SMALL = ("one", "two", "three", "four", "five", "six", "seven")

_INTERVALS: tuple[tuple[str, int], ...] = (
    ("semitone", 1), ("half tone", 1), ("half step", 1), ("minor second", 1),
    ("whole tone", 2), ("whole step", 2), ("major second", 2), ("tone", 2), ("step", 2),
    ("minor third", 3), ("major third", 4), ("diminished fifth", 6), ("augmented fourth", 6),
    ("tritone", 6), ("fourth", 5), ("fifth", 7), ("minor sixth", 8), ("major sixth", 9),
    ("minor seventh", 10), ("major seventh", 11), ("minor ninth", 13), ("major ninth", 14),
    ("minor tenth", 15), ("major tenth", 16), ("eleventh", 17), ("twelfth", 19),
)  # fmt: skip
_LOWER = re.compile(r"\b(?:lower|down|below|under|deeper|tiefer|sotto|plus bas)\b")
_HIGHER = re.compile(r"\b(?:higher|up|above|over|hoher|sopra|plus haut)\b")


def semitones_said(text: str) -> int | None:
    """Written to sounding as typed: "a fifth lower", "-7", "an octave and a tone down".

    None where the direction or the size is not said ("a third", "in F").

    >>> semitones_said("a perfect fifth lower"), semitones_said("8ve higher")
    (-7, 12)
    >>> semitones_said("an octave and a major second lower"), semitones_said("as written")
    (-14, 0)
    """
    word = re.sub(r"\b(?:perfect|a|an|it|sounds?|and|by|the)\b", " ", plain(text))
    word = " ".join(word.split())
    if re.fullmatch(r"[+-]?\d{1,2}", word):
        return int(word) if abs(int(word)) <= 36 else None
    if word in NOTHING or word in ("as written", "written", "same", "unison", "at pitch", "concert",
                                 "concert pitch", "in c", "not transposing"):  # fmt: skip
        return 0
    lower, higher = bool(_LOWER.search(word)), bool(_HIGHER.search(word))
    if lower == higher:
        return None
    size, rest = 0, _LOWER.sub(" ", _HIGHER.sub(" ", word))
    for name, count in (("two octaves", 24), ("octave", 12), ("8ve", 12), ("8va", 12),
                        *_INTERVALS):  # fmt: skip
        if re.search(rf"\b{name}\b", rest):
            rest = re.sub(rf"\b{name}\b", " ", rest, count=1)
            size += count
    if rest.strip() or not size:
        return None
    return -size if lower else size
