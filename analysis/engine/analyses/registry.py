"""All analyses, in a list one can read: adding one is a line here.

An analysis is a pure function ``(table, settings) -> list of Finding``. What it builds on is
named in `needs`; shared facts are built once per table (`attacks.memo`), so that needing is
about order and never about passing results around.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from analysis.engine.analyses import (
    accents,
    brass_chords,
    brass_joint,
    build_up,
    cadences,
    chords,
    comparison,
    continuity,
    course,
    course_pairs,
    crossing,
    doubling,
    drums,
    handover,
    imitation,
    key_route,
    keys,
    layout,
    open_tones,
    parallel,
    pedals,
    playing,
    ranges,
    real_bass,
    reinforcement,
    roles,
    sequences,
    sides,
    textures,
    tonicisation,
)
from analysis.engine.errors import EngineError
from analysis.engine.model import Finding, ScoreTable
from analysis.engine.sentences import TEMPLATES
from analysis.engine.settings import Settings

Function = Callable[[ScoreTable, Settings], list[Finding]]


@dataclass(frozen=True, slots=True)
class Analysis:
    name: str
    find: Function
    needs: tuple[str, ...] = ()


ANALYSES: tuple[Analysis, ...] = (
    Analysis("playing", playing.find_playing),
    Analysis("share", playing.find_shares),
    Analysis("doubling", doubling.find_doublings),
    Analysis("reinforcement", reinforcement.find_reinforcements, needs=("doubling",)),
    Analysis("reinforcement-accents", accents.find_accents, needs=("role",)),
    Analysis("parallel", parallel.find_parallels),
    Analysis("crossing", crossing.find_crossings),
    Analysis("range", ranges.find_ranges),
    Analysis("register", ranges.find_registers),
    Analysis("open-tones", open_tones.find_open_tones),
    Analysis("layout", layout.find_layout),
    Analysis("key", keys.find_keys),
    Analysis("role", roles.find_roles),
    Analysis("texture", textures.find_textures, needs=("role",)),
    Analysis("continuity", continuity.find_continuity),
    Analysis("sides-with", sides.find_sides, needs=("role",)),
    Analysis("handover", handover.find_handovers, needs=("role",)),
    Analysis("course", course.find_courses, needs=("doubling",)),
    Analysis("pair", course_pairs.find_pairs, needs=("doubling", "parallel")),
    Analysis("chord", chords.find_chords),
    Analysis("key-route", key_route.find_key_routes, needs=("key",)),
    Analysis("tonicisation", tonicisation.find_tonicisations, needs=("key", "chord")),
    Analysis("cadence", cadences.find_cadences, needs=("key", "chord")),
    Analysis("pedal", pedals.find_pedals, needs=("key", "chord")),
    Analysis("brass-chord", brass_chords.find_brass_in_chords, needs=("chord", "open-tones")),
    Analysis("brass-key", brass_chords.find_brass_in_keys, needs=("key", "open-tones")),
    Analysis("brass-joint", brass_joint.find_joint, needs=("open-tones",)),
    Analysis("drums", drums.find_drums, needs=("key", "chord")),
    Analysis("real-bass", real_bass.find_real_bass, needs=("crossing",)),
    Analysis("sequence", sequences.find_sequences),
    Analysis("imitation", imitation.find_imitations),
    Analysis("comparison", comparison.find_comparisons),
    Analysis("build-up", build_up.find_build_ups, needs=("chord",)),
)


def analyse(
    table: ScoreTable,
    settings: Settings | None = None,
    *,
    progress: Callable[[str, int, int], None] | None = None,
) -> list[Finding]:
    """The computed reading of a table: all findings, by place.

    Parameters
    ----------
    table : ScoreTable
    settings : Settings, optional
        Thresholds; the defaults of the trade if absent.
    progress : callable, optional
        Told (name of the analysis about to run, how many are done, how many there are).

    Returns
    -------
    list of Finding
        By movement, first bar, last bar, then in the order of the registry. The same table and
        settings give the same list.

    Raises
    ------
    EngineError
        If an analysis returns a finding that points outside the file: a mistake of ours.
    """
    settings = settings or Settings()
    if not table.bars:
        return []
    ordered = in_order(ANALYSES)
    found: list[Finding] = []
    known = frozenset(table.ids)
    for done, analysis in enumerate(ordered):
        if progress:
            progress(analysis.name, done, len(ordered))
        for finding in analysis.find(table, settings):
            _check(finding, analysis.name, table, known)
            found.append(finding)
    return sorted(found, key=lambda f: (f.movement, f.first, f.last))


def in_order(analyses: Iterable[Analysis]) -> list[Analysis]:
    """Each after what it needs, else as listed; EngineError on an unknown need or a circle."""
    waiting = list(analyses)
    names = {a.name for a in waiting}
    done: list[Analysis] = []
    ready: set[str] = set()
    for analysis in waiting:
        if missing := set(analysis.needs) - names:
            raise EngineError(f"{analysis.name} needs {min(missing)}, which is no analysis.")
    while waiting:
        following = next((a for a in waiting if ready >= set(a.needs)), None)
        if following is None:
            raise EngineError(f"Analyses need each other: {', '.join(a.name for a in waiting)}.")
        waiting.remove(following)
        ready.add(following.name)
        done.append(following)
    return done


def _check(finding: Finding, name: str, table: ScoreTable, known: frozenset[str]) -> None:
    """A finding must lie in the file, prove itself with its notes, and be sayable."""
    wrong = ""
    if not 0 <= finding.first <= finding.last < len(table.bars):
        wrong = f"bars {finding.first} to {finding.last}"
    elif not table.bars[finding.first].start <= finding.start < finding.end:
        wrong = f"ticks {finding.start} to {finding.end}"
    elif table.bars[finding.first].movement != finding.movement:
        wrong = f"movement {finding.movement}"
    elif table.bars[finding.last].movement != finding.movement:
        wrong = "a span across movements"
    elif not 0.0 <= finding.confidence <= 1.0:
        wrong = f"confidence {finding.confidence}"
    elif not all(0 <= line < len(table.lines) for line in finding.lines):
        wrong = f"lines {finding.lines}"
    elif finding.value.get("kind") != finding.kind:
        wrong = f"a value of kind {finding.value.get('kind')}"
    elif finding.sentence.template not in TEMPLATES:
        wrong = f"a sentence {finding.sentence.template!r} that nobody wrote"
    elif not all(known.issuperset(e.ids) for e in finding.evidence):
        wrong = "evidence that is no note of the file"
    if wrong:
        raise EngineError(f"The analysis {name} gave a {finding.kind} finding with {wrong}.")
