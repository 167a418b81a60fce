"""How answers are worded: template ids and parameters, rendered late.

A parameter may itself be a phrase (`phrase`), so that "bars 9–12" or "A, B
and C" are put into words only when somebody reads them. Tone: first what is
right, then the one thing to change; never a word against the student.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import lru_cache
from typing import Any

from analysis.engine import places
from analysis.engine.claims.many_said import MANY
from analysis.engine.instruments.names import parse_label
from analysis.engine.model import ScoreTable, Sentence
from analysis.engine.names import Unit
from analysis.engine.pitch import spelled
from analysis.engine.sentences import TEMPLATES, register

Phrase = dict[str, Any]

register(MANY)
register(
    {
        "claim.bars.one": "bar {first}",
        "claim.bars.many": "bars {first}–{last}",
        "claim.bars.one.movement": "movement {movement}, bar {first}",
        "claim.bars.many.movement": "movement {movement}, bars {first}–{last}",
        "claim.list.none": "nobody",
        "claim.list.two": "{first} and {last}",
        "claim.octaves.unison": "in unison",
        "claim.octaves.one.up": "one octave higher",
        "claim.octaves.one.down": "one octave lower",
        "claim.octaves.up": "{count} octaves higher",
        "claim.octaves.down": "{count} octaves lower",
        "claim.octaves.one": "one octave apart",
        "claim.octaves.apart": "{count} octaves apart",
        "claim.place.as-claimed": "It holds in {bars}.",
        "claim.place.true": "You wrote {claimed}; it holds in {bars}.",
        "claim.place.goes-on": "It goes on to bar {last}.",
        "claim.place.starts-earlier": "It starts earlier, in bar {first}.",
        "claim.place.wider": "It starts in bar {first} and goes on to bar {last}.",
        "claim.place.elsewhere": "It is true of {bars}, not of {claimed}.",
        "claim.rests": "{part} rests in {bars}.",
        "claim.place.nowhere": "I find it nowhere in this movement.",
    }
)

_COUNT = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight")


def phrase(template: str, **params: Any) -> Phrase:
    """A piece of a sentence, rendered with it."""
    return {"template": template, "params": params}


def say(template: str, **params: Any) -> Sentence:
    return Sentence(template, params)


def unsure(sentence: Sentence) -> Sentence | None:
    """The same with "but not surely", where there are words for it."""
    template = f"{sentence.template}.unsure"
    return Sentence(template, sentence.params) if template in TEMPLATES else None


def render(sentence: Sentence | Phrase, translate: Callable[[str], str] = str) -> str:
    """A sentence in words, phrases inside it first."""
    if isinstance(sentence, Sentence):
        template, params = sentence.template, sentence.params
    else:
        template, params = sentence["template"], sentence["params"]
    words = {key: _word(value, translate) for key, value in params.items()}
    if f"{template}.one" in TEMPLATES and _is_one(params.get("parts")):
        template = f"{template}.one"
    elif f"{template}.many" in TEMPLATES and names_many(params.get("part")):
        template = f"{template}.many"
    return translate(TEMPLATES[template]).format(**words)


def _is_one(parts: Any) -> bool:
    """One name, no plural: "rests" instead of "rest"."""
    return isinstance(parts, list | tuple) and len(parts) == 1 and not names_many(parts[0])


def names_many(label: Any) -> bool:
    """Whether a name is a plural: "Corni 1, 2", no "Corno 1" and no "Violino I"."""
    return isinstance(label, str) and _is_plural(label)


@lru_cache(maxsize=4096)
def _is_plural(label: str) -> bool:
    return parse_label(label).form == "plural"


def _word(value: Any, translate: Callable[[str], str]) -> Any:
    if isinstance(value, Mapping) and "template" in value:
        return render(dict(value), translate)
    if isinstance(value, list | tuple):
        words = [str(_word(v, translate)) for v in value]
        if not words:
            return translate(TEMPLATES["claim.list.none"])
        if len(words) == 1:
            return words[0]
        return translate(TEMPLATES["claim.list.two"]).format(
            first=", ".join(words[:-1]), last=words[-1]
        )
    return value


def text(sentences: Iterable[Sentence], translate: Callable[[str], str] = str) -> str:
    """Sentences one after another, each once."""
    return " ".join(dict.fromkeys(render(s, translate) for s in sentences))


def as_json(sentences: Iterable[Sentence]) -> list[Phrase]:
    """Templates and parameters, as a page stores them."""
    return [{"template": s.template, "params": dict(s.params)} for s in sentences]


def bars(table: ScoreTable, first: int, last: int) -> Phrase:
    """ "bar 9", "bars 9–12"."""
    if first == last:
        return phrase("claim.bars.one", first=places.label(table, first))
    return phrase(
        "claim.bars.many", first=places.label(table, first), last=places.label(table, last)
    )


def people(table: ScoreTable, units: Sequence[Unit]) -> list[str]:
    return list(dict.fromkeys(u.label for u in units))


def line_names(table: ScoreTable, lines: Iterable[int]) -> list[str]:
    return list(dict.fromkeys(table.lines[i].name for i in lines))


def octaves(count: int | None, direction: bool = True) -> Phrase:
    """ "two octaves lower"."""
    if not count:
        return phrase("claim.octaves.unison")
    size = abs(count)
    word = _COUNT[size] if size < len(_COUNT) else str(size)
    if not direction:
        return (
            phrase("claim.octaves.one") if size == 1 else phrase("claim.octaves.apart", count=word)
        )
    way = "up" if count > 0 else "down"
    return (
        phrase(f"claim.octaves.one.{way}")
        if size == 1
        else phrase(f"claim.octaves.{way}", count=word)
    )


def pitch_class(row: Any) -> str:
    """The sounding note name of a row, without octave."""
    return spelled(int(row["step"]), int(row["alter"]))


def number(count: int) -> str:
    return _COUNT[count] if 0 <= count < len(_COUNT) else str(count)


def place_note(
    table: ScoreTable, stretch: tuple[int, int] | None, first: int, last: int
) -> list[Sentence]:
    """What to add when a fact reaches further than the claimed bars."""
    if stretch is None:
        return []
    begins, ends = stretch
    if begins < first and ends > last:
        return [
            say(
                "claim.place.wider",
                first=places.label(table, begins),
                last=places.label(table, ends),
            )
        ]
    if ends > last:
        return [say("claim.place.goes-on", last=places.label(table, ends))]
    if begins < first:
        return [say("claim.place.starts-earlier", first=places.label(table, begins))]
    return []
