"""Local keys: regions over a movement, and the places where a key is reached by a cadence.

Bars are scored against a published key profile, cadences in the bass add to
it, and the best path over the bars gives the regions. Each region has its
runner-up, and a confidence calibrated against human annotations, so that a
region of two bars says of itself that it may be a tonicisation.
"""

from __future__ import annotations

import numpy as np

from analysis.engine.analyses import keys_evidence as evidence
from analysis.engine.analyses import keys_path as paths
from analysis.engine.analyses import keys_regions as regions
from analysis.engine.analyses.attacks import memo
from analysis.engine.analyses.keys_profiles import rotations
from analysis.engine.analyses.speech import finding, place
from analysis.engine.model import Evidence, Finding, NoteArray, ScoreTable
from analysis.engine.pitch import Key
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "key.region": "{key}, {place} (next best: {second}).",
        "key.overtaken": "{key}, {place}, but {second} is as likely there.",
        "key.cadence": "{key}, {place}, but a cadence in another key speaks against it.",
        "key.arrives": "{key} is reached with a cadence, {place}.",
        "key.confirmed": "{key} is confirmed by a cadence, {place}.",
        "key.enters": "{key} seems to begin, {place}, without a cadence in the bass.",
    }
)

_ENTERS = 0.6  # ceiling of a beginning without a cadence: below the tutor's-ear default
_EVIDENCE = 40  # notes lit for a region
_WAIT = 8  # bars after which a cadence no longer tells where the key arrived


def find_keys(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "key": regions that tile each movement, and arrivals.

    Parameters
    ----------
    table : ScoreTable
    settings : Settings
        None of them bears on keys; `min_confidence` is applied to answers.

    Returns
    -------
    list of Finding
        By movement. ``value`` is ``{"kind": "key", "key": "c minor", "how":
        "region" | "arrives"}``. A long region may come as several findings,
        of which some are doubtful. A movement without pitched notes gives none.
    """
    return list(memo(table, "_key_findings", lambda: _findings(table)))


def _findings(table: ScoreTable) -> list[Finding]:
    found = []
    for movement in table.movements:
        keys = regions.find(table, movement)
        rows = regions.movement_rows(table, movement)
        found += [_region_finding(table, region, keys, rows) for region in keys.regions]
        found += [_arrival_finding(table, arrival, rows) for arrival in keys.arrivals]
        found += [
            _entry_finding(table, region, rows)
            for region in keys.regions[1:]
            if region.opens and not _reached(region, keys)
        ]
    return found


def _reached(region: regions.Region, keys: regions.Keys) -> bool:
    bars = range(region.first, region.first + _WAIT)
    return any(a.key.sound == region.key.sound and a.cadence.bar in bars for a in keys.arrivals)


def _region_finding(
    table: ScoreTable, region: regions.Region, keys: regions.Keys, rows: NoteArray
) -> Finding:
    inside = [
        a.cadence
        for a in keys.arrivals
        if a.key.sound == region.key.sound and region.first <= a.cadence.bar <= region.last
    ]
    strongest = max(inside, key=lambda c: c.strength, default=None)
    ids = _cadence_notes(table, strongest, rows) if strongest else []
    ids = list(dict.fromkeys(ids + _defining(table, region, rows)))[:_EVIDENCE]
    start = table.bars[region.first].start
    return finding(
        table,
        {"kind": "key", "key": region.key.name, "how": "region"},
        start=start,
        end=max(table.bars[region.last].end, start + 1),
        bars=(region.first, region.last),
        lines=(),
        evidence=(Evidence(ids=tuple(ids)),) if ids else (),
        template=f"key.{region.doubt or 'region'}",
        params={
            "key": region.key.words,
            "second": region.second.words,
            "margin": round(region.margin, 3),
            "place": place(table, region.first, region.last),
        },
        confidence=region.confidence,
    )


def _arrival_finding(table: ScoreTable, arrival: regions.Arrival, rows: NoteArray) -> Finding:
    cadence = arrival.cadence
    ids = _cadence_notes(table, cadence, rows)
    return finding(
        table,
        {"kind": "key", "key": arrival.key.name, "how": "arrives"},
        start=cadence.arrival,
        end=cadence.end,
        bars=(cadence.bar, cadence.bar),
        lines=(),
        evidence=(Evidence(ids=tuple(ids[:_EVIDENCE])),) if ids else (),
        template="key.arrives" if arrival.reaches else "key.confirmed",
        params={"key": arrival.key.words, "place": place(table, cadence.bar, cadence.bar)},
        confidence=arrival.confidence,
    )


def _entry_finding(table: ScoreTable, region: regions.Region, rows: NoteArray) -> Finding:
    bar = table.bars[region.first]
    ids = _defining(table, region, rows)
    return finding(
        table,
        {"kind": "key", "key": region.key.name, "how": "arrives"},
        start=bar.start,
        end=max(bar.end, bar.start + 1),
        bars=(region.first, region.first),
        lines=(),
        evidence=(Evidence(ids=tuple(ids)),) if ids else (),
        template="key.enters",
        params={"key": region.key.words, "place": place(table, bar.index, bar.index)},
        confidence=min(region.confidence, _ENTERS),
    )


def _cadence_notes(table: ScoreTable, cadence: evidence.Cadence, rows: NoteArray) -> list[str]:
    """The bass of both beats and the leading tone."""
    end = rows["onset"] + rows["duration"]
    ids: list[str] = []
    for start, stop in ((cadence.start, cadence.arrival), (cadence.arrival, cadence.end)):
        beat = rows[(rows["onset"] < stop) & (end > start)]
        if not len(beat):
            continue
        wanted = beat["pitch"] == beat["pitch"].min()
        if stop == cadence.arrival:
            wanted = wanted | (beat["pitch"] % 12 == (cadence.key + 11) % 12)
        ids += table.note_ids(beat[wanted])
    return list(dict.fromkeys(ids))


def _defining(table: ScoreTable, region: regions.Region, rows: NoteArray) -> list[str]:
    """First notes in the region of the pitch classes that part it from the next best key."""
    profile = np.log(rotations(paths.PROFILES[0]))
    gain = profile[_index(region.key)] - profile[_index(region.second)]
    here = rows[(rows["bar"] >= region.first) & (rows["bar"] <= region.last)]
    weight = np.bincount(here["pitch"] % 12, weights=here["duration"], minlength=12)
    best = np.argsort(-(gain * weight), kind="stable")[:3]
    ids: list[str] = []
    for pc in best[gain[best] > 0]:
        ids += table.note_ids(here[here["pitch"] % 12 == pc][:8])
    return ids


def _index(key: Key) -> int:
    return key.tonic + (12 if key.mode == "minor" else 0)
