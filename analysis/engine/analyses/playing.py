"""Who plays: tutti, one family alone, solo and soli, silence, rests and entries.

A line plays in a bar if it sounds in any of it (a note tied over counts). Shares compare the
families; they are computed per movement.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from itertools import pairwise
from typing import Any

import numpy as np

from analysis.engine.analyses.attacks import BoolArray, memo
from analysis.engine.analyses.forces import (
    SOLI,
    rests_throughout,
    shares,
    silences,
    sounding_bars,
    tutti_bars,
    tutti_kinds,
    without_chord_tone,
)
from analysis.engine.analyses.spans import counted, heads, sounding, true_spans
from analysis.engine.analyses.speech import (
    bar_at,
    finding,
    mixed,
    names,
    number,
    part_values,
    place,
    span,
)
from analysis.engine.model import Evidence, Finding, ScoreTable
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

__all__ = [
    "find_playing",
    "find_shares",
    "rests_throughout",
    "shares",
    "silences",
    "sounding_bars",
    "tutti_bars",
]

register(
    {
        "playing.tutti": "{place}: tutti, {count} play.",
        "playing.tutti-brass": (
            "{place}: tutti, {count} play; {without}: the chord has no open tone there."
        ),
        "playing.family": "{place}: only the {family} play.",
        "playing.winds": "{place}: the winds alone: {parts}.",
        "playing.of-family": "{place}: only {family} play: {parts}.",
        "playing.solo": "{place}: {parts} plays alone.",
        "playing.soli": "{place}: only {parts} play.",
        "playing.silence": "{place}: everybody rests ({beats} beats).",
        "playing.silence.one": "{place}: everybody rests (one beat).",
        "playing.silence-unique.one": (
            "{place}: everybody rests (one beat), the only general pause of the movement."
        ),
        "playing.silence-unique": (
            "{place}: everybody rests ({beats} beats), the only general pause of the movement."
        ),
        "playing.rests": "{place}: {parts} rest ({bars} bars).",
        "playing.rests.one": "{place}: {parts} rests ({bars} bars).",
        "playing.tacet": "{place}: {parts} rest throughout the movement.",
        "playing.tacet.one": "{place}: {parts} rests throughout the movement.",
        "playing.enters": "{place}: {parts} enters after {bars} bars of rest.",
        "share.bars": "{place}: the {family} play in {percent} % of the bars, more than any other "
        "family.",
        "share.every": "{place}: the {family} play in every bar, more than any other family.",
        "share.notes": "{place}: the {family} play {percent} % of the notes, more than any other "
        "family.",
    }
)

#: where a movement has more pauses than these, only those of two beats or more are told; a beat
#: between chords is no event. Common practice
PAUSES = 8
LONG_PAUSE = 2
#: from so many bars on a rest is told, and from so many an entry after it: common practice
REST_BARS = 2
ENTRY_AFTER = 4


def find_playing(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "playing"."""
    families = _families(table)
    return [
        *_tuttis(table, settings),
        *families,
        *_winds(table),
        *_few(table, {(f.first, f.last) for f in families}),
        *_pauses(table),
        *_rests(table),
        *_entries(table),
    ]


def find_shares(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "share": the family that predominates in each movement."""
    found = []
    for movement in table.movements:
        by = shares(table, movement)
        first, last = movement.first_bar, movement.last_bar
        for of in ("bars", "notes"):
            ranked = sorted(by[of].items(), key=lambda item: -item[1])
            if not ranked or ranked[0][0] == "unknown" or ranked[0][1] <= 0:
                continue
            if len(ranked) > 1 and ranked[0][1] - ranked[1][1] < 0.005:
                continue  # nobody predominates
            family, share = ranked[0]
            lines = [line.index for line in table.lines if line.family == family]
            found.append(
                finding(
                    table,
                    {"kind": "share", "parts": [], "of": of, "predominant": family},
                    start=table.bars[first].start,
                    end=table.bars[last].end,
                    lines=lines,
                    evidence=_first_notes(table, lines, first, last),
                    template="share.every" if of == "bars" and share == 1 else f"share.{of}",
                    params={
                        "place": place(table, first, last),
                        "family": _plural(family),
                        "percent": round(100 * share),
                        "shares": {f: round(s, 4) for f, s in ranked},
                        "lines": {str(i): round(s, 4) for i, s in by[f"line_{of}"].items()},
                    },
                )
            )
    return found


# --- spans of everybody, one family, a few ----------------------------------


def _tuttis(table: ScoreTable, settings: Settings) -> list[Finding]:
    strict, excused = tutti_kinds(table, settings)
    plays = counted(table)
    found = []
    for first, last in true_spans(table, strict | excused):
        movement = table.movements[table.bars[first].movement]
        force = plays[:, movement.first_bar : movement.last_bar + 1].any(axis=1)
        count = int(plays[:, first : last + 1].any(axis=1).sum())
        silent = force & ~plays[:, first : last + 1].any(axis=1)
        toneless = without_chord_tone(table)[:, first : last + 1].any(axis=1)
        out = np.flatnonzero(silent & toneless).tolist()
        brassy = excused[first : last + 1].any() and out
        lines = np.flatnonzero(plays[:, first : last + 1].any(axis=1)).tolist()
        found.append(
            _span(
                table,
                "tutti",
                first,
                last,
                lines,
                parts=[],
                template="playing.tutti-brass" if brassy else "playing.tutti",
                params={
                    "count": f"{count} of {force.sum()} lines"
                    if count < force.sum()
                    else f"all {number(count)} lines",
                    "without": f"{names(table, out)} {'rests' if len(out) == 1 else 'rest'}"
                    if brassy
                    else "",
                },
            )
        )
    return found


def _families(table: ScoreTable) -> list[Finding]:
    """Bars in which one family plays and nobody else, where others play in the movement."""
    plays = counted(table)
    found = []
    for family in sorted({line.family for line in table.lines} - {"unknown"}):
        mine = np.array([line.family == family for line in table.lines], dtype=bool)
        only = (plays[mine].sum(axis=0) > 1) & ~plays[~mine].any(axis=0)
        for first, last in _same_force(table, only):
            movement = table.movements[table.bars[first].movement]
            bars = slice(movement.first_bar, movement.last_bar + 1)
            if not plays[~mine, bars].any():
                continue
            lines = np.flatnonzero(plays[:, first]).tolist()
            whole = bool((plays[mine, first] | ~plays[mine, bars].any(axis=1)).all())
            if not whole and len(lines) <= SOLI:
                continue  # a named few
            found.append(
                _span(
                    table,
                    "only",
                    first,
                    last,
                    lines,
                    parts=[family] if whole else part_values(table, lines),
                    template="playing.family" if whole else "playing.of-family",
                    params={"family": _plural(family), "parts": names(table, lines)},
                )
            )
    return found


def _winds(table: ScoreTable) -> list[Finding]:
    """Bars in which woodwind and brass play and nobody else, more than a named few."""
    plays = counted(table)
    wood, brass = (
        np.array([line.family == family for line in table.lines], dtype=bool)
        for family in ("woodwind", "brass")
    )
    alone = plays[wood].any(axis=0) & plays[brass].any(axis=0) & ~plays[~(wood | brass)].any(axis=0)
    found = []
    for first, last in true_spans(table, alone):
        movement = table.movements[table.bars[first].movement]
        bars = slice(movement.first_bar, movement.last_bar + 1)
        lines = np.flatnonzero(plays[:, first : last + 1].any(axis=1)).tolist()
        if len(lines) <= SOLI or not plays[~(wood | brass), bars].any():
            continue
        mostly = plays[:, first : last + 1].mean(axis=1) >= 0.5
        whole = 2 * int(mostly.sum()) >= int((wood | brass).sum())
        if not (whole or mostly[lines].all()):
            continue  # now these, now those
        found.append(
            _span(
                table,
                "only",
                first,
                last,
                lines,
                parts=["winds"] if whole else part_values(table, lines),
                template="playing.winds" if whole else "playing.soli",
                params={"parts": names(table, lines)},
            )
        )
    return found


def _same_force(table: ScoreTable, bars: BoolArray) -> list[tuple[int, int]]:
    """Stretches of `bars` with one and the same set of lines."""
    plays = counted(table)
    same = np.r_[False, (plays[:, 1:] == plays[:, :-1]).all(axis=0)]
    found = []
    for first, last in true_spans(table, bars):
        cuts = [first, *(b for b in range(first + 1, last + 1) if not same[b]), last + 1]
        found += [(begin, after - 1) for begin, after in pairwise(cuts)]
    return found


def _few(table: ScoreTable, told: set[tuple[int, int]]) -> list[Finding]:
    """Bars with one line alone, or with the same few; not those told of as a whole family."""
    plays = counted(table)
    count = plays.sum(axis=0)
    if len(heads(table)) <= SOLI:
        return []
    found = []
    for first, last in _same_force(table, (count >= 1) & (count <= SOLI)):
        if (first, last) in told:
            continue
        lines = np.flatnonzero(plays[:, first]).tolist()
        found.append(
            _span(
                table,
                "only",
                first,
                last,
                lines,
                parts=part_values(table, lines),
                template="playing.solo" if len(lines) == 1 else "playing.soli",
                params={"parts": names(table, lines)},
            )
        )
    return found


def _span(
    table: ScoreTable,
    mode: str,
    first: int,
    last: int,
    lines: list[int],
    *,
    parts: list[Any],
    template: str,
    params: dict[str, Any],
) -> Finding:
    return finding(
        table,
        {"kind": "playing", "parts": parts, "mode": mode, "unique": False},
        start=table.bars[first].start,
        end=table.bars[last].end,
        lines=lines,
        evidence=_first_notes(table, lines, first, last),
        template=template,
        params={"place": place(table, first, last), **params},
    )


# --- silence, rests, entries ------------------------------------------------


def _pauses(table: ScoreTable) -> list[Finding]:
    pauses = silences(table)
    count: dict[int, int] = defaultdict(int)
    for start, _ in pauses:
        count[table.bars[bar_at(table, start)].movement] += 1
    ids = [p.id for p in table.first_readings]
    found = []
    for start, end in pauses:
        bar = table.bars[bar_at(table, start)]
        if count[bar.movement] > PAUSES and end - start < LONG_PAUSE * bar.beat_ticks:
            continue
        last = bar_at(table, end - 1)
        unique = count[bar.movement] == 1
        beats = (end - start) / bar.beat_ticks
        template = "playing.silence-unique" if unique else "playing.silence"
        found.append(
            finding(
                table,
                {"kind": "playing", "parts": [], "mode": "silence", "unique": unique},
                start=start,
                end=end,
                lines=[],
                evidence=[Evidence(part=id_, bars=(bar.index, last)) for id_ in ids],
                template=template if beats != 1 else f"{template}.one",
                params={"place": span(table, start, end), "beats": mixed(beats)},
            )
        )
    return found


def _rests(table: ScoreTable) -> list[Finding]:
    """Rests of `REST_BARS` and more; lines that rest over the same bars are told together."""
    together: dict[tuple[int, int], list[int]] = defaultdict(list)
    plays = sounding(table)
    for line in heads(table):
        for first, last in true_spans(table, ~plays[line]):
            if last - first + 1 >= REST_BARS:
                together[first, last].append(line)
    whole = {(m.first_bar, m.last_bar) for m in table.movements}
    found = []
    for (first, last), lines in sorted(together.items()):
        parts = dict.fromkeys(table.first_readings[table.lines[i].part].id for i in lines)
        template = "playing.tacet" if (first, last) in whole else "playing.rests"
        found.append(
            finding(
                table,
                {
                    "kind": "playing",
                    "parts": part_values(table, lines),
                    "mode": "rest",
                    "unique": False,
                },
                start=table.bars[first].start,
                end=table.bars[last].end,
                lines=lines,
                evidence=[Evidence(part=id_, bars=(first, last)) for id_ in parts],
                template=template if len(lines) > 1 else f"{template}.one",
                params={
                    "place": place(table, first, last),
                    "parts": names(table, lines),
                    "bars": last - first + 1,
                },
            )
        )
    return found


def _entries(table: ScoreTable) -> list[Finding]:
    """Entries after a long rest; the span is what the line then plays without a bar's rest."""
    plays = sounding(table)
    found = []
    for line in heads(table):
        rests = {last + 1: last - first + 1 for first, last in true_spans(table, ~plays[line])}
        for first, last in true_spans(table, plays[line]):
            rest = rests.get(first, 0)
            if rest < ENTRY_AFTER or table.bars[first - 1].movement != table.bars[first].movement:
                continue
            found.append(
                finding(
                    table,
                    {
                        "kind": "playing",
                        "parts": part_values(table, [line]),
                        "mode": "play",
                        "unique": False,
                    },
                    start=table.bars[first].start,
                    end=table.bars[last].end,
                    lines=[line],
                    evidence=_first_notes(table, [line], first, last),
                    template="playing.enters",
                    params={
                        "place": place(table, first, last),
                        "parts": names(table, [line]),
                        "bars": number(rest),
                    },
                )
            )
    return found


def _first_notes(table: ScoreTable, lines: Iterable[int], first: int, last: int) -> list[Evidence]:
    """The first note of each line in the span: enough to see who plays."""
    found = []
    start, end = table.bars[first].start, table.bars[last].end
    for line in lines:
        rows = _rows(table)[line]  # of a head: with its divisi
        i = int(np.searchsorted(rows["onset"], start))
        if i < len(rows) and rows["onset"][i] < end:
            found.append(Evidence(ids=(table.ids[int(rows["src"][i])],)))
        elif i:  # tied over from before
            found.append(Evidence(ids=(table.ids[int(rows["src"][i - 1])],)))
    return found


def _rows(table: ScoreTable) -> list[Any]:
    """Rows of each line by onset, unpitched strokes too."""

    def build() -> list[Any]:
        rows = table.sounding[table.sounding["duration"] > 0]
        divisi = heads(table)
        return [
            rows[np.isin(rows["line"], divisi.get(line.index, (line.index,)))]
            for line in table.lines
        ]

    return memo(table, "_all_rows", build)


def _plural(family: str) -> str:
    return {
        "voice": "voices",
        "keyboard": "keyboard instruments",
        "plucked": "plucked instruments",
        "percussion": "drums and percussion",
    }.get(family, family)
