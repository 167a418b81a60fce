"""The worker's side of a corrected file: what hangs on bars goes over to it, or is told lost."""

from __future__ import annotations

from analysis import storage
from analysis.engine import reader
from analysis.engine.align import Alignment, align
from analysis.engine.model import ScoreTable
from analysis.models import CanonicalCopy
from analysis.selectors import current_run
from analysis.services.overrules import carry_overrules
from courses.models import BarMap, ScoreVersion
from courses.services.places import carry_notes, hold, keep_map

Found = list[tuple[ScoreVersion, Alignment]]


def alignments(version: ScoreVersion, table: ScoreTable) -> Found:
    """How each other file of the score lies on this one, where that is not known yet."""
    known = BarMap.objects.filter(target=version).values("source")
    others = (
        CanonicalCopy.objects.filter(version__score=version.score_id)
        .exclude(version=version)
        .exclude(version__in=known)
        .select_related("version")
    )
    return [(copy.version, align(_table(copy), table)) for copy in others]


def _table(copy: CanonicalCopy) -> ScoreTable:
    run = current_run(copy.version)
    return storage.table_of(run) if run else reader.read(storage.get(copy.file))


def carry_over(version: ScoreVersion, found: Found) -> None:
    """Notes and words of the tutor get their places in this file. Inside a transaction."""
    hold(version.score_id)
    for other, alignment in found:
        keep_map(other, version, alignment.bars, alignment.parts)
    carry_notes(version)
    carry_overrules(version)
