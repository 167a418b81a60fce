"""A recording as it is given out: to whom, how much of it, and with which bars."""

from __future__ import annotations

import json
from datetime import timedelta
from types import SimpleNamespace
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from analysis.recorded import bars_of, timeline_of
from courses.models import BarMap, Recording, User
from courses.services import library
from tests.cast import RIGHTS, Cast, Stage, ready_score
from tests.recorded import attached, clicks, followed
from tests.rewrite import rewrite

pytestmark = pytest.mark.django_db
SOUND = clicks([0.5, 2.5], 6)


def client_of(user: User) -> Client:
    client = Client()
    client.force_login(user)
    return client


def sound_of(recording: Recording, user: User, **more: Any) -> Any:
    return client_of(user).get(reverse("recording-sound", args=[recording.public_id]), **more)


@pytest.mark.parametrize(
    ("asked", "status", "first", "last"),
    [
        ("", 200, 0, None),
        ("bytes=0-", 206, 0, None),
        ("bytes=100-199", 206, 100, 200),
        ("bytes=7-7", 206, 7, 8),
        ("bytes=-50", 206, len(SOUND) - 50, None),
        ("bytes=40-99999999", 206, 40, None),
        ("bytes=0-9,20-29", 200, 0, None),
        ("lines=1-2", 200, 0, None),
        ("bytes=x", 200, 0, None),
    ],
)
def test_a_part_of_the_file(
    cast: Cast, stage: Stage, asked: str, status: int, first: int, last: int | None
) -> None:
    recording = followed(stage.version, cast.tutor)
    answer = sound_of(recording, cast.student, headers={"Range": asked} if asked else {})
    wanted = SOUND[first:last]
    assert answer.status_code == status
    assert b"".join(answer) == wanted
    assert answer["Content-Length"] == str(len(wanted))
    assert (answer["Content-Type"], answer["Accept-Ranges"]) == ("audio/wav", "bytes")
    if status == 206:
        assert answer["Content-Range"] == f"bytes {first}-{first + len(wanted) - 1}/{len(SOUND)}"


def test_what_lies_beyond_the_end_or_is_of_another_file(cast: Cast, stage: Stage) -> None:
    recording = followed(stage.version, cast.tutor)
    beyond = sound_of(recording, cast.student, headers={"Range": f"bytes={len(SOUND)}-"})
    assert (beyond.status_code, beyond["Content-Range"]) == (416, f"bytes */{len(SOUND)}")
    other = {"Range": "bytes=5-9", "If-Range": '"another"'}
    assert sound_of(recording, cast.student, headers=other).status_code == 200
    same = {"Range": "bytes=5-9", "If-Range": f'"{recording.sha256}"'}
    assert sound_of(recording, cast.student, headers=same).status_code == 206


def test_it_is_no_download_and_no_cache_keeps_it(cast: Cast, stage: Stage) -> None:
    answer = sound_of(followed(stage.version, cast.tutor), cast.student)
    assert answer["Content-Disposition"] == "inline"
    assert answer["Cache-Control"] == "private, no-store"
    assert "spring" not in repr(answer.headers)


def test_students_hear_it_when_its_bars_can_be_followed_and_as_long_as_it_may_be_used(
    cast: Cast, stage: Stage
) -> None:
    listed = reverse("heard-recordings", args=[stage.version.public_id])

    def heard(user: User, recording: Recording) -> tuple[int, int]:
        return (len(client_of(user).get(listed).json()["recordings"]),
                sound_of(recording, user).status_code)  # fmt: skip

    untapped = attached(stage.version, cast.tutor, clicks([1], 2))
    assert heard(cast.student, untapped) == (0, 404)
    assert heard(cast.tutor, untapped) == (0, 200)
    yesterday, today = timezone.localdate() - timedelta(days=1), timezone.localdate()
    recording = followed(stage.version, cast.tutor, ends_on=today)
    assert heard(cast.student, recording) == heard(cast.assistant, recording) == (1, 200)
    rewrite(Recording.objects.filter(pk=recording.pk), ends_on=yesterday)
    assert heard(cast.student, recording) == (0, 404)
    assert heard(cast.tutor, recording) == (1, 200)
    page = client_of(cast.tutor).get(reverse("score", args=[stage.score.public_id]))
    assert page.content.decode().count("Its last day of use is over") == 1
    Recording.objects.filter(pk=recording.pk).update(taken_down_at=timezone.now())
    assert heard(cast.tutor, recording) == (0, 404)


def test_with_the_score_taken_down_it_is_the_tutor_s_alone(cast: Cast, stage: Stage) -> None:
    recording = followed(stage.version, cast.tutor)
    library.take_down(score=stage.score, by=cast.tutor)
    assert sound_of(recording, cast.student).status_code == 404
    assert sound_of(recording, cast.tutor).status_code == 200


def test_bars_in_the_recording_s_time(cast: Cast, stage: Stage) -> None:
    """Bars 1 and 3 tapped, 2 worked out; bar 4 and what follows have no time."""
    recording = followed(stage.version, cast.tutor, {0: 0.5, 2: 4.5})
    url = reverse("recording-timeline", args=[stage.version.public_id, recording.public_id])
    found = client_of(cast.student).get(url).json()
    bars = [(b["index"], b["start"], b["end"], b["tapped"]) for b in found["bars"]]
    assert bars == [(0, 0.5, 2.5, True), (1, 2.5, 4.5, False), (2, 4.5, 6.0, True)]
    assert found["duration"] == 6.0
    assert [p["id"] for p in found["parts"]] == [p["id"] for p in stage.run.copy.outline["parts"]]


def test_each_time_through_has_taps_of_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    """An upbeat, two bars repeated, one more; the second bar's second time is left out."""
    steps = [(0, 1, 0.5), (1, 1, 2), (2, 1, 2), (1, 2, 2), (2, 2, 2), (3, 1, 2)]
    bars = [{"index": i, "pass": n, "label": str(i), "start": 0, "end": s} for i, n, s in steps]
    monkeypatch.setattr("analysis.recorded._played", lambda *asked: {"bars": bars})
    outline = {"movements": [{"first": 0, "last": 3}]}
    run: Any = SimpleNamespace(pk=1, table=SimpleNamespace(name=""),
                               copy=SimpleNamespace(outline=outline))  # fmt: skip
    times = {(1, 1): 5.0, (2, 1): 9.0, (1, 2): 13.0, (3, 1): 21.0}
    taps = [{"bar": bar, "pass": n, "at": at} for (bar, n), at in times.items()]
    found = [(b.place, b.start, b.tapped) for b in bars_of(run, "played", taps, 30)]
    assert found == [(0, 4.0, False), (1, 5.0, True), (2, 9.0, True), (3, 13.0, True),
                     (4, 17.0, False), (5, 21.0, True)]  # fmt: skip


def test_a_recording_goes_with_its_bars_into_a_corrected_file(cast: Cast, stage: Stage) -> None:
    """In the other file bar 2 is gone: taps of bars 1 and 3 stand on its bars 1 and 2."""
    recording = followed(stage.version, cast.tutor, {0: 0.5, 1: 2.0, 2: 4.5})
    _other, run = ready_score(cast.tutor, "corrected")
    BarMap.objects.create(source=stage.version, target=run.copy.version, parts={},
                          bars=[0, None, 1, *range(2, 7)])  # fmt: skip
    found = timeline_of(recording, recording.tappings.get(), run)
    assert [(b["index"], b["start"], b["tapped"]) for b in found["bars"]] == [
        (0, 0.5, True), (1, 4.5, True),
    ]  # fmt: skip


def test_a_refused_form_keeps_its_words(cast: Cast, stage: Stage) -> None:
    said = {**RIGHTS, "entitled": "on", "name": "In spring", "performers": "Those of 4b"}
    url, client = reverse("attach-recording", args=[stage.score.public_id]), client_of(cast.tutor)
    wrong = SimpleUploadedFile("spring.mp3", b"<html>")
    page = client.post(url, {**said, "recorded": wrong})
    assert page.status_code == 422
    assert "no recording that browsers play" in page.content.decode()
    assert "Those of 4b" in page.content.decode()
    page = client.post(url, {"name": "x", "recorded": SimpleUploadedFile("spring.wav", SOUND)})
    assert "Without this statement the recording cannot be taken." in page.content.decode()
    assert not Recording.objects.exists()
    taken = client.post(url, {**said, "recorded": SimpleUploadedFile("spring.wav", SOUND)})
    assert taken.status_code == 302
    assert Recording.objects.get().media_type == "audio/wav"


def test_taps_out_of_order_are_refused_by_the_bar_s_own_name(cast: Cast, stage: Stage) -> None:
    recording = attached(stage.version, cast.tutor)
    taps = [{"bar": 0, "pass": 1, "at": 3.0}, {"bar": 3, "pass": 1, "at": 2.0}]
    draft = json.dumps({"order": "once", "duration": 6, "taps": taps})
    url = reverse("save-taps", args=[recording.public_id])
    answer = client_of(cast.tutor).post(url, {"draft": draft, "revision": 0})
    assert answer.status_code == 422
    assert answer.json()["detail"].startswith("Bar 4 cannot begin before the bar")
    assert client_of(cast.tutor).post(url, {"draft": "{", "revision": "x"}).status_code == 422


def test_pages_and_list_cost_the_same_with_one_recording_and_with_five(
    cast: Cast, stage: Stage
) -> None:
    file = [stage.version.public_id]
    asked = (
        (cast.tutor, reverse("score", args=[stage.score.public_id])),
        (cast.tutor, reverse("heard-recordings", args=file)),
        (cast.student, reverse("heard-recordings", args=file)),
    )

    def cost() -> list[int]:
        counts = []
        for user, url in asked:
            client = client_of(user)
            client.get(url)
            with CaptureQueriesContext(connection) as seen:
                assert client.get(url).status_code == 200
            counts.append(len(seen))
        return counts

    first = followed(stage.version, cast.tutor)
    few = cost()
    for n in range(4):
        followed(stage.version, cast.tutor, data=clicks([n / 2], 6))
    assert cost() == few
    client = client_of(cast.student)
    with CaptureQueriesContext(connection) as seen:
        client.get(reverse("recording-sound", args=[first.public_id]))
    assert len(seen) <= 5, [q["sql"] for q in seen]  # who asks, the file, the stages
