"""A printed label in pieces: words, numbers and the signs between them."""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass

from analysis.engine.pitch import plain


@dataclass(slots=True)
class Token:
    text: str  # plain
    raw: str
    dotted: bool = False  # a full stop follows
    used: bool = False

    @property
    def capital(self) -> bool:
        return self.raw[:1].isupper()


_PIECE = re.compile(r"[a-z]+(?:'[a-z]+)?#?|\d+[a-z]*|[,/&+-]|#")


def tokens_of(label: str) -> list[Token]:
    """Split a label. Brackets fall away, their words stay."""
    raw = re.sub(r"[\[\](){}:;\"_|]", " ", label.replace("♭", "b").replace("♯", "#"))
    raw = raw.replace("♮", " natural ").replace("’", "'").replace("–", "-").replace("°", "o")
    tokens: list[Token] = []
    for piece in re.split(r"\s+", raw):
        low = plain(piece)
        if len(low) != len(piece):  # an accent written apart, or a sharp s
            piece = low
        for match in _PIECE.finditer(low):
            dotted = low[match.end() : match.end() + 1] == "."
            tokens.append(Token(match.group(), piece[match.start() : match.end()], dotted))
    return tokens


def words(text: str) -> frozenset[str]:
    """A set of words written as one string."""
    return frozenset(text.split())


def take(tokens: list[Token], wanted: Collection[str]) -> bool:
    """Mark tokens that are one of `wanted` as understood; was there any?"""
    hit = False
    for token in tokens:
        if not token.used and token.text in wanted:
            token.used = hit = True
    return hit
