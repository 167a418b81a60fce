"""Misreadings that go through a whole paper: said once, instead of at every statement.

All bars one off, or an instrument read untransposed throughout (contract 3: "edition" is the one of
two bars and more, and is asked about instead). Found from the answers alone, so that stored ones
tell it as well.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from analysis.engine.claims import speech
from analysis.engine.claims.fields import JSON
from analysis.engine.model import Sentence
from analysis.engine.sentences import register

register(
    {
        "claim.constant.earlier": (
            "{count} of {of} statements are one bar late, and fit one bar earlier: it is the "
            "count of the bars, one misreading and not {count}."
        ),
        "claim.constant.later": (
            "{count} of {of} statements are one bar early, and fit one bar later: it is the "
            "count of the bars, one misreading and not {count}."
        ),
        "claim.constant.untransposed": (
            "{count} statements read the {instrument} as written: true on paper, not in sound. It "
            "is its transposition, one misreading and not {count}."
        ),
    }
)

#: fewest statements with bars off, and with one instrument untransposed
BARS, PITCHES = 3, 2
#: share of the paper's compared statements that must be off the same way
MOSTLY = 0.75
_PLACES = ("claim.reading.pickup", "claim.reading.bar-offset")
_UNTRANSPOSED = "claim.reading.untransposed"


@dataclass(frozen=True)
class Constant:
    """One misreading of a paper. `members`: positions of the statements that share it."""

    cause: str
    members: tuple[int, ...]
    sentence: Sentence


def constant_misreadings(answers: Sequence[tuple[str, Sequence[JSON]]]) -> list[Constant]:
    """What goes wrong the same way throughout one paper.

    Parameters
    ----------
    answers : sequence of (flag, sentence)
        Of one paper: each answer's flag, and the templates and parameters of its sentence
        (`Answer.sentences()["sentence"]`, as checks store them).

    Returns
    -------
    list of Constant
        At most one for the bars, and one an instrument; empty where nothing is constant.
    """
    compared = [n for n, (flag, _) in enumerate(answers) if flag != "ear"]
    by: dict[int, list[int]] = defaultdict(list)
    heard: dict[str, list[int]] = defaultdict(list)
    for n in compared:
        for said in answers[n][1]:
            params: Mapping[str, Any] = said.get("params") or {}
            template = str(said.get("template"))
            if template in _PLACES and params.get("by") in (-1, 1):
                by[params["by"]].append(n)
            elif template.startswith(_UNTRANSPOSED) and params.get("instrument"):
                heard[str(params["instrument"])].append(n)
    found: list[Constant] = []
    for way, members in by.items():
        if len(members) >= max(BARS, MOSTLY * len(compared)):
            word = "earlier" if way < 0 else "later"
            said_once = speech.say(f"claim.constant.{word}", count=len(members), of=len(compared))
            found.append(Constant("bar-offset", tuple(members), said_once))
    for instrument, members in heard.items():
        if len(members) >= PITCHES:
            said_once = speech.say(
                "claim.constant.untransposed", count=len(members), instrument=instrument
            )
            found.append(Constant("untransposed", tuple(members), said_once))
    return found


def papers_json(raws: Sequence[Any], told: Sequence[tuple[str, Sequence[JSON]]]) -> list[JSON]:
    """For the answer file: the constant misreadings of each paper, once.

    `raws` are the claims as they came, `told` flag and sentence of their answers, in that order.
    """
    papers: dict[Any, list[int]] = defaultdict(list)
    for n, raw in enumerate(raws):
        if isinstance(raw, Mapping) and isinstance(raw.get("paper"), str | int):
            papers[raw["paper"]].append(n)
    rows: list[JSON] = []
    for paper, members in papers.items():
        for one in constant_misreadings([told[n] for n in members]):
            ids = [raws[members[k]].get("id") for k in one.members]
            rows.append(
                {
                    "paper": paper,
                    "cause": one.cause,
                    "answers": [i for i in ids if isinstance(i, str | int)],
                    "sentence": speech.render(one.sentence),
                }
            )
    return rows
