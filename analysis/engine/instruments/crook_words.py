"""Crook words of a label: "in Es", "in Si bemolle alto", "Bb", "A/B", "[NB: B natural]"."""

from __future__ import annotations

import re
from collections.abc import Sequence

from analysis.engine.instruments.tokens import Token, words
from analysis.engine.pitch import Language, NoteName, parse_note_name

_LEVELS = {
    "alto": "alto", "hoch": "alto", "aigu": "alto", "high": "alto", "acuto": "alto",
    "basso": "basso", "tief": "basso", "grave": "basso", "low": "basso", "bas": "basso",
}  # fmt: skip
_ACCIDENTAL_WORDS = words(
    "flat sharp natural bemolle bemol b # diesis diese naturale naturel becarre"
)
_JOINERS = words("e ed und u and et o or oder ou , / & +")

_Crooks = tuple[list[NoteName], str, bool]


def take_crooks(tokens: list[Token], key: str, language: Language | None) -> _Crooks:
    """Crook words: after "in" in any language, or a bare capital beside the name."""
    start = next((i for i, t in enumerate(tokens) if not t.used and t.text in ("in", "en")), None)
    crooks: list[NoteName] = []
    natural = False
    if start is not None:
        tokens[start].used = True
        crooks, natural = _note_list(tokens, start + 1, language)
    else:
        index = 0
        while index < len(tokens):
            note, used, said = _note_at(tokens, index, language, bare=True)
            if note is not None and (not crooks or note != crooks[-1]):
                crooks.append(note)
            natural = natural or said
            index += max(used, 1)
    level = ""
    if key in ("horn", "trumpet") and crooks:
        for token in tokens:
            if not token.used and token.text in _LEVELS:
                level, token.used = _LEVELS[token.text], True
    natural = _natural_remark(tokens) or natural
    if natural:  # "B Horn [NB: B natural]": one key, said twice
        crooks = [NoteName(6, 0) if note.german_b else note for note in crooks]
    return list(dict.fromkeys(crooks)), level, natural


def _natural_remark(tokens: list[Token]) -> bool:
    """ "[NB: B natural]" after the label: the letter is said a second time."""
    for index, token in enumerate(tokens):
        if token.text == "natural" and not token.used:
            token.used = True
            if index and tokens[index - 1].text in ("b", "h"):
                tokens[index - 1].used = True
            return True
    return False


def _note_list(
    tokens: list[Token], start: int, language: Language | None
) -> tuple[list[NoteName], bool]:
    """Notes from `start` on, parted by joiners: "A/B", "Es und C"."""
    notes: list[NoteName] = []
    natural = False
    index = start
    while index < len(tokens):
        if notes and _joins(tokens, index, language):
            index += 1
            continue
        note, used, said = _note_at(tokens, index, language, bare=False)
        if note is not None:
            notes.append(note)
            natural = natural or said
            index += used
            continue
        break
    return notes, natural


def _joins(tokens: Sequence[Token], index: int, language: Language | None) -> bool:
    """A sign or small word between two notes: "Es e C", "A/B"."""
    token = tokens[index]
    if token.used or token.capital or token.text not in _JOINERS or index + 1 == len(tokens):
        return False
    return parse_note_name(tokens[index + 1].text, language) is not None


def _note_at(
    tokens: list[Token], index: int, language: Language | None, *, bare: bool
) -> tuple[NoteName | None, int, bool]:
    """A note name at a token: the note, how many tokens, whether "natural" is said.

    A bare one (no "in" before it) must be a letter name in capitals, not the
    "e" that joins two numbers.
    """
    token = tokens[index]
    if token.used or (bare and not _may_be_bare(tokens, index)):
        return None, 0, False
    for size in (3, 2, 1):
        piece = [t for t in tokens[index : index + size] if not t.used]
        spoken = [t.text for t in piece if t.text != "-"]
        if len(piece) < size or not spoken or (size > 1 and spoken[-1] not in _ACCIDENTAL_WORDS):
            continue
        note = parse_note_name(" ".join(spoken), language)
        if spoken[-1] == "b" and size > 1 and piece[-1].capital:
            continue  # "Es B" are two notes, "Mi b" is one
        if note is not None:
            for t in piece:
                t.used = True
            said = spoken[-1] in ("natural", "naturale", "naturel")
            return note, size, said
    return None, 0, False


_BARE = re.compile(r"(?:[a-g](?:b|#|s|es|is)?|h|bb)$")


def _may_be_bare(tokens: Sequence[Token], index: int) -> bool:
    token = tokens[index]
    if not token.capital or not _BARE.match(token.text):
        return False
    if token.text != "e":
        return True
    beside = [t.text for t in (*tokens[max(index - 1, 0) : index], *tokens[index + 1 : index + 2])]
    return not any(re.fullmatch(r"\d+|[ivx]+", word) for word in beside) or len(beside) < 2
