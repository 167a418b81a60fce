"""Reading and writing the files of a reading through Django's storage."""

from __future__ import annotations

from functools import lru_cache

from django.core.files.base import ContentFile
from django.db.models.fields.files import FieldFile

from analysis.engine import findings as findings_json
from analysis.engine.model import Finding, ScoreTable
from analysis.engine.reader import store
from analysis.models import Run


def put(field: FieldFile, data: bytes) -> None:
    """Write bytes under a fresh random key; the row is saved by the caller."""
    field.save("file", ContentFile(data), save=False)


def get(field: FieldFile) -> bytes:
    with field.open("rb") as file:
        return bytes(file.read())


@lru_cache(maxsize=8)
def _table(run_pk: int, key: str) -> ScoreTable:
    return store.loads(get(Run.objects.get(pk=run_pk).table))


@lru_cache(maxsize=8)
def _findings(run_pk: int, key: str) -> tuple[Finding, ...]:
    return tuple(findings_json.loads(get(Run.objects.get(pk=run_pk).findings)))


def table_of(run: Run) -> ScoreTable:
    """The note table of a ready run; kept warm in the process (files never change)."""
    return _table(run.pk, run.table.name)


def computed_findings(run: Run) -> tuple[Finding, ...]:
    """As computed, before the tutor's word. Pages use `selectors.effective_findings`."""
    return _findings(run.pk, run.findings.name)
