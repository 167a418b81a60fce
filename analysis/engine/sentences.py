"""Sentences as template id + parameters, rendered late.

Each room that speaks registers its English templates here through
`register`; pages pass gettext as `translate`. Placeholders are named.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from analysis.engine.errors import EngineError
from analysis.engine.many import THEY, is_many, subject
from analysis.engine.model import Sentence

TEMPLATES: dict[str, str] = {}


def register(templates: Mapping[str, str]) -> None:
    """Add templates; the same id twice with another text is a programming error."""
    for key, text in templates.items():
        if TEMPLATES.get(key, text) != text:
            raise EngineError(f"Two texts for the sentence {key!r}.")
        TEMPLATES[key] = text


def wording(sentence: Sentence) -> str:
    """The English template of a sentence, with a plural verb where its subject is many."""
    id_ = sentence.template
    one = TEMPLATES[id_]
    they = THEY.get(id_)
    if they and is_many(sentence.params.get(subject(id_, one) or "")):
        return they
    return one


def render(sentence: Sentence, translate: Callable[[str], str] = str) -> str:
    """The sentence in words; `translate` maps the English template."""
    return translate(wording(sentence)).format(**sentence.params)
