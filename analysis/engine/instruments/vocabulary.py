"""The words for instruments in English, German, Italian and French.

The words stand in ``vocabulary.txt`` beside this file, without accents, as
`pitch.plain` leaves them (German umlauts also as ae, oe, ue). What a word may
also mean stands in `AMBIGUOUS`.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib.resources import files
from typing import Literal

from analysis.engine.pitch import Language

Form = Literal["singular", "plural", "abbreviation"]

#: Words of several meanings: candidates, the likeliest first. The rest of the
#: score decides, and where it does not, the tutor.
AMBIGUOUS: dict[str, tuple[str, ...]] = {
    "basso": ("cello-and-bass", "double-bass", "bass", "continuo"),
    "bassi": ("cello-and-bass", "double-bass", "bass"),
    "basse": ("cello-and-bass", "double-bass", "bass"),  # de plural, fr singular
    "basses": ("double-bass", "cello-and-bass", "bass"),
    "bass": ("double-bass", "bass", "cello-and-bass"),
    "alto": ("alto", "viola"),
    "altos": ("viola", "alto"),
    "alti": ("alto", "viola"),
    "alt": ("alto", "viola"),
    "a": ("alto", "viola"),
    "tenor": ("tenor", "viola", "tenor-trombone"),
    "tenors": ("tenor",),
    "tenore": ("tenor", "viola"),
    "taille": ("viola", "tenor", "oboe-da-caccia"),
    "quinte": ("viola",),
    "haute contre": ("tenor", "viola"),
    "dessus": ("soprano", "violin"),
    "s": ("soprano",),
    "t": ("tenor", "trumpet", "timpani"),
    "b": ("bass", "cello-and-bass", "bassoon", "double-bass"),
    "baritone": ("baritone", "euphonium"),
    "baryton": ("baritone", "euphonium"),
    "bariton": ("baritone",),
    "bar": ("baritone",),
    "tr": ("trumpet", "trombone", "percussion"),
    "clar": ("clarinet", "trumpet"),
    "corn": ("horn", "cornet"),
    "cornetto": ("cornett", "cornet", "horn"),
    "cornetti": ("cornett", "cornet", "horn"),
    "cel": ("celesta", "cello"),
    "c": ("cello", "clarinet", "horn", "continuo"),
    "f": ("flute", "bassoon"),
    "h": ("horn", "harp", "oboe"),
    "k": ("clarinet", "double-bass"),
    "o": ("oboe",),
    "p": ("piccolo", "piano", "timpani"),
    "v": ("violin", "viola", "voice"),
    "trompe": ("horn", "trumpet"),
    "trompes": ("horn", "trumpet"),
    "clairon": ("trumpet",),
}

#: Ambiguous words that are safe when the label says more ("Tr. 1 in C").
SAFE_WITH_CROOK = {"tr": "trumpet", "corn": "horn"}


@dataclass(frozen=True, slots=True)
class Word:
    """One name of one instrument."""

    key: str
    form: Form
    languages: frozenset[Language]


_LANGUAGES: tuple[Language, ...] = ("en", "de", "it", "fr")


def _read(text: str) -> dict[str, Word]:
    """Parse the word list; a later instrument never takes a word from an earlier one."""
    found: dict[str, Word] = {}
    key = ""
    for line in text.replace("\n  ", " ").splitlines():
        if line.startswith("["):
            key = line.strip("[]")
        elif line and not line.startswith("#"):
            language, line = line.split(" ", 1)
            for phrase in filter(None, (p.strip() for p in line.split(","))):
                _add(found, phrase, key, next((x for x in _LANGUAGES if x == language), None))
    return found


def _add(found: dict[str, Word], phrase: str, key: str, language: Language | None) -> None:
    plural = phrase.endswith("*")
    phrase = phrase.rstrip("*").replace("-", " ")
    form: Form = "plural" if plural else "singular"
    if language is None and not plural:
        form = "abbreviation"
    before = found.get(phrase)
    if before is not None and before.key == key:
        languages = before.languages | ({language} if language else set())
        found[phrase] = Word(key, before.form, frozenset(languages))
    elif before is None:
        found[phrase] = Word(key, form, frozenset({language} if language else set()))


WORDS: dict[str, Word] = {
    phrase: word
    for phrase, word in _read(
        files(__package__).joinpath("vocabulary.txt").read_text(encoding="utf-8")
    ).items()
    if phrase not in AMBIGUOUS
}
LONGEST = max(len(phrase.split()) for phrase in WORDS)
