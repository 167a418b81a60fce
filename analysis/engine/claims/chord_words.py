"""Names of chords as people write them, and which names are nearly the same chord."""

from __future__ import annotations

import re

from analysis.engine.analyses.harmony_names import QUALITIES
from analysis.engine.claims.base import Verdict
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.pitch import plain

#: any seventh chord, where its sort is not named
SEVENTH = "seventh"
_SIXTHS = ("German sixth", "Italian sixth", "French sixth")
#: semitones above the root; an augmented sixth counts from the note in its usual bass
TONES: dict[str, tuple[int, ...]] = {
    **{q.name: q.tones for q in QUALITIES},
    "open fifth": (0, 7),
    "German sixth": (0, 4, 7, 10),
    "Italian sixth": (0, 4, 10),
    "dominant seventh with lowered fifth": (0, 4, 6, 10),
    SEVENTH: (0,),
}

# In order: the longer names first. Common practice, no source.
_NAMES: tuple[tuple[re.Pattern[str], str], ...] = tuple(
    (re.compile(pattern), name)
    for pattern, name in (
        (r"german|allemande|tedesca|deutsch|ubermassiger quintsext", "German sixth"),
        (r"ital", "Italian sixth"),
        (r"french|francaise|franzos", "French sixth"),
        (r"half.?dim|halb ?verm|semi ?dim|demi.?dim|^m?7b5$|^ø7?$", "half-diminished seventh"),
        (r"(dim|verm|dimin|diminuee?).*(7|sevent|sept|settima)|^o7$|^°7$",
         "diminished seventh"),
        (r"^(dim|verm|diminish|diminu|diminuit)|^o$|^°$", "diminished"),
        (r"^(aug|uberm|augment|eccedent|\+)", "augmented"),
        (r"(dom|dominant|dominante).*|^v7$|^7$|^dom7$|^septakkord$", "dominant seventh"),
        (r"(min|moll|mineur|minore)\w*.*(7|sevent|sept|settima)|^m7$", "minor seventh"),
        (r"(maj|dur|majeur|maggiore|major)\w*.*(7|sevent|sept|settima)|^maj7$", "major seventh"),
        (r"open|empty|bare|leer|vuota|hohl|vide|fifth", "open fifth"),
        (r"sevent|sept|settima", SEVENTH),
        (r"^(min|moll|mineur|minore|m$|minor)", "minor"),
        (r"^(maj|dur|majeur|maggiore|major)", "major"),
    )
)  # fmt: skip


def quality_named(text: str) -> str:
    """The quality a word means; ClaimNotUnderstood if it means none.

    >>> quality_named("Moll"), quality_named("dim7"), quality_named("V7")
    ('minor', 'diminished seventh', 'dominant seventh')
    """
    if text.strip() == "M":
        return "major"
    word = " ".join(plain(text).replace("-", " ").split())
    for known in TONES:
        if word == known.casefold().replace("-", " "):
            return known
    for pattern, name in _NAMES:
        if pattern.search(word):
            return name
    raise ClaimNotUnderstood(
        f"“{text[:40]}” names no sort of chord that I know; write major, minor, diminished, "
        "augmented, or the name of a seventh chord."
    )


def alike(claimed: str, found: str) -> Verdict:
    """Whether one name may stand for another: the same, a seventh more or less, or not."""
    if claimed == found:
        return "right"
    if claimed == SEVENTH:
        return "right" if len(TONES[found]) == 4 else "near" if len(TONES[found]) == 3 else "wrong"
    if claimed in _SIXTHS or found in _SIXTHS:
        sounds = {TONES[claimed], TONES[found]}
        both = claimed in _SIXTHS and found in _SIXTHS
        return "near" if both or len(sounds) == 1 else "wrong"
    one, other = set(TONES[claimed]), set(TONES[found])
    return "near" if one < other or other < one else "wrong"
