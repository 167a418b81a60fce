"""Who plays what in a short score, and what it leaves out: a line of text for each staff."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

from analysis.engine.claims.speech import Phrase, phrase, say
from analysis.engine.describe import tell
from analysis.engine.describe.page import Passage
from analysis.engine.describe.relations import distance
from analysis.engine.describe.who import who
from analysis.engine.model import Sentence
from analysis.engine.reduce.pick import BASS, INNER, MELODY, TUNE, Picks
from analysis.engine.sentences import register

register(
    {
        "reduce.staff.melody": "Melody: {who}.",
        "reduce.staff.tune": "Second line: {who}.",
        "reduce.staff.inner": "Inner parts: {who}.",
        "reduce.staff.bass": "Bass: {who}.",
        "reduce.staff.melody.left": "Melody: {who}; left out, since they go with it: {left}.",
        "reduce.staff.tune.left": "Second line: {who}; left out, since they go with it: {left}.",
        "reduce.staff.inner.left": "Inner parts: {who}; left out, since they go with them: {left}.",
        "reduce.staff.bass.left": "Bass: {who}; left out, since they go with it: {left}.",
        "reduce.left": "{who} {distance}",
        "reduce.alike": "Left out, since others have their notes, be it in another octave: {who}.",
        "reduce.dropped": "Left out altogether: {who}.",
        "reduce.partly": "Left out in some bars, for want of room: {who}.",
        "reduce.graces": "Grace notes are left out.",
        "reduce.nothing": "Nothing pitched sounds in these bars: there is no short score of them.",
    }
)

NAMES = {MELODY: "Melody", TUNE: "Second line", INNER: "Inner parts", BASS: "Bass"}
#: stretches of the melody told with their bars
STRETCHES = 3
#: share of the bars from which a line's part in a staff is told at all
TOLD = 0.25
#: share of the bars from which it is told without its bars
THROUGHOUT = 0.75


@dataclass
class Shown:
    """Whose notes stand in a short score.

    `on`: staff to line to the bars (indices) in which it shows notes of that line; `alike`: lines
    whose pitch classes stand there, if not their notes; `missing`: line to the bars in which it
    had a staff but no room on it.
    """

    on: dict[str, dict[int, set[int]]] = field(
        default_factory=lambda: defaultdict(lambda: defaultdict(set))
    )
    alike: set[int] = field(default_factory=set)
    missing: dict[int, set[int]] = field(default_factory=lambda: defaultdict(set))


def sentences(p: Passage, picks: Picks, told: Shown) -> list[Sentence]:
    """One sentence a staff, then what stands on none."""
    names = who(p.table, p.movement.index)
    out = []
    said: set[int] = set()  # lines that some sentence has named
    for staff, lines in told.on.items():
        often = lines if staff == MELODY else _often(p, lines)
        with_ = _left(p, picks, told, staff)
        said |= {*often, *(k for _, them in with_ for k in them)}
        whom = _lead(p, lines) if staff == MELODY else _names(p, often)
        if with_:
            left = tell.row([phrase for phrase, _ in with_])
            out.append(say(f"reduce.staff.{staff}.left", who=whom, left=left))
        else:
            out.append(say(f"reduce.staff.{staff}", who=whom))
    missing = {line for line, bars in told.missing.items() if len(bars) >= TOLD * len(p.bars)}
    chairs = {c for c in names.chairs if said.intersection(c.lines)}
    rest = [k for c in names.chairs if c not in chairs for k in c.lines if k in p.sounding]
    there = {k for lines in told.on.values() for k in lines} | told.alike
    there |= {lost.line for lost in picks.left}
    groups = {
        "alike": [k for k in rest if k in there - missing],
        "partly": [k for k in p.sounding if k in missing and (k in said or k in rest)],
        "dropped": [k for k in rest if k not in there | missing],
    }
    out += [say(f"reduce.{key}", who=_names(p, them)) for key, them in groups.items() if them]
    if picks.graces:
        out.append(say("reduce.graces"))
    return out


def _left(p: Passage, picks: Picks, told: Shown, staff: str) -> list[tuple[Phrase, list[int]]]:
    """Who is left out of a staff because it goes with it, by octaves; with bars where not all."""
    lines = told.on[staff]
    bars: dict[tuple[int, int], set[int]] = defaultdict(set)
    for lost in picks.left:
        if lost.bar in lines.get(lost.kept, ()):
            bars[lost.octaves, lost.line].add(lost.bar)
    groups: dict[tuple[int, tuple[int, ...] | None], list[int]] = defaultdict(list)
    for (octaves, line), there in bars.items():
        if len(there) < TOLD * len(p.bars) or line in lines:
            continue
        row = max(there) - min(there) + 1 == len(there)
        whole = len(there) >= THROUGHOUT * len(p.bars)
        groups[octaves, None if whole else (min(there), max(there)) if row else ()].append(line)
    found = []
    for octaves, where in sorted(groups, key=lambda g: (-g[0], g[1] is not None, g[1] or ())):
        them = groups[octaves, where]
        how = phrase("reduce.left", who=_names(p, them), distance=distance(octaves))
        if where is not None:
            when = tell.bars(p.table, *where) if where else phrase("describe.at-times")
            how = phrase("describe.placed", who=how, bars=when)
        found.append((how, them))
    return found


def _often(p: Passage, lines: dict[int, set[int]]) -> list[int]:
    found = [line for line, bars in lines.items() if len(bars) >= TOLD * len(p.bars)]
    return found or list(lines)


def _names(p: Passage, lines: Iterable[int]) -> str | Phrase:
    return _row(who(p.table, p.movement.index).words(lines, counted=False))


def _lead(p: Passage, lines: dict[int, set[int]]) -> str | Phrase:
    """The leaders in order, with their bars where they take turns."""
    names = who(p.table, p.movement.index)
    runs: list[tuple[int, int, int]] = []
    for bar in p.bars:
        line = next((k for k, bars in lines.items() if bar in bars), None)
        if line is None:
            continue
        if runs and runs[-1][0] == line:
            runs[-1] = line, runs[-1][1], bar
        else:
            runs.append((line, bar, bar))
    if len(runs) < 2 or len(runs) > STRETCHES:
        return _row(list(dict.fromkeys(names.name(line) for line, _, _ in runs)))
    return tell.row([
        phrase("describe.placed", who=names.name(line), bars=tell.bars(p.table, a, b))
        for line, a, b in runs
    ])  # fmt: skip


def _row(words: list[str]) -> str | Phrase:
    return tell.row(list(words)) if words else ""
