"""Who rests in the bars chosen, in one sentence."""

from __future__ import annotations

from collections.abc import Sequence

from analysis.engine.analyses.speech import names, place
from analysis.engine.model import Finding, ScoreTable, Sentence
from analysis.engine.sentences import register

register(
    {
        "telling.rests.all": "{place}: {all} {rest} throughout.",
        "telling.rests.some": "{place}: {some} {rests} for part of it.",
        "telling.rests.both": "{place}: {all} {rest} throughout, {some} for part of it.",
    }
)


def resting(table: ScoreTable, findings: Sequence[Finding], first: int, last: int) -> Sentence:
    """Of findings about rests: who rests in all of bars first..last, who in some of them."""
    through = {line for f in findings for line in f.lines if f.first <= first and f.last >= last}
    partly = {line for f in findings for line in f.lines} - through
    every, some = sorted(through), sorted(partly)
    params = {
        "place": place(table, first, last),
        "all": names(table, every) if every else "",
        "some": names(table, some) if some else "",
        "rest": "rests" if len(every) == 1 else "rest",
        "rests": "rests" if len(some) == 1 else "rest",
    }
    which = "both" if every and some else "all" if every else "some"
    return Sentence(f"telling.rests.{which}", params)
