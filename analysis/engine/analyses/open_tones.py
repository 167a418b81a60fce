"""Natural brass: which notes are open tones of the crook, which are missing, and for a pair.

Every horn and trumpet reading whose crook is known is looked at, period or not: the fact is what
a natural instrument with this crook gives. Where a part plays mostly other tones, it is plainly
written for valves, and its single notes are no news.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from analysis.engine.analyses.attacks import memo
from analysis.engine.analyses.forces import chords, crook_of, without_chord_tone
from analysis.engine.analyses.spans import sounding, true_spans
from analysis.engine.analyses.speech import (
    finding,
    names,
    part_value,
    part_values,
    place,
)
from analysis.engine.instruments import brass
from analysis.engine.instruments.brass import Tone
from analysis.engine.instruments.crooks import Crook
from analysis.engine.model import Evidence, Finding, NoteArray, ScoreTable
from analysis.engine.pitch import from_midi, spelled
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "open-tones.crook": (
            "{place}: {parts} (crook {crook}) has {pitches} as open tones; {tally}."
        ),
        "open-tones.valves": (
            "{place}: {parts} (crook {crook}) is not written in open tones: {closed} of its "
            "{count} notes would need valves or the hand."
        ),
        "open-tones.hand": (
            "{place}: {parts} plays {missing}, no open tone of the crook {crook}: it would need "
            "the hand."
        ),
        "open-tones.not-available": (
            "{place}: {parts} plays {missing}, which a natural trumpet with the crook {crook} "
            "does not have."
        ),
        "open-tones.doubtful": (
            "{place}: {parts} plays {pitches}, {partials} of the crook {crook}: out of tune."
        ),
        "open-tones.rests": (
            "{place}: {parts} rests; the chord ({missing}) has no open tone of the crook {crook}."
        ),
        "open-tones.pair": "{place}: together {parts} have {pitches} as open tones.",
    }
)

#: a part with a smaller share of open or doubtful notes is written for valves; common practice
NATURAL_SHARE = 0.8
#: confidence where it hangs on partials 7, 11, 13 and 14: the tutor's ear (contract)
UNSURE = 0.5
#: most bars without such a note inside one passage of hand notes; common practice
GAP_BARS = 1


@dataclass(frozen=True, slots=True)
class Crooked:
    """A line with one crook, over the bars in which it has it (inclusive, one movement)."""

    line: int
    instrument: str
    crook: Crook
    first: int
    last: int


def crooked(table: ScoreTable) -> list[Crooked]:
    """Every line of natural brass, reading by reading and movement by movement."""
    return memo(table, "_crooked", lambda: _crooked(table))


def crook_at(table: ScoreTable, line: int, bar: int) -> Crooked | None:
    """The crook of `line` in `bar`; None if it has none."""
    return next((c for c in crooked(table) if c.line == line and c.first <= bar <= c.last), None)


def tone(pitch: int, crook: Crook, instrument: str, settings: Settings) -> Tone:
    """How a sounding pitch stands to a crook, by the thresholds of the settings."""
    lowest, highest = brass.partial_limits(instrument)
    return brass.tone(
        pitch,
        crook,
        lowest=lowest,
        highest=highest,
        true_cents=settings.open_cents_true,
        doubtful_cents=settings.open_cents_doubtful,
    )


def tones(rows: NoteArray, crook: Crook, instrument: str, settings: Settings) -> list[Tone]:
    """The tone of each row."""
    known = {int(p): tone(int(p), crook, instrument, settings) for p in np.unique(rows["pitch"])}
    return [known[int(p)] for p in rows["pitch"]]


def open_classes(crook: Crook, instrument: str, settings: Settings) -> list[int]:
    """Pitch classes that are truly open in some octave, by their lowest partial."""
    return _classes(crook, instrument, settings, "open")


def doubtful_classes(crook: Crook, instrument: str, settings: Settings) -> list[int]:
    """Pitch classes that only partials 7, 11, 13 and 14 give, as the books name them.

    Partial 11 lies between two notes and stands for both; 13 is written as the upper of its
    neighbours although the lower is nearer, so the lower (A flat on C) is not given as a class.
    """
    found = _classes(crook, instrument, settings, "doubtful")
    if (eleventh := brass.printed(11, crook) % 12) in found:
        found.append((eleventh - 1) % 12)
    true = set(open_classes(crook, instrument, settings))
    return [pc for pc in found if pc not in true]


def missing(
    table: ScoreTable, lines: Iterable[int], first: int, last: int, settings: Settings
) -> list[int]:
    """Pitch classes of the chords of bars `first` to `last` that none of the lines has open.

    Doubtful tones count as there. Lines without a known crook give nothing.
    """
    sounding_pcs = np.flatnonzero(chords(table)[:, first : last + 1].any(axis=1)).tolist()
    have: set[int] = set()
    for line in lines:
        here = crook_at(table, line, first)
        if here:
            have |= set(open_classes(here.crook, here.instrument, settings))
            have |= set(doubtful_classes(here.crook, here.instrument, settings))
    return [pc for pc in sounding_pcs if pc not in have]


def find_open_tones(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "open-tones": what a crook gives, what a part plays beside it, pairs."""
    found = []
    natural = []
    for here in crooked(table):
        rows = _rows(table, here)
        if not len(rows):
            continue
        kinds = [t.openness for t in tones(rows, here.crook, here.instrument, settings)]
        share = 1 - kinds.count("not open") / len(kinds)
        found.append(_overview(table, here, rows, kinds, share >= NATURAL_SHARE, settings))
        if share >= NATURAL_SHARE:
            natural.append(here)
            found += _beside(table, here, rows, kinds, settings)
            found += _resting(table, here)
    found += _pairs(table, natural, settings)
    return found


def _crooked(table: ScoreTable) -> list[Crooked]:
    found = []
    for line in table.lines:
        readings = [p for p in table.parts if p.index == line.part]
        for k, reading in enumerate(readings):
            crook = crook_of(reading)
            if crook is None:
                continue
            after = readings[k + 1].from_bar if k + 1 < len(readings) else len(table.bars)
            for movement in table.movements:
                first = max(reading.from_bar, movement.first_bar)
                last = min(after - 1, movement.last_bar)
                if first <= last:
                    found.append(Crooked(line.index, reading.instrument, crook, first, last))
    return found


def _classes(crook: Crook, instrument: str, settings: Settings, openness: str) -> list[int]:
    low, high = brass.partial_limits(instrument)
    pitches = [brass.printed(n, crook) for n in range(low, high + 1)]
    kept = [p for p in pitches if tone(p, crook, instrument, settings).openness == openness]
    return list(dict.fromkeys(p % 12 for p in kept))


def _rows(table: ScoreTable, here: Crooked) -> NoteArray:
    rows = table.by_line[here.line]
    found: NoteArray = rows[(rows["bar"] >= here.first) & (rows["bar"] <= here.last)]
    return found


def _spell(here: Crooked, pcs: Iterable[int]) -> list[str]:
    """Names of pitch classes in the major key of the crook."""
    fifths = {0: 0, 7: 1, 2: 2, 9: 3, 4: 4, 11: 5, 6: 6, 1: -5, 8: -4, 3: -3, 10: -2, 5: -1}
    found = [from_midi(60 + pc, fifths[here.crook.semitones % 12]) for pc in pcs]
    return [spelled(p.step, p.alter) for p in found]


def _as_printed(table: ScoreTable, pcs: Iterable[int], first: int, last: int) -> list[str]:
    """Names of pitch classes as the bars spell them (sounding), the commonest spelling each."""
    names_of: dict[int, Counter[str]] = defaultdict(Counter)
    start, end = table.bars[first].start, table.bars[last].end
    for rows in table.by_line:
        for row in rows[(rows["onset"] < end) & (rows["onset"] + rows["duration"] > start)]:
            names_of[int(row["pitch"]) % 12][spelled(int(row["step"]), int(row["alter"]))] += 1
    return [names_of[pc].most_common(1)[0][0] for pc in pcs if names_of[pc]]


def _said(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " and " + words[-1]


def _overview(
    table: ScoreTable,
    here: Crooked,
    rows: NoteArray,
    kinds: Sequence[str],
    natural: bool,
    settings: Settings,
) -> Finding:
    pitches = _spell(here, open_classes(here.crook, here.instrument, settings))
    first, last = here.first, here.last
    played = sorted({int(p) for p, k in zip(rows["pitch"], kinds, strict=True) if k == "open"})
    proof = [rows[rows["pitch"] == p][:1] for p in played]
    return finding(
        table,
        {
            "kind": "open-tones",
            "parts": [part_value(table, here.line)],
            "crook": here.crook.name,
            "pitches": pitches,
        },
        start=table.bars[first].start,
        end=table.bars[last].end,
        lines=[here.line],
        evidence=[Evidence(ids=tuple(table.note_ids(np.concatenate(proof))))] if proof else [],
        template="open-tones.crook" if natural else "open-tones.valves",
        params={
            "place": place(table, first, last),
            "parts": names(table, [here.line]),
            "crook": here.crook.words,
            "pitches": _said(pitches),
            "tally": _tally(kinds),
            "closed": kinds.count("not open"),
            "count": len(kinds),
        },
    )


def _tally(kinds: Sequence[str]) -> str:
    """ "all of its 57 notes are open", "182 of its 207 notes are open, 23 doubtful"."""
    open_, doubtful = kinds.count("open"), kinds.count("doubtful")
    if open_ == len(kinds):
        return f"all of its {open_} notes are open"
    said = f"{open_} of its {len(kinds)} notes are open"
    return f"{said}, {doubtful} doubtful" if doubtful else said


def _beside(
    table: ScoreTable, here: Crooked, rows: NoteArray, kinds: Sequence[str], settings: Settings
) -> list[Finding]:
    """Passages with notes that are not open, and with doubtful ones."""
    found = []
    of_kind = np.array(kinds, dtype=object)
    for kind in ("not open", "doubtful"):
        hits = rows[(of_kind == kind).astype(bool)]
        for passage in _passages(hits):
            found.append(_passage(table, here, passage, kind, settings))
    return found


def _passages(rows: NoteArray) -> list[NoteArray]:
    """Rows in groups of bars no further apart than `GAP_BARS` empty ones."""
    if not len(rows):
        return []
    cuts = np.flatnonzero(np.diff(rows["bar"]) > GAP_BARS + 1) + 1
    return list(np.split(rows, cuts))


def _passage(
    table: ScoreTable, here: Crooked, rows: NoteArray, kind: str, settings: Settings
) -> Finding:
    first, last = int(rows["bar"][0]), int(rows["bar"][-1])
    spellings = dict.fromkeys(
        spelled(int(r["step"]), int(r["alter"])) + str(int(r["octave"])) for r in rows
    )
    pitches = list(spellings)
    value = {
        "kind": "open-tones",
        "parts": [part_value(table, here.line)],
        "crook": here.crook.name,
        "missing" if kind == "not open" else "pitches": pitches,
    }
    template = "open-tones.doubtful"
    if kind == "not open":
        horn = here.instrument == "horn"
        template = "open-tones.hand" if horn else "open-tones.not-available"
    partials = dict.fromkeys(
        str(t.partial) for t in tones(rows, here.crook, here.instrument, settings)
    )
    return finding(
        table,
        value,
        start=int(rows["onset"][0]),
        end=int(rows["onset"][-1] + max(rows["duration"][-1], 1)),
        bars=(first, last),
        lines=[here.line],
        evidence=[Evidence(ids=tuple(table.note_ids(rows)))],
        confidence=1.0 if kind == "not open" else UNSURE,
        template=template,
        params={
            "place": place(table, first, last),
            "parts": names(table, [here.line]),
            "crook": here.crook.words,
            "pitches": _said(pitches),
            "missing": _said(pitches),
            "partials": f"partial{'s' if len(partials) > 1 else ''} {_said(list(partials))}",
        },
    )


def _resting(table: ScoreTable, here: Crooked) -> list[Finding]:
    """Bars in which the part rests and the chord has no tone for it."""
    silent = ~sounding(table)[here.line] & without_chord_tone(table)[here.line]
    inside = np.zeros(len(table.bars), dtype=bool)
    inside[here.first : here.last + 1] = True
    anybody = sounding(table).any(axis=0)
    found = []
    for first, last in true_spans(table, silent & inside & anybody):
        pcs = np.flatnonzero(chords(table)[:, first : last + 1].any(axis=1)).tolist()
        words = _as_printed(table, pcs, first, last)
        if not words:
            continue  # only drums play
        half = {p % 12 for p in brass.open_tones(here.instrument, here.crook, doubtful=True)}
        sure = _as_printed(table, [pc for pc in pcs if pc not in half], first, last)
        found.append(
            finding(
                table,
                {
                    "kind": "open-tones",
                    "parts": [part_value(table, here.line)],
                    "crook": here.crook.name,
                    "missing": sure or words,
                },
                confidence=1.0 if sure else UNSURE,
                start=table.bars[first].start,
                end=table.bars[last].end,
                lines=[here.line],
                evidence=[
                    Evidence(
                        part=table.first_readings[table.lines[here.line].part].id,
                        bars=(first, last),
                    )
                ],
                template="open-tones.rests",
                params={
                    "place": place(table, first, last),
                    "parts": names(table, [here.line]),
                    "crook": here.crook.words,
                    "missing": _said(words),
                },
            )
        )
    return found


def _pairs(table: ScoreTable, natural: Sequence[Crooked], settings: Settings) -> list[Finding]:
    """Two of one instrument with different crooks: what they have between them."""
    found = []
    seen: set[tuple[str, int, str, str]] = set()
    for one, other in combinations(natural, 2):
        first, last = max(one.first, other.first), min(one.last, other.last)
        low, high = sorted((one.crook.name, other.crook.name))
        key = (one.instrument, first, low, high)
        if one.instrument != other.instrument or first > last or key in seen:
            continue
        if one.crook.name == other.crook.name or one.line == other.line:
            continue
        seen.add(key)
        pcs = dict.fromkeys(
            open_classes(one.crook, one.instrument, settings)
            + open_classes(other.crook, other.instrument, settings)
        )
        pitches = _spell(one, pcs)
        lines = [one.line, other.line]
        found.append(
            finding(
                table,
                {
                    "kind": "open-tones",
                    "parts": part_values(table, lines),
                    "crook": one.crook.name,
                    "pair": part_values(table, lines),
                    "pitches": pitches,
                },
                start=table.bars[first].start,
                end=table.bars[last].end,
                lines=lines,
                evidence=[
                    Evidence(ids=tuple(table.note_ids(_rows(table, c)[:1]))) for c in (one, other)
                ],
                template="open-tones.pair",
                params={
                    "place": place(table, first, last),
                    "parts": f"{names(table, lines)} ({one.crook.words} and {other.crook.words})",
                    "pitches": _said(pitches),
                },
            )
        )
    return found
