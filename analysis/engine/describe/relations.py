"""The sentences of the full form that relate parts: melody, bass, harmony, figuration."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from analysis.engine.claims.speech import Phrase, phrase, say
from analysis.engine.describe import tell
from analysis.engine.describe.page import Passage
from analysis.engine.describe.reading import Job, Reading
from analysis.engine.describe.who import who
from analysis.engine.model import Sentence
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "describe.melody": "Melody: {stretches}.",
        "describe.melody.none": "Melody: not clear.",
        "describe.melody.passes": "Melody: it passes between {who}.",
        "describe.semicolon": "{first}; {rest}",
        "describe.lead": "{who}",
        "describe.lead.with": "{who}, {with_}",
        "describe.probably": "probably {who}",
        "describe.unclear": "not clear",
        "describe.at": "in {bars} {what}",
        "describe.doubled": "doubled {by}",
        "describe.by": "{distance} by {who}",
        "describe.by.in": "{distance} by {who} ({bars})",
        "describe.at-times": "at times",
        "describe.by.times": "at times by {who}",
        "describe.unison": "in unison",
        "describe.octave.up": "an octave higher",
        "describe.octave.down": "an octave lower",
        "describe.octaves.up": "{count} octaves higher",
        "describe.octaves.down": "{count} octaves lower",
        "describe.loose.simplified": "in a simpler form by {who}",
        "describe.loose.heterophonic": "in its plain notes by {who}",
        "describe.loose.partial": "in part by {who}",
        "describe.thirds": "in {interval}s with {who}",
        "describe.also": "also melodic: {who}",
        "describe.countermelody": "Second tune: {who}.",
        "describe.answer": "Answering: {who}.",
        "describe.countermelody.answer": "Second tune: {who}; answering: {other}.",
        "describe.bass": "Bass: {stretches}.",
        "describe.jobs": "{parts}.",
        "describe.job.held harmony": "Held harmony: {who}",
        "describe.job.moving harmony": "Moving harmony: {who}",
        "describe.job.pedal": "Pedal note: {who}",
        "describe.job.pulse": "Pulse: {who}",
        "describe.job.figuration": "Figuration: {who}",
        "describe.job.punctuation": "Punctuation: {who}",
        "describe.next.held harmony": "held harmony: {who}",
        "describe.next.moving harmony": "moving harmony: {who}",
        "describe.next.pedal": "pedal note: {who}",
        "describe.next.pulse": "pulse: {who}",
        "describe.next.figuration": "figuration: {who}",
        "describe.next.punctuation": "punctuation: {who}",
    }
)

_COUNT = ("no", "one", "two", "three", "four", "five", "six")
#: stretches of the melody told one by one
STRETCHES = 3
#: share of a stretch's bars in which a line must double it to be told, and to be told plainly
DOUBLES, THROUGHOUT = 0.25, 0.9
#: doublings of a stretch that hold in some of its bars and are told each with its bars
PARTLY = 2


@dataclass(frozen=True, slots=True)
class Stretch:
    """Bars in which one line leads; -1: none clearly."""

    line: int
    first: int
    last: int
    confidence: float


def sentences(p: Passage, reading: Reading, settings: Settings) -> list[Sentence]:
    """Melody, second tunes, bass, harmony, pulse: at most five; nothing of what is not there."""
    if not p.sounds.any():
        return []
    teller = _Teller(p, reading, settings)
    told = [teller.melody(), teller.tunes(), teller.bass()]
    told.append(teller.jobs("held harmony", "moving harmony", "pedal"))
    told.append(teller.jobs("pulse", "figuration", "punctuation"))
    return [s for s in told if s is not None]


def stretches(reading: Reading) -> list[Stretch]:
    """Who leads, as runs of bars; a single unclear bar between two of one line is passed over."""
    p = reading.p
    leaders = reading.leaders()
    lines = [line for line, _ in leaders]
    for n in range(1, len(lines) - 1):
        if lines[n] < 0 <= lines[n - 1] == lines[n + 1]:
            lines[n] = lines[n - 1]
    found: list[Stretch] = []
    start = 0
    for n in range(1, len(lines) + 1):
        if n < len(lines) and lines[n] == lines[start]:
            continue
        sure = [c for line, c in leaders[start:n] if line >= 0]
        mean = sum(sure) / len(sure) if sure else 0.0
        found.append(Stretch(lines[start], p.first + start, p.first + n - 1, mean))
        start = n
    return found


class _Teller:
    def __init__(self, p: Passage, reading: Reading, settings: Settings) -> None:
        self.p, self.reading, self.settings = p, reading, settings
        self.names = who(p.table, p.movement.index)
        self.told: set[int] = set()  # lines whose part in the melody is told
        self.found = reading.jobs()

    # --- melody -------------------------------------------------------------------

    def melody(self) -> Sentence | None:
        runs = stretches(self.reading)
        led = [s for s in runs if s.line >= 0]
        if not led:
            pitched = any(len(self.p.table.by_line[i]) for i in self.p.sounding)
            return say("describe.melody.none") if pitched else None
        self.told = {s.line for s in led}
        if len(led) > STRETCHES or len(runs) > STRETCHES + 1:
            lines = list(dict.fromkeys(s.line for s in led))
            if len(lines) > 1:
                self._tell_doublers(led)
                names = list(dict.fromkeys(self.names.name(line) for line in lines))
                return say("describe.melody.passes", who=tell.row(list(names)))
            runs = [Stretch(lines[0], self.p.first, self.p.last, _mean(led))]
        said: list[str | Phrase] = []
        for s in runs:
            what = self._stretch(s) if s.line >= 0 else phrase("describe.unclear")
            where = tell.bars(self.p.table, s.first, s.last)
            said.append(phrase("describe.at", bars=where, what=what) if len(runs) > 1 else what)
        also = [j.line for j in self.found if j.role == "melody" and j.line not in self.told]
        if also:
            self.told.update(also)
            said.append(phrase("describe.also", who=tell.row(list(self.names.words(also)))))
        return say("describe.melody", stretches=_semicolons(said))

    def _stretch(self, s: Stretch) -> Phrase:
        lead: str | Phrase = self.names.name(s.line)
        if s.confidence < self.settings.min_confidence:
            lead = phrase("describe.probably", who=lead)
        more = self.with_(s.line, s.first, s.last)
        if not more:
            return phrase("describe.lead", who=lead)
        return phrase("describe.lead.with", who=lead, with_=tell.row(more))

    def with_(self, line: int, first: int, last: int) -> list[str | Phrase]:
        """How others go with a line over some bars: octaves, simpler forms, thirds."""
        by = self._doubled(line, first, last)
        loose: dict[str, list[int]] = defaultdict(list)
        for how, other, _ in self.reading.loosely(line, first, last):
            if other not in self.told:
                self.told.add(other)
                loose[how].append(other)
        by += [phrase(f"describe.loose.{how}", who=self._row(lines))
               for how, lines in loose.items()]  # fmt: skip
        found: list[str | Phrase] = [phrase("describe.doubled", by=tell.row(by))] if by else []
        side: dict[str, list[int]] = defaultdict(list)
        for interval, other in self.reading.parallels(line, first, last):
            if other not in self.told:
                self.told.add(other)
                side[interval].append(other)
        found += [phrase("describe.thirds", interval=interval, who=self._row(lines))
                  for interval, lines in side.items()]  # fmt: skip
        return found

    def _doubled(self, line: int, first: int, last: int) -> list[str | Phrase]:
        bars: dict[tuple[int, int], list[int]] = defaultdict(list)  # (octaves, line) -> bars
        leads = [b for b in range(first, last + 1) if self.p.sounds[line, b - self.p.first]]
        for bar in leads:
            for other, octaves in self.reading.doublers(line, bar).items():
                bars[octaves, other].append(bar)
        groups: dict[tuple[int, tuple[int, ...] | None], list[int]] = defaultdict(list)
        for (octaves, other), there in bars.items():
            if len(there) < DOUBLES * len(leads):
                continue
            self.told.add(other)
            between = [b for b in leads if there[0] <= b <= there[-1]]
            where = (there[0], there[-1]) if there == between else ()
            whole = len(there) >= THROUGHOUT * len(leads)
            groups[octaves, None if whole else where].append(other)
        order = sorted(groups, key=lambda g: (-g[0], g[1] is not None, g[1] or ()))
        partly = [g for g in order if g[1] is not None]
        if len(partly) <= PARTLY:
            return [self._by(octaves, where, groups[octaves, where]) for octaves, where in order]
        said: list[str | Phrase] = [self._by(*g, groups[g]) for g in order if g[1] is None]
        plain = {line for g in order if g[1] is None for line in groups[g]}
        rest = sorted({line for g in partly for line in groups[g]} - plain)
        return [*said, phrase("describe.by.times", who=self._row(rest))] if rest else said

    def _by(self, octaves: int, where: tuple[int, ...] | None, lines: list[int]) -> Phrase:
        said = {"distance": distance(octaves), "who": self._row(lines)}
        if where is None:
            return phrase("describe.by", **said)
        when = tell.bars(self.p.table, *where) if where else phrase("describe.at-times")
        return phrase("describe.by.in", bars=when, **said)

    def _tell_doublers(self, led: Sequence[Stretch]) -> None:
        for s in led:
            for bar in range(s.first, s.last + 1):
                self.told.update(self.reading.doublers(s.line, bar))

    # --- the others -----------------------------------------------------------------

    def tunes(self) -> Sentence | None:
        second = self._with("countermelody")
        answer = self._with("answer")
        if second and answer:
            return say("describe.countermelody.answer", who=second, other=answer)
        if second:
            return say("describe.countermelody", who=second)
        return say("describe.answer", who=answer) if answer else None

    def bass(self) -> Sentence | None:
        """Each bass line once, with those who double it."""
        jobs = [j for j in self.found if j.role == "bass line"]
        lines = [j.line for j in jobs if j.line not in self.told]
        if not lines:
            return None
        sure = {j.line: j.confidence for j in jobs}
        said: list[str | Phrase] = []
        most = {line: int(self.p.sounds[line].sum()) for line in lines}
        done: set[int] = set()
        for line in sorted(lines, key=lambda k: (-most[k], k)):
            if line in done:
                continue
            done.add(line)
            self.told.add(line)
            name: str | Phrase = self.names.name(line)
            if sure[line] < self.settings.min_confidence:
                name = phrase("describe.probably", who=name)
            before = set(self.told)
            by = self._doubled(line, self.p.first, self.p.last)
            done |= self.told - before
            if by:
                doubled = phrase("describe.doubled", by=tell.row(by))
                name = phrase("describe.lead.with", who=name, with_=doubled)
            said.append(name)
        return say("describe.bass", stretches=_semicolons(said))

    def jobs(self, *roles: str) -> Sentence | None:
        said: list[str | Phrase] = []
        for role in roles:
            names = self._with(role)
            if names:
                said.append(phrase(f"describe.{'next' if said else 'job'}.{role}", who=names))
        return say("describe.jobs", parts=_semicolons(said)) if said else None

    def _with(self, role: str) -> str | Phrase | None:
        """Those with a job, the sure ones first, then the probable ones; each line once."""
        best: dict[int, Job] = {}
        for job in self.found:
            known = best.get(job.line)
            if known is None or (job.bars, job.confidence) > (known.bars, known.confidence):
                best[job.line] = job
        mine = [j for j in best.values() if j.role == role and j.line not in self.told]
        sure = [j.line for j in mine if j.confidence >= self.settings.min_confidence]
        told = {line for chair in self.names.of(sure) for line in chair.lines}
        rest = [j.line for j in mine if j.line not in told]
        said: list[str | Phrase] = list(self.names.words(sure))
        if rest:
            said.append(phrase("describe.probably", who=self._row(rest)))
        return tell.row(said) if said else None

    def _row(self, lines: Iterable[int]) -> str | Phrase:
        return tell.row(list(self.names.words(lines, counted=False)))


def _mean(found: Sequence[Stretch]) -> float:
    bars = [s.last - s.first + 1 for s in found]
    return sum(s.confidence * n for s, n in zip(found, bars, strict=True)) / sum(bars)


def _semicolons(items: Sequence[str | Phrase]) -> str | Phrase:
    found: str | Phrase = items[-1]
    for item in reversed(items[:-1]):
        found = phrase("describe.semicolon", first=item, rest=found)
    return found


def distance(octaves: int) -> Phrase:
    """ "in unison", "an octave higher", "two octaves lower"."""
    if not octaves:
        return phrase("describe.unison")
    way, size = ("up" if octaves > 0 else "down"), abs(octaves)
    if size == 1:
        return phrase(f"describe.octave.{way}")
    count = _COUNT[size] if size < len(_COUNT) else str(size)
    return phrase(f"describe.octaves.{way}", count=count)
