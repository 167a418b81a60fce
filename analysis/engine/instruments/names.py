"""Printed labels: what instrument, which players, which crook, in whose language.

`parse_label` reads one label by itself and decides nothing that needs the rest
of the score; `instruments.propose` does that.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from analysis.engine.instruments import timpani
from analysis.engine.instruments.crook_words import take_crooks
from analysis.engine.instruments.numbers import NumberReading, read_numbers
from analysis.engine.instruments.table import INSTRUMENTS
from analysis.engine.instruments.tokens import Token, take, tokens_of, words
from analysis.engine.instruments.vocabulary import (
    AMBIGUOUS,
    LONGEST,
    SAFE_WITH_CROOK,
    WORDS,
    Form,
)
from analysis.engine.pitch import Language, NoteName, parse_note_name

#: Words of a label that say nothing about pitch or players.
_FILLERS = words(
    "in en e ed und u and et o od ou oder or di da de des du der die das the la le les il i gli "
    "part parts stimme parte sic nb n obbligato obligato obligat principale principal ripieno "
    "concertato concertante con a due staff no nr desk pult tutti div divisi mit with con "
    "orchestra grosso grande gross section player players"
)
_SOLO = words("solo soli sola seul soloist solista")


@dataclass(frozen=True, slots=True)
class LabelReading:
    """One label taken apart.

    `candidates` are instrument keys, the likeliest first; more than one means
    that the word has several meanings. `unknown` are words nobody understood.
    """

    text: str
    candidates: tuple[str, ...] = ()
    word: str = ""  # the phrase that named the instrument
    form: Form = "singular"
    languages: frozenset[Language] = frozenset()
    players: NumberReading = field(default_factory=NumberReading)
    crooks: tuple[NoteName, ...] = ()
    level: str = ""  # "alto" / "basso" of a crook
    said_natural: bool = False  # "B natural" in so many words
    solo: bool = False
    partial: bool = False  # a desk of a section
    tuning: tuple[NoteName, ...] = ()
    others: tuple[str, ...] = ()  # further instruments named
    unknown: tuple[str, ...] = ()

    @property
    def instrument(self) -> str:
        return self.candidates[0] if self.candidates else "unknown"

    @property
    def ambiguous(self) -> bool:
        return len(self.candidates) > 1


def parse_label(label: str, language: Language | None = None) -> LabelReading:
    """Read a printed label.

    Parameters
    ----------
    label : str
        "Corni I. II. in Es", "Bb Clarinet 1", "2 Flauti", "Vc. e Cb.".
    language : {"en", "de", "it", "fr"} or None
        Language of the score, where the caller knows it: decides a bare "B".

    Returns
    -------
    LabelReading
        With no candidates if no instrument is named.

    Examples
    --------
    >>> reading = parse_label("Corni I. II. in Es")
    >>> reading.instrument, reading.players.numbers, [c.name for c in reading.crooks]
    ('horn', (1, 2), ['Eb'])
    """
    tokens = tokens_of(label)
    phrases = _find_instruments(tokens)
    if not phrases:
        phrases = _find_ambiguous(tokens)
    candidates, word, form, languages, others, position = _combine(phrases, tokens)
    known = candidates[0] if candidates else "unknown"
    tuning: tuple[NoteName, ...] = ()
    crooks: list[NoteName] = []
    level, natural = "", False
    if known == "timpani":
        tuning = _take_tuning(label, tokens, language)
    elif known != "unknown":
        crooks, level, natural = take_crooks(tokens, known, language or _only(languages))
    if word in SAFE_WITH_CROOK and crooks:
        candidates = (SAFE_WITH_CROOK[word],)
    solo = take(tokens, _SOLO)
    partial = _take_desk(tokens)
    players = read_numbers(
        [(i, t.text, t.dotted) for i, t in enumerate(tokens) if not t.used],
        position,
        section=bool(candidates) and INSTRUMENTS[candidates[0]].section,
    )
    for index in players.used:
        tokens[index].used = True
    unknown = tuple(
        t.raw
        for t in tokens
        if not t.used and t.text not in _FILLERS and any(c.isalnum() for c in t.text)
    )
    return LabelReading(
        label, candidates, word, form, languages, players, tuple(crooks), level, natural, solo,
        partial, tuning, others, unknown,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Phrase:
    start: int
    end: int
    text: str
    candidates: tuple[str, ...]
    form: Form
    languages: frozenset[Language]


def _phrase_at(tokens: Sequence[Token], start: int) -> _Phrase | None:
    """The longest instrument name that begins at a token, hyphens overlooked."""
    best: _Phrase | None = None
    words: list[str] = []
    for end in range(start, len(tokens)):
        token = tokens[end]
        if token.used or token.text in ",/&+" or token.text.isdigit():
            break
        if token.text == "-":
            continue
        words.append(token.text)
        if len(words) > LONGEST:
            break
        found = WORDS.get(" ".join(words))
        if found is not None:
            text = " ".join(words)
            best = _Phrase(start, end + 1, text, (found.key,), found.form, found.languages)
    return best


def _find_instruments(tokens: list[Token]) -> list[_Phrase]:
    """Unambiguous names, left to right, none inside another."""
    found: list[_Phrase] = []
    index = 0
    while index < len(tokens):
        phrase = _phrase_at(tokens, index)
        if phrase is None or _is_crook_letter(tokens, index, phrase):
            index += 1
            continue
        found.append(phrase)
        index = phrase.end
    for phrase in found:
        for token in tokens[phrase.start : phrase.end]:
            token.used = True
    return found


def _is_crook_letter(tokens: Sequence[Token], index: int, phrase: _Phrase) -> bool:
    """ "A Clarinet": the A is no alto; "in Es": the Es no instrument."""
    if phrase.end - phrase.start > 1:
        return False
    before = tokens[index - 1].text if index else ""
    return before in ("in", "en") and parse_note_name(phrase.text) is not None


def _find_ambiguous(tokens: list[Token]) -> list[_Phrase]:
    for size in (2, 1):
        for start in range(len(tokens) - size + 1):
            piece = tokens[start : start + size]
            text = " ".join(t.text for t in piece)
            if text in AMBIGUOUS and not any(t.used for t in piece):
                for token in piece:
                    token.used = True
                form: Form = "abbreviation" if len(text) < 4 else "singular"
                if text in ("bassi", "basses", "altos", "alti", "tenors", "cornetti", "trompes"):
                    form = "plural"
                return [_Phrase(start, start + size, text, AMBIGUOUS[text], form, frozenset())]
    return []


_Combined = tuple[tuple[str, ...], str, Form, frozenset[Language], tuple[str, ...], int]


def _combine(phrases: list[_Phrase], tokens: list[Token]) -> _Combined:
    """One instrument of the names found; cellos and basses on one staff are one."""
    if not phrases:
        return (), "", "singular", frozenset(), (), -1
    first = phrases[0]
    keys = list(dict.fromkeys(p.candidates[0] for p in phrases))
    bass_word = next((t for t in tokens if not t.used and t.text in _BASS_WORDS), None)
    if "cello" in keys and "double-bass" not in keys and bass_word is not None:
        bass_word.used = True
        keys.append("double-bass")
    languages = frozenset.union(*(p.languages for p in phrases))
    if set(keys) in ({"cello", "double-bass"}, {"cello", "violone"}):
        return ("cello-and-bass",), first.text, "plural", languages, (), first.start
    return (
        (*first.candidates,),
        first.text,
        first.form,
        first.languages,
        tuple(keys[1:]),
        first.start,
    )


_BASS_WORDS = words("basso bassi bass basse basses b")


def _only(languages: Iterable[Language]) -> Language | None:
    found = list(languages)
    return found[0] if len(found) == 1 else None


def _take_desk(tokens: list[Token]) -> bool:
    """ "desk 1", "1. Pult": the number belongs to the desk."""
    for index, token in enumerate(tokens):
        if token.text in ("desk", "pult", "leggio", "pupitre"):
            token.used = True
            later = tokens[index + 1 : index + 2]
            earlier = tokens[index - 1 : index]
            near = later if token.text == "desk" else earlier
            for other in near:
                if other.text.isdigit():
                    other.used = True
            return True
    return False


def _take_tuning(
    label: str, tokens: list[Token], language: Language | None
) -> tuple[NoteName, ...]:
    """Tuning words stand after "in", or before the name ("C, G Timpani")."""
    free = [t for t in tokens if not t.used]
    first = next((i for i, t in enumerate(free) if t.text in ("in", "en")), None)
    words = free[first + 1 :] if first is not None else free
    notes = timpani.tuning_notes(" ".join(t.raw for t in words), language)
    if notes:
        for token in free:
            token.used = True
    return notes
