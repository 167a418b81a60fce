"""The description of a passage in sentences: full, or neutral (without any relation).

A template and its parameters each, rendered late (`claims.speech.render`). At most eight
sentences: head, who plays, melody, second tunes, bass, harmony, pulse and figuration, silence.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from analysis.engine.claims.speech import Phrase, phrase, say
from analysis.engine.describe import relations
from analysis.engine.describe.page import (
    LEVELS,
    MIXED,
    Passage,
    hairpins,
    loudness,
    metres,
    passage,
)
from analysis.engine.describe.reading import Reading
from analysis.engine.describe.who import who
from analysis.engine.model import Finding, ScoreTable, Sentence
from analysis.engine.places import label
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "describe.row": "{first}, {rest}",
        "describe.head": "{place}: {facts}.",
        "describe.head.plain": "{place}.",
        "describe.bar": "bar {first}",
        "describe.bars": "bars {first} to {last}",
        "describe.in": "{movement}, {bars}",
        "describe.movement": "Movement {number}",
        "describe.from": "{what} from bar {bar}",
        "describe.with": "{what}, {more}",
        "describe.metre": "{beats}-{unit}",
        "describe.metre.none": "without metre",
        "describe.metre.many": "changing metre",
        "describe.loud.mixed": "loudness differing from part to part",
        "describe.loud.many": "loudness changing between {low} and {high}",
        "describe.hairpin": "{word} in {bars}",
        "describe.key.sure": "{key}",
        "describe.key.perhaps": "key not clear, perhaps {key}",
        "describe.key.either": "key not clear, {key} or {second}",
        "describe.key.none": "key not clear",
        "describe.key.many": "several keys, from {first} to {last}",
        "describe.playing": "Playing: {who}.",
        "describe.playing.also": "Playing: {who}; for a time also {also}.",
        "describe.playing.times": "Playing for a time: {also}.",
        "describe.playing.all": "Playing: the whole orchestra.",
        "describe.playing.everybody": "Playing: everybody.",
        "describe.playing.nobody": "Nobody plays.",
        "describe.placed": "{who} ({bars})",
        "describe.silent": "Silent: {who}.",
        "describe.staves": "Staves on the page: {count}.",
    }
)

_WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
          "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen")  # fmt: skip
_ROMAN = ("I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X")
#: changes of one thing that are told one by one
MANY = 3
#: share of the bars from which somebody plays "in" the passage, else "for a time"
PLAYS = 0.75
#: groups of those who play for a time, told one by one
TIMES = 3


@dataclass(frozen=True)
class Description:
    """Bars ``first..last`` of one movement in words. `full`: with what the reading says."""

    first: int
    last: int
    full: bool
    sentences: tuple[Sentence, ...]


def describe(
    table: ScoreTable,
    first: int,
    last: int,
    findings: Sequence[Finding] | None = None,
    settings: Settings | None = None,
) -> Description:
    """Bars ``first..last`` (indices, inclusive) in words.

    Parameters
    ----------
    table : ScoreTable
    findings : sequence of Finding, or None
        Effective findings for the full form. None gives the neutral form, which tells nothing
        but what stands on the page: no key, job, doubling or other relation.
    settings : Settings, optional

    Raises
    ------
    EngineError
        If the bars are not in the score, or not in one movement.
    """
    p = passage(table, first, last)
    settings = settings or Settings()
    reading = Reading(p, findings) if findings is not None else None
    told = [_head(p, reading, settings), *_playing(p)]
    if reading is not None:
        told += relations.sentences(p, reading, settings)
    silent = who(table, p.movement.index).words(_silent(p), counted=False)
    if silent and p.sounds.any():
        told.append(say("describe.silent", who=row(silent)))
    if reading is None:
        told.append(say("describe.staves", count=_staves(p)))
    return Description(first, last, reading is not None, tuple(told))


def row(items: Sequence[str | Phrase]) -> str | Phrase:
    """Items with commas between them: "flute, two bassoons, strings"."""
    found: str | Phrase = items[-1]
    for item in reversed(items[:-1]):
        found = phrase("describe.row", first=item, rest=found)
    return found


def bars(table: ScoreTable, first: int, last: int) -> Phrase:
    """ "bar 9", "bars 9 to 12"."""
    if first == last:
        return phrase("describe.bar", first=label(table, first))
    return phrase("describe.bars", first=label(table, first), last=label(table, last))


# --- head -----------------------------------------------------------------------


def _head(p: Passage, reading: Reading | None, settings: Settings) -> Sentence:
    facts = [*(_key(p, reading, settings) if reading else []), *_metre(p), *_loudness(p)]
    if not facts:
        return say("describe.head.plain", place=_place(p))
    return say("describe.head", place=_place(p), facts=row(facts))


def _place(p: Passage) -> Phrase:
    said = bars(p.table, p.first, p.last)
    index = p.movement.index
    if len(p.table.movements) > 1:
        number = _ROMAN[index] if index < len(_ROMAN) else str(index + 1)
        name: str | Phrase = phrase("describe.movement", number=number)
    else:
        name = p.movement.title or p.table.title
    if not name:
        one = p.first == p.last
        return phrase("describe.place.bar" if one else "describe.place.bars", **said["params"])
    return phrase("describe.in", movement=name, bars=said)


register({"describe.place.bar": "Bar {first}", "describe.place.bars": "Bars {first} to {last}"})


def _key(p: Passage, reading: Reading, settings: Settings) -> list[Phrase]:
    keys = reading.keys()
    if not keys:
        return [phrase("describe.key.none")] if p.sounds.any() else []
    if len(keys) > MANY:
        ends = {"first": keys[0].words, "last": keys[-1].words}
        return [phrase("describe.key.many", **ends)]
    told = []
    for n, key in enumerate(keys):
        if key.confidence >= settings.min_confidence:
            said = phrase("describe.key.sure", key=key.words)
        elif key.second and key.second != key.words:
            said = phrase("describe.key.either", key=key.words, second=key.second)
        else:
            said = phrase("describe.key.perhaps", key=key.words)
        told.append(_from(p, said, key.first) if n else said)
    return told


def _from(p: Passage, what: str | Phrase, bar: int) -> Phrase:
    return phrase("describe.from", what=what, bar=label(p.table, bar))


def _metre(p: Passage) -> list[Phrase]:
    found = metres(p)
    if len(found) > MANY:
        return [phrase("describe.metre.many")]
    told = []
    for n, (bar, beats, unit) in enumerate(found):
        said = phrase("describe.metre", beats=_number(beats), unit=_number(unit))
        if not beats:
            said = phrase("describe.metre.none")
        told.append(_from(p, said, bar) if n else said)
    return told


def _number(count: int) -> str:
    return _WORDS[count] if count < len(_WORDS) else str(count)


def _loudness(p: Passage) -> list[Phrase | str]:
    found = loudness(p)
    told: list[Phrase | str] = []
    if len(found) > MANY:
        levels = [level for _, level in found if level != MIXED]
        ends = {"low": LEVELS[min(levels)], "high": LEVELS[max(levels)]} if levels else {}
        alike = not ends or ends["low"] == ends["high"]
        told.append(phrase("describe.loud.mixed") if alike
                    else phrase("describe.loud.many", **ends))  # fmt: skip
    else:
        for n, (bar, level) in enumerate(found):
            said: Phrase | str = phrase("describe.loud.mixed") if level == MIXED else LEVELS[level]
            told.append(_from(p, said, bar) if n else said)
    for word, places in hairpins(p).items():
        if 0 < len(places) <= MANY:
            where = row([bars(p.table, a, b) for a, b in places])
            told.append(phrase("describe.hairpin", word=word, bars=where))
    return told


# --- who plays --------------------------------------------------------------------


def _playing(p: Passage) -> list[Sentence]:
    names = who(p.table, p.movement.index)
    share = [sum(bars) / len(p.bars) for bars in p.sounds.tolist()]
    mostly = [line for line, part in enumerate(share) if part >= PLAYS]
    if not p.sounds.any():
        return [say("describe.playing.nobody")]
    present = names.of(mostly)
    families = {c.family for c in names.chairs}
    if len(present) == len(names.chairs) and len(families) > 2:
        return [say(f"describe.playing.{'everybody' if 'voice' in families else 'all'}")]
    at_times: dict[tuple[tuple[int, int], ...], list[int]] = {}
    shown = {line for chair in present for line in chair.lines}
    for line, part in enumerate(share):
        if 0 < part < PLAYS and line not in shown:
            at_times.setdefault(tuple(p.where(p.sounds[line])), []).append(line)
    also: list[str | Phrase] = []
    if len(at_times) <= TIMES and all(len(places) == 1 for places in at_times):
        for places, lines in sorted(at_times.items()):
            where = bars(p.table, *places[0])
            also.append(phrase("describe.placed", who=row(list(names.words(lines))), bars=where))
    elif at_times:
        also += names.words(line for lines in at_times.values() for line in lines)
    if not present:
        return [say("describe.playing.times", also=row(also))]
    said = row(list(names.words(mostly)))
    if also:
        return [say("describe.playing.also", who=said, also=row(also))]
    return [say("describe.playing", who=said)]


def _silent(p: Passage) -> list[int]:
    """Lines of the chairs none of whose lines sounds."""
    sounding = set(p.sounding)
    chairs = who(p.table, p.movement.index).chairs
    return [line for c in chairs if not sounding.intersection(c.lines) for line in c.lines]


def _staves(p: Passage) -> int:
    rows = p.table.notes
    pairs = {(int(r["part"]), int(r["staff"])) for r in rows[["part", "staff"]]}
    extra = sum(1 for _, staff in pairs if staff > 1)
    return p.table.part_count + extra
