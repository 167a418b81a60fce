"""Uploads, their rights, and what the parts are taken for."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from analysis.jobs.models import Job
from analysis.models import Run
from courses.models import Event, PartsRevision, Rights, Score, ScoreVersion
from courses.services import library
from courses.services.parts import confirm_parts, latest_revision, part_key
from tests.browser.pieces import serenade
from tests.cast import RIGHTS, Cast, confirm_everything, upload
from tests.engine.formats.small import kern, mei, midi
from tests.rewrite import rewrite

pytestmark = pytest.mark.django_db


def test_the_same_file_again_is_the_same_version_and_the_same_job(cast: Cast) -> None:
    first, again = upload(cast.tutor), upload(cast.tutor)
    assert first.pk == again.pk
    assert Job.objects.filter(kind="gate").count() == 1
    assert Event.objects.filter(verb="score.uploaded").count() == 1
    file = ContentFile(serenade() + b"\n", name="corrected.musicxml")
    other = library.upload_version(score=first.score, by=cast.tutor, file=file)
    assert (other.score_id, other.number) == (first.score_id, 2)


def test_a_name_already_used_replaces_nothing(cast: Cast, client: Client) -> None:
    first = upload(cast.tutor)
    client.force_login(cast.tutor)
    answer = client.post(reverse("upload"), {
        **RIGHTS, "work_title": "A little serenade", "title": " i ", "order": 3,
        "assessed_on": "2026-01-05", "entitled": "on", "source": "typed before",
        "file": SimpleUploadedFile("other.musicxml", serenade() + b"\n"),
    })  # fmt: skip
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "A corrected file" in page
    assert "typed before" in page
    assert first.score.versions.count() == 1
    assert Score.objects.count() == 1
    assert first.score.rights.count() == 1


def test_the_name_of_a_refused_file_may_be_used_again_and_the_place_typed_counts(
    cast: Cast,
) -> None:
    first = upload(cast.tutor)
    library.set_score_state(first, ScoreVersion.State.REFUSED, "No notes in it.")
    again = upload(cast.tutor, serenade() + b"\n", order=4)
    assert (again.score_id, again.number, again.score.order) == (first.score_id, 2, 4)


def test_a_refused_file_sent_once_more_changes_nothing_of_the_good_one(cast: Cast) -> None:
    bad = b"no score at all"
    first = upload(cast.tutor, bad)
    library.set_score_state(first, ScoreVersion.State.REFUSED, "No score.")
    good = upload(cast.tutor)
    library.set_score_state(good, ScoreVersion.State.READY)
    stated = good.score.rights.count()
    with pytest.raises(ValidationError) as refused:
        upload(cast.tutor, bad, rights={**RIGHTS, "source": "somewhere else"})
    assert list(refused.value.message_dict) == ["title"]
    assert good.score.rights.count() == stated
    assert good.score.versions.count() == 2


def test_a_score_taken_down_keeps_its_name_to_itself(cast: Cast) -> None:
    first = upload(cast.tutor)
    library.take_down(score=first.score, by=cast.tutor)
    assert upload(cast.tutor, serenade() + b"\n").score_id != first.score_id


def test_two_tutors_with_one_file_share_nothing(cast: Cast) -> None:
    mine, theirs = upload(cast.tutor), upload(cast.other_tutor)
    assert mine.score_id != theirs.score_id
    assert mine.score.work_id != theirs.score.work_id


def test_the_stored_name_says_nothing_and_the_shown_one_has_no_tricks(cast: Cast) -> None:
    file = ContentFile(serenade(), name="final\u202egpj.musicxml")
    version = library.upload_version(score=upload(cast.tutor).score, by=cast.tutor, file=file)
    assert "\u202e" not in library.shown_name("final\u202egpj.musicxml")
    assert "musicxml" not in version.original.name
    assert len(library.shown_name("x" * 500)) == 150


@pytest.mark.parametrize(
    ("data", "code"), [(b"", "empty"), (b"x" * 2049, "too-large"), (b"x" * 2048, "")]
)
def test_what_cannot_be_taken_at_all(cast: Cast, settings: Any, data: bytes, code: str) -> None:
    settings.UPLOAD_MAX_BYTES = 2048
    file = ContentFile(data, name="a.musicxml")
    if not code:
        library.check_upload(file)
        return
    with pytest.raises(ValidationError) as refused:
        library.check_upload(file)
    assert refused.value.code == code


def form(**more: Any) -> dict[str, Any]:
    return {**RIGHTS, "entitled": "on", "work_title": "Nocturne", "title": "II. Adagio", "order": 2,
            "file": SimpleUploadedFile("s.musicxml", serenade()), **more}  # fmt: skip


@pytest.mark.parametrize(
    "wrong", [{"entitled": ""}, {"country": ""}, {"file": SimpleUploadedFile("e.xml", b"")}]
)
def test_a_refused_upload_keeps_the_form_s_entries(cast: Cast, wrong: dict[str, Any]) -> None:
    client = Client()
    client.force_login(cast.tutor)
    answer = client.post(reverse("upload"), form(**wrong))
    page = answer.content.decode()
    assert answer.status_code == 422
    assert 'value="Nocturne"' in page
    assert 'value="II. Adagio"' in page
    assert 'value="made for this test"' in page
    assert not Score.objects.exists()
    assert not Rights.objects.exists()


def test_a_file_the_gate_refuses_says_why_and_a_corrected_one_goes_on(
    cast: Cast, drain_jobs: Any
) -> None:
    version = upload(cast.tutor, b"<score-partwise><part-list>")
    drain_jobs()
    version.refresh_from_db()
    assert version.state == ScoreVersion.State.REFUSED
    assert version.problem.endswith((".", "!"))
    client = Client()
    client.force_login(cast.tutor)
    page = client.get(reverse("score", args=[version.score.public_id]))
    assert page.status_code == 200
    mended = library.upload_version(
        score=version.score, by=cast.tutor, file=ContentFile(serenade(), name="s.musicxml")
    )
    drain_jobs()
    mended.refresh_from_db()
    assert (mended.number, mended.state) == (2, ScoreVersion.State.PARTS)


@pytest.mark.parametrize(
    ("name", "data"),
    [("a.mei", mei()), ("a.krn", kern()), ("a.mid", midi([(0, 480, 60)])), ("a.xml", mei())],
)
def test_the_other_formats_are_taken_and_told(
    cast: Cast, drain_jobs: Any, name: str, data: bytes
) -> None:
    client = Client()
    client.force_login(cast.tutor)
    page = client.get(reverse("upload")).content.decode()
    assert name[1:] in page
    assert "MEI, Humdrum kern or MIDI" in page
    client.post(reverse("upload"), form(file=SimpleUploadedFile(name, data)))
    drain_jobs()
    version = ScoreVersion.objects.get()
    assert version.state == ScoreVersion.State.PARTS
    codes = [n["code"] for n in version.canonical.notices]
    assert ("midi" in codes) is (name == "a.mid")
    doubts = [row["doubt"] for row in latest_revision(version).parts]
    assert any(doubts) is (name == "a.mid")


# --- parts ---------------------------------------------------------------------


@pytest.fixture
def proposed(cast: Cast, drain_jobs: Any) -> ScoreVersion:
    version = upload(cast.tutor)
    drain_jobs()
    version.refresh_from_db()
    return version


def doubt_one(version: ScoreVersion) -> tuple[str, list[str]]:
    """The first part made doubtful: (its key, the keys of the others)."""
    revision = version.parts_revisions.get()
    revision.parts[0]["doubt"] = {"code": "test", "text": "Which one?", "choices": []}
    rewrite(PartsRevision.objects.filter(pk=revision.pk), parts=revision.parts)
    keys = [part_key(row) for row in revision.parts]
    return keys[0], keys[1:]


def test_confirming_together_refuses_a_doubt(cast: Cast, proposed: ScoreVersion) -> None:
    doubtful, sure = doubt_one(proposed)
    with pytest.raises(ValidationError, match="doubt"):
        confirm_parts(version=proposed, by=cast.tutor, keys=[doubtful, *sure], together=True)
    assert proposed.parts_revisions.count() == 1
    together = confirm_parts(version=proposed, by=cast.tutor, keys=sure, together=True)
    assert not together.complete
    assert not Run.objects.exists()
    alone = confirm_parts(version=proposed, by=cast.tutor, keys=[doubtful])
    assert alone.complete
    assert Run.objects.get().parts_revision == alone


def test_confirming_again_makes_no_new_revision(cast: Cast, proposed: ScoreVersion) -> None:
    done = confirm_everything(proposed, cast.tutor)
    keys = [part_key(row) for row in done.parts]
    assert confirm_parts(version=proposed, by=cast.tutor, keys=keys) == done
    assert Job.objects.filter(kind="read").count() == 1


def test_revisions_are_never_changed(cast: Cast, proposed: ScoreVersion) -> None:
    before = [dict(row) for row in proposed.parts_revisions.get(number=1).parts]
    confirm_everything(proposed, cast.tutor)
    assert proposed.parts_revisions.get(number=1).parts == before


def test_a_new_revision_is_read_again_and_becomes_current(
    cast: Cast, proposed: ScoreVersion, drain_jobs: Any
) -> None:
    done = confirm_everything(proposed, cast.tutor)
    drain_jobs()
    first = Run.objects.get(current=True)
    key = part_key(done.parts[1])
    changed = confirm_parts(
        version=proposed, by=cast.tutor, keys=[key], changes={key: {"transposition": -7}}
    )
    assert changed.number == done.number + 1
    drain_jobs()
    second = Run.objects.get(current=True)
    assert second.pk != first.pk
    assert second.parts_revision == changed
    proposed.refresh_from_db()
    assert proposed.state == ScoreVersion.State.READY


def test_only_what_a_tutor_may_change_is_changed(cast: Cast, proposed: ScoreVersion) -> None:
    first = latest_revision(proposed)
    assert first is not None
    key = part_key(first.parts[0])
    revision = confirm_parts(
        version=proposed, by=cast.tutor, keys=[key],
        changes={key: {"id": "X9", "index": 7, "crook": "D"}},
    )  # fmt: skip
    row = revision.parts[0]
    assert (row["id"], row["index"], row["crook"]) == (first.parts[0]["id"], 0, "D")


def test_an_unknown_part_is_refused(cast: Cast, proposed: ScoreVersion) -> None:
    with pytest.raises(ValidationError):
        confirm_parts(version=proposed, by=cast.tutor, keys=["P99@0"])
    assert PartsRevision.objects.count() == 1
