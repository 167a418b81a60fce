"""A finding's sentence beside its bars, and its confidence in words."""

from __future__ import annotations

from collections.abc import Callable

from analysis.engine.model import Sentence
from analysis.engine.sentences import wording
from analysis.engine.settings import Settings


def beside_bars(sentence: Sentence, translate: Callable[[str], str] = str) -> str:
    """The sentence without its place, for a page on which the bars stand before it.

    >>> beside_bars(Sentence("role.melody", {"line": "Oboe 1", "place": "b. 9-12"}))
    'Oboe 1 has the melody.'
    """
    text = translate(wording(sentence))
    for place in ("{place}: ", ", {place}"):
        if text.count("{place}") == 1 and place in text:
            text = text.replace(place, "")
            break
    said = text.format(**sentence.params)
    return said[:1].upper() + said[1:]


def confidence_word(confidence: float, settings: Settings | None = None) -> str:
    """ "sure", "likely" or "unsure", by the tutor's settings ``conflict_confidence`` (.9) and
    ``min_confidence`` (.7)."""
    settings = settings or Settings()
    if confidence < settings.min_confidence:
        return "unsure"
    return "sure" if confidence >= settings.conflict_confidence else "likely"
