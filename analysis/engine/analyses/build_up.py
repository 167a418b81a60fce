"""Findings and words of build-ups and thinning-out; what they are: `build_up_facts`."""

from __future__ import annotations

from typing import Any

import numpy as np

from analysis.engine.analyses.attacks import attacks
from analysis.engine.analyses.build_up_facts import Swing, swings
from analysis.engine.analyses.spans import counted
from analysis.engine.analyses.speech import bar_label, finding, place
from analysis.engine.model import Evidence, Finding, NoteArray, ScoreTable
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "build-up.rise": "{place}: a build-up towards b. {goal}: {by}{without}.",
        "build-up.fall": "{place}: the music thins out: {by}{without}.",
    }
)

#: confidence with two curves, what each more adds
START, MORE = 0.72, 0.07
_DYNAMICS = ("", "ppp", "pp", "p", "mp", "mf", "f", "ff", "fff")
_NAMES = ("C", "C sharp", "D", "E flat", "E", "F", "F sharp", "G", "A flat", "A", "B flat", "B")
_STILL = {
    "forces": "the number of parts stays",
    "loudness": "the printed loudness stays",
    "height": "the top does not move",
    "rhythm": "the rhythm stays as it is",
    "harmony": "the harmony presses no more than before",
}
_STILL_DOWN = {**_STILL, "harmony": "the harmony does not grow calmer"}


def find_build_ups(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "build-up": rising tension, and (negated) thinning-out.

    Parameters
    ----------
    table : ScoreTable
    settings : Settings
        `build_up_bars`, `build_up_legs`: how long, and how many of the curves must grow.

    Returns
    -------
    list of Finding
        A build-up says in `by` what rises and in `without` what does not; it ends before its
        goal, whose bar the sentence names (parameter `goal`). A thinning-out is the claim that
        this is *no* build-up by what falls: `negated`, with what falls in `by`. Confidence by the
        number of curves; judged, not measured.
    """
    return [_finding(table, one) for one in swings(table, settings)]


def _finding(table: ScoreTable, one: Swing) -> Finding:
    up = one.way > 0
    value: dict[str, Any] = {"kind": "build-up", "parts": [], "by": list(one.by)}
    if up:
        value["without"] = list(one.without)
    else:
        value["negated"] = True
    last = one.goal - 1
    words = [leg_words(name, *one.values[name], one.way) for name in one.by]
    quiet = [still_words(name, one.way) for name in one.without]
    lines = lines_of(table, one)
    return finding(
        table,
        value,
        start=table.bars[one.first].start,
        end=table.bars[last].end,
        lines=lines,
        evidence=evidence(table, one),
        template="build-up.rise" if up else "build-up.fall",
        params={
            "place": place(table, one.first, last),
            "goal": bar_label(table, one.goal),
            "by": _listed(words),
            "without": f"; {_listed(quiet)}" if quiet else "",
            "goal_bar": one.goal,
        },
        confidence=sure(one),
    )


def sure(one: Swing) -> float:
    """How sure it is, by the number of curves; judged, not measured."""
    return START + MORE * (len(one.by) - 2)


def still_words(name: str, way: int = 1) -> str:
    """What does not rise (fall): "the top does not move"."""
    return (_STILL if way > 0 else _STILL_DOWN)[name]


def lines_of(table: ScoreTable, one: Swing) -> list[int]:
    """The lines that sound in it."""
    lines = counted(table)[:, one.first : one.goal + 1].any(axis=1)
    return [int(k) for k in np.flatnonzero(lines)]


def evidence(table: ScoreTable, one: Swing) -> list[Evidence]:
    """The highest note of each bar, and the first (last) note of each line that enters (leaves)."""
    lines = lines_of(table, one)
    grid = attacks(table)
    start, end = table.bars[one.first].start, table.bars[one.goal].end
    plays = counted(table)
    edge = one.first if one.way > 0 else one.goal
    all_rows: list[NoteArray] = []
    shown: list[NoteArray] = []
    for line in lines:
        mine = grid.between(line, start, end)
        if not len(mine):
            continue
        all_rows.append(mine)
        if not plays[line, edge]:
            shown.append(mine[:1] if one.way > 0 else mine[-1:])
    if not all_rows:
        return []
    every = np.concatenate(all_rows)
    every = every[np.lexsort((-every["pitch"], every["bar"]))]
    tops = every[np.r_[True, every["bar"][1:] != every["bar"][:-1]]]
    return [Evidence(ids=tuple(table.note_ids(np.concatenate([tops, *shown]))))]


def leg_words(name: str, start: float, end: float, way: int) -> str:
    """What rises (falls), from where to where: "more parts (3 to 10)"."""
    if name == "forces":
        return f"{'more' if way > 0 else 'fewer'} parts ({round(start)} to {round(end)})"
    if name == "loudness":
        span = f"{_DYNAMICS[_degree(start)]} to {_DYNAMICS[_degree(end)]}"
        return f"{'louder' if way > 0 else 'softer'} ({span})"
    if name == "height":
        span = f"top from about {_pitch(start)} to {_pitch(end)}"
        return f"{'higher' if way > 0 else 'lower'} ({span})"
    if name == "rhythm":
        return "a faster rhythm" if way > 0 else "a slower rhythm"
    return "a harmony that presses on" if way > 0 else "a calmer harmony"


def _degree(level: float) -> int:
    return min(max(round(level), 1), 8)


def _pitch(number: float) -> str:
    midi = round(number)
    return f"{_NAMES[midi % 12]}{' ' if ' ' in _NAMES[midi % 12] else ''}{midi // 12 - 1}"


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " and " + words[-1]
