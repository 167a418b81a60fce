"""One sentence for findings that differ only in who or where.

"Flauto 1 has the melody, b. 5-8" and the same of Fagotto 1 are one fact for a reader; so are three
crossings of the same two parts. First the places of a fact come together, then the lines that
have it in just those places: the outcome does not depend on the order.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from analysis.engine.analyses.speech import number, place, some_names
from analysis.engine.model import Finding, ScoreTable, Sentence
from analysis.engine.sentences import TEMPLATES, register


@dataclass(frozen=True, slots=True)
class Alike:
    """When two findings of one sentence are the same fact.

    Attributes
    ----------
    keep : tuple of str
        Parameters that must be equal.
    sums : tuple of str
        Counts that add up.
    who : str
        Parameter with the names of the lines, where several lines may share a sentence; "": the
        lines must be the same.
    places : bool
        Whether several places may.
    """

    keep: tuple[str, ...] = ()
    sums: tuple[str, ...] = ()
    who: str = ""
    places: bool = True


_COUNTED = Alike(keep=("distance", "with_"), sums=("met", "of"))
RULES: dict[str, Alike] = {
    "doubling.full": _COUNTED,
    "doubling.noted": _COUNTED,
    "doubling.partial": _COUNTED,
    "doubling.simplified": _COUNTED,
    "doubling.heterophonic": _COUNTED,
    "doubling.group": Alike(keep=("levels",)),
    "doubling.unison": Alike(),
    "doubling.a2": Alike(),
    "doubling.none": Alike(who="parts"),
    "parallel.run": Alike(keep=("interval", "side", "with_"), sums=("met", "of")),
    "crossing.over": Alike(sums=("notes",)),
    "crossing.held": Alike(),
    "crossing.dip": Alike(),
    "playing.enters": Alike(keep=("bars", "place"), who="parts", places=False),
    "playing.tutti": Alike(keep=("count",)),
    "playing.family": Alike(keep=("family",)),
    "playing.of-family": Alike(),
    "playing.winds": Alike(),
    "playing.solo": Alike(),
    "playing.soli": Alike(),
    "playing.silence": Alike(keep=("beats",)),
    "playing.silence.one": Alike(),
    "marking.register": Alike(keep=("register", "name"), who="parts"),
    "open-tones.rests": Alike(keep=("crook", "missing"), who="parts"),
    "open-tones.hand": Alike(keep=("crook", "missing"), who="parts"),
    "open-tones.doubtful": Alike(keep=("crook", "pitches", "partials"), who="parts"),
    "open-tones.crook": Alike(keep=("crook", "pitches"), who="parts", places=False),
    "layout.part": Alike(keep=("instrument", "transposes", "players", "clef"), who="parts",
                         places=False),
    **{f"role.{role}": Alike(who="line") for role in (
        "melody", "countermelody", "answer", "bass line", "held harmony", "moving harmony",
        "pulse", "pedal", "punctuation", "figuration", "unclear")},
}  # fmt: skip

#: what is told of several lines in other words than of one staff that names many
_SEVERAL = {"open-tones.crook": "{place}: {parts} (crook {crook}) have {pitches} as open tones."}
register({f"telling.{id_}": text for id_, text in _SEVERAL.items()})

#: places named before "and so many more"
NAMED = 5
#: lines named before "and so many more"
LINES = 8


@dataclass(frozen=True, slots=True)
class Merged:
    """Findings told in one sentence, by place then lines."""

    findings: tuple[Finding, ...]
    sentence: Sentence


def merged(table: ScoreTable, findings: Sequence[Finding]) -> list[Merged]:
    """Every finding in exactly one `Merged`, those alike together."""
    of_a_line: dict[Any, list[Finding]] = defaultdict(list)
    for n, finding in enumerate(findings):
        of_a_line[fact(finding) or n].append(finding)
    of_places: dict[Any, list[list[Finding]]] = defaultdict(list)
    for n, same in enumerate(of_a_line.values()):
        of_places[_shared(same, n)].append(same)
    return [_told(table, groups) for groups in of_places.values()]


def fact(finding: Finding) -> Any:
    """What two findings share that say the same of the same lines elsewhere; None: nothing."""
    rule, params = RULES.get(finding.sentence.template), finding.sentence.params
    if rule is None or not rule.places:
        return None
    kept = tuple(str(params.get(k)) for k in rule.keep)
    return finding.sentence.template, finding.movement, finding.lines, kept


def _shared(same: Sequence[Finding], n: int) -> Any:
    """What must be equal for two lines with one fact in the same places."""
    rule = RULES.get(same[0].sentence.template)
    if rule is None or not rule.who:
        return n
    params = same[0].sentence.params
    kept = tuple(str(params.get(k)) for k in rule.keep)
    spans = () if "place" in rule.keep else tuple(sorted((f.first, f.last) for f in same))
    return same[0].sentence.template, same[0].movement, kept, spans


def _told(table: ScoreTable, groups: Sequence[Sequence[Finding]]) -> Merged:
    every = sorted((f for same in groups for f in same), key=lambda f: (f.start, f.lines))
    first = every[0]
    if len(every) == 1:
        return Merged((first,), first.sentence)
    id_ = first.sentence.template
    rule, params = RULES[id_], dict(first.sentence.params)
    for name in rule.sums:
        params[name] = sum(int(f.sentence.params[name]) for f in every)
    if rule.places:
        spots = dict.fromkeys((f.first, f.last) for f in every)
        if len(spots) > 1:
            params["place"] = join_places([place(table, *bars) for bars in spots])
    if len(groups) > 1:
        lines = sorted({line for f in every for line in f.lines})
        params[rule.who] = some_names(table, lines, LINES)
        id_ = f"telling.{id_}" if id_ in _SEVERAL else id_
    assert id_ in TEMPLATES, id_
    return Merged(tuple(every), Sentence(id_, params))


def join_places(places: Sequence[str]) -> str:
    """Places of one movement in a row; of many the first few.

    >>> join_places(["II, b. 3", "II, b. 5-6", "II, b. 9"])
    'II, b. 3, 5-6 and 9'
    """
    shown = list(places[:NAMED] if len(places) > NAMED + 1 else places)
    shown = [shown[0], *(p.partition("b. ")[2] for p in shown[1:])]
    rest = len(places) - len(shown)
    if rest:
        return f"{', '.join(shown)} and {number(rest)} more places"
    return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} and {shown[-1]}"
