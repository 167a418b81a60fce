"""What the findings say of some bars, bar by bar: jobs, doublings, thirds, keys.

The findings are the effective ones, so the tutor's word counts here as everywhere. A job below
`SAID` is not told; between `SAID` and `Settings.min_confidence` it is told as probable.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from analysis.engine.analyses.layers import leading_lines
from analysis.engine.describe.page import Passage
from analysis.engine.model import Finding
from analysis.engine.pitch import parse_key

#: confidence from which a job is told at all; common practice
SAID = 0.5
#: share of the bars in which a line sounds that a job must hold for to be told of the passage
MOST = 0.5
#: share of common attacks at one interval for two lines to go along at it
ALONG = 0.8
_APART = {2: "third", 5: "sixth", 9: "tenth"}


@dataclass(frozen=True, slots=True)
class Job:
    """A line's job over part of the passage. `bars`: how many of its sounding bars."""

    role: str
    line: int
    bars: int
    confidence: float  # mean over those bars


@dataclass(frozen=True, slots=True)
class Key:
    """A key from bar `first` on; `second`: what else it may be, "" if that is not known."""

    words: str
    second: str
    first: int
    confidence: float


class Reading:
    """The findings that touch a passage, by bar."""

    def __init__(self, p: Passage, findings: Iterable[Finding]) -> None:
        self.p = p
        self.near = [f for f in findings if f.first <= p.last and f.last >= p.first]
        #: (line, bar index) -> role -> confidence
        self.roles: dict[tuple[int, int], dict[str, float]] = defaultdict(dict)
        for f in self.near:
            role = str(f.value.get("role", ""))
            if f.kind != "role" or role in ("", "unclear"):
                continue
            for line in f.lines:
                for bar in self._bars(f):
                    known = self.roles[line, bar]
                    known[role] = max(known.get(role, 0.0), f.confidence)
        self._links = self._doublings()

    def _bars(self, f: Finding) -> range:
        return range(max(f.first, self.p.first), min(f.last, self.p.last) + 1)

    # --- jobs -----------------------------------------------------------------

    def jobs(self) -> list[Job]:
        """Jobs that a line has in most of the bars in which it sounds, by line."""
        found = []
        for line in range(len(self.p.table.lines)):
            plays = [b for n, b in enumerate(self.p.bars) if self.p.sounds[line, n]]
            held: dict[str, list[float]] = defaultdict(list)
            for bar in plays:
                for role, sure in self.roles[line, bar].items():
                    held[role].append(sure)
            for role, sure_in in held.items():
                mean = sum(sure_in) / len(sure_in)
                if len(sure_in) >= MOST * len(plays) and mean >= SAID:
                    found.append(Job(role, line, len(sure_in), mean))
        return found

    def leaders(self) -> list[tuple[int, float]]:
        """The line that has the melody in each bar and how surely; (-1, 0.0): not clear.

        The main line, where the reading gives it the melody; where it does not (or the tutor
        says otherwise), the line that has it most surely.
        """
        p = self.p
        main = leading_lines(p.table, p.movement)
        found = []
        for bar in p.bars:
            sure = {line: jobs["melody"] for (line, b), jobs in self.roles.items()
                    if b == bar and "melody" in jobs}  # fmt: skip
            told = max(sure.values(), default=0.0)
            at = bar - p.movement.first_bar
            line = int(main[at]) if at < len(main) else -1
            if line not in sure or told == 1.0 > sure[line]:  # 1: the tutor's own word
                line = max(sure, key=lambda k: (sure[k], -k)) if sure else -1
            confidence = sure.get(line, 0.0)
            found.append((line, confidence) if confidence >= SAID else (-1, 0.0))
        return found

    # --- doublings --------------------------------------------------------------

    def _doublings(self) -> dict[int, dict[int, dict[int, int]]]:
        """bar -> line -> other line -> octaves of the other above the line; full ones."""
        links: dict[int, dict[int, dict[int, int]]] = defaultdict(lambda: defaultdict(dict))
        for f in self.near:
            if f.kind != "doubling" or f.value.get("coverage") != "full":
                continue
            for a, b, octaves in _pairs(f):
                for bar in self._bars(f):
                    links[bar][a][b] = octaves
                    links[bar][b][a] = -octaves
        return links

    def doublers(self, line: int, bar: int) -> dict[int, int]:
        """Lines that double `line` in a bar, over others too, with their octaves above it."""
        if line not in self._links.get(bar, {}):
            return {}
        level = {line: 0}
        waiting = [line]
        while waiting:
            here = waiting.pop()
            for there, octaves in self._links[bar][here].items():
                if there not in level:
                    level[there] = level[here] + octaves
                    waiting.append(there)
        del level[line]
        return level

    def loosely(self, line: int, first: int, last: int) -> list[tuple[str, int, int]]:
        """(how, other line, octaves above) of simpler, decorated, partial doublings of `line`.

        Only those that hold in most of the bars first..last.
        """
        found = []
        for f in self.near:
            how = f.value.get("coverage")
            if f.kind != "doubling" or how not in ("simplified", "heterophonic", "partial"):
                continue
            if len(f.lines) != 2 or line not in f.lines or not _mostly(f, first, last):
                continue
            octaves = f.value.get("octaves") or 0
            a, b = f.lines
            found.append((str(how), a, octaves) if b == line else (str(how), b, -octaves))
        return found

    def parallels(self, line: int, first: int, last: int) -> list[tuple[str, int]]:
        """(interval, other line) of lines that go in thirds, sixths or tenths with `line`.

        A finding may name the line or one that doubles it; the interval is measured anew.
        """
        with_ = {line, *(k for bar in range(first, last + 1) for k in self.doublers(line, bar))}
        found: dict[int, str] = {}
        for f in self.near:
            if f.kind != "parallel" or not _mostly(f, first, last):
                continue
            for other in set(f.lines) - with_:
                name = self._interval(line, other, first, last)
                if with_.intersection(f.lines) and name:
                    found[other] = name
        return [(name, other) for other, name in found.items()]

    def _interval(self, line: int, other: int, first: int, last: int) -> str:
        """What lies between two lines at (nearly) all common attacks, in a word; "" if nothing."""
        start, end = self.p.table.bars[first].start, self.p.table.bars[last].end
        steps: list[dict[int, int]] = []
        for rows in (self.p.table.by_line[line], self.p.table.by_line[other]):
            here = rows[(rows["onset"] >= start) & (rows["onset"] < end)]
            height = 7 * here["octave"].astype(int) + here["step"]
            steps.append(dict(zip(here["onset"].tolist(), height.tolist(), strict=True)))
        apart = Counter(abs(steps[0][t] - steps[1][t]) for t in steps[0].keys() & steps[1].keys())
        size, times = max(apart.items(), key=lambda kv: kv[1], default=(0, 0))
        return _APART.get(size, "") if times >= ALONG * sum(apart.values()) else ""

    # --- keys -------------------------------------------------------------------

    def keys(self) -> list[Key]:
        """Regions in order, neighbours with one key as one, at their mean confidence by bars."""
        found: list[tuple[str, int, float, float, str]] = []  # words, first, bars, sum, second
        regions = [f for f in self.near if f.kind == "key" and f.value.get("how") == "region"]
        for f in sorted(regions, key=lambda f: (f.first, f.last)):
            words = parse_key(str(f.value["key"])).words
            second = str(f.sentence.params.get("second", ""))
            bars = len(self._bars(f))
            weight = bars * f.confidence
            if found and found[-1][0] == words:
                _, first, before, sum_, other = found[-1]
                longer = second if bars > before else other
                found[-1] = words, first, before + bars, sum_ + weight, longer
            else:
                found.append((words, self._bars(f)[0], bars, weight, second))
        return [
            Key(words, second, first, sum_ / bars) for words, first, bars, sum_, second in found
        ]


def _pairs(f: Finding) -> Sequence[tuple[int, int, int]]:
    """(line, other line, octaves of the other above it) of a full doubling."""
    levels = f.sentence.params.get("level_of")
    if levels is not None and len(levels) == len(f.lines):
        head, low = f.lines[0], levels[0]
        return [(head, line, int(level) - int(low))
                for line, level in zip(f.lines[1:], levels[1:], strict=True)]  # fmt: skip
    octaves = f.value.get("octaves")
    if len(f.lines) != 2 or octaves is None:
        return []
    return [(f.lines[1], f.lines[0], int(octaves))]


def _mostly(f: Finding, first: int, last: int) -> bool:
    shared = min(f.last, last) - max(f.first, first) + 1
    return shared >= MOST * (last - first + 1)
