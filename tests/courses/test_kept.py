"""History is appended to, never rewritten (the site's own promise: what was said stays said)."""

from __future__ import annotations

from random import Random
from typing import Any

import pytest

from courses.models import AssignmentVersion, Event, PartsRevision, Prompt, Recording, Tapping
from courses.models.kept import Kept
from courses.models.stages import Step
from submissions.models import Check, Message, ObservationVersion, Release, Ruling
from submissions.services.papers import release
from submissions.services.rulings import rule
from tests.cast import FREE, OCTAVE, UNISON, Cast, Stage, handed_in, latest, paper_of, state
from tests.recorded import followed

pytestmark = pytest.mark.django_db
KEPT = (
    AssignmentVersion, Check, Event, Message, ObservationVersion, PartsRevision, Prompt,
    Recording, Release, Ruling, Step, Tapping,
)  # fmt: skip


def every_kind() -> set[type[Kept]]:
    return {model for model in Kept.__subclasses__() if not model._meta.abstract}


def test_these_are_kept() -> None:
    assert every_kind() == set(KEPT)


def rows(cast: Cast, stage: Stage) -> list[Kept]:
    paper = handed_in(stage, cast.student, OCTAVE)
    rule(statement=latest(paper.observations.get()), by=cast.tutor, flag="agrees", reply="Yes.")
    release(paper=paper, by=cast.tutor)
    Step.objects.create(assignment=paper.assignment, student=cast.student, stage="survey")
    followed(stage.version, cast.tutor)
    return [row for model in KEPT for row in model.objects.all()]


def test_nothing_written_can_be_rewritten(cast: Cast, stage: Stage) -> None:
    found = rows(cast, stage)
    assert {type(row) for row in found} >= set(KEPT) - {Message}
    for row in found:
        model = type(row)
        said = [f.attname for f in model._meta.concrete_fields if f.name not in model.changes]
        for name in said:
            with pytest.raises(TypeError, match="cannot be changed once written"):
                model.objects.filter(pk=row.pk).update(**{name: getattr(row, name)})
            with pytest.raises(TypeError, match="cannot be changed once written"):
                row.save(update_fields=[name])
        with pytest.raises(TypeError, match="a new row"):
            row.save()
        with pytest.raises(TypeError, match="stays"):
            row.delete()
        with pytest.raises(TypeError, match="stays"):
            model.objects.filter(pk=row.pk).delete()
        assert model.objects.filter(pk=row.pk).exists()


def said(row: Any) -> dict[str, Any]:
    fields = type(row)._meta.concrete_fields
    return {f.attname: getattr(row, f.attname) for f in fields if f.name not in row.changes}


@pytest.mark.parametrize("seed", range(8))
def test_every_former_version_can_be_fetched(cast: Cast, stage: Stage, seed: int) -> None:
    rng = Random(seed)
    paper = paper_of(cast.student, stage.assignment)
    kept: dict[tuple[type[Kept], int], dict[str, Any]] = {}
    for turn in range(12):
        ruled = [o for o in paper.observations.all() if o.versions.exists()]
        act = rng.choice(["state", "state", "rule"]) if ruled else "state"
        if act == "state":
            typed = {**rng.choice([OCTAVE, UNISON, FREE]), "words": f"turn {turn}"}
            key = rng.choice("abc")
            standing = paper.observations.filter(client_key=key).first()
            number = standing.number if standing else None
            state(paper, stage.run, typed, key=key, if_match=number)
        else:
            statement = latest(rng.choice(ruled))
            flag = rng.choice(["agrees", "partly"])
            rule(statement=statement, by=cast.tutor, flag=flag, reply=f"turn {turn}", reason="So.")
        for (model, pk), before in kept.items():
            assert said(model.objects.get(pk=pk)) == before
        kept |= {(type(r), r.pk): said(r) for m in KEPT for r in m.objects.all()}
    assert len([1 for model, _pk in kept if model is ObservationVersion]) >= 4
