"""The history of a statement: its versions as they were kept, to be read and taken again."""

from __future__ import annotations

from typing import Any

from analysis.selectors import copy_of
from submissions.kinds import kind_of
from submissions.models import Observation, Paper
from submissions.places import place_label
from submissions.said import in_a_line
from submissions.typed import as_typed


def history_of(paper: Paper, client_key: str) -> list[dict[str, Any]] | None:
    """Rows of {"number", "at", "kind", "bars", "said", "typed"}, the newest first.

    None: there is no such statement (any more); []: its score's file has no labels now.
    """
    if "\x00" in client_key:
        return None
    kept = paper.observations.exclude(state=Observation.State.WITHDRAWN)
    observation = kept.filter(client_key=client_key).first()
    if observation is None:
        return None
    versions = list(observation.versions.select_related("version"))
    files = {v.version_id: v.version for v in versions if v.version}
    copies = {pk: copy_of(file) for pk, file in files.items()}
    rows = []
    for version in versions:
        copy = copies.get(version.version_id)
        if copy is None:
            continue
        rows.append(
            {
                "number": version.number,
                "at": version.at,
                "kind": str(kind_of(version.kind).label),
                "bars": place_label(version, copy.outline),
                "said": in_a_line(version, copy.outline),
                "typed": as_typed(version, copy.outline),
            }
        )
    return rows
