"""Files taken for recordings and files refused; taps kept; a recording taken down."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile

from courses.models import Event, Recording, Tapping
from courses.recordings import media_type_of, read_taps
from courses.services import recordings
from tests.cast import Cast, Stage
from tests.recorded import KINDS, NONE, attached, clicks, followed, taps_at

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("name", KINDS)
def test_what_browsers_play_is_known_by_its_content(name: str) -> None:
    data, kind = KINDS[name]
    assert media_type_of(ContentFile(data, name="music.txt")) == kind


@pytest.mark.parametrize("name", NONE)
def test_anything_else_is_refused_with_a_sentence(name: str) -> None:
    with pytest.raises(ValidationError, match="no recording that browsers play"):
        recordings.check_recording(ContentFile(NONE[name], name="music.mp3"))


def test_an_empty_file_and_one_too_large_are_told(settings: Any) -> None:
    settings.RECORDING_MAX_BYTES = 2 * 2**20
    with pytest.raises(ValidationError, match=r"The file is empty\."):
        recordings.check_recording(ContentFile(b"", name="a.wav"))
    with pytest.raises(ValidationError, match=r"has 3\.0 MB; 2 MB is the most.*far smaller"):
        recordings.check_recording(ContentFile(b"RIFF" + bytes(3 * 2**20), name="a.wav"))


def test_no_cut_of_a_file_makes_the_look_at_it_stumble() -> None:
    for data, _kind in KINDS.values():
        for length in range(min(len(data), 80)):
            media_type_of(ContentFile(data[:length], name="a"))


def test_a_form_sent_twice_is_one_recording(cast: Cast, stage: Stage) -> None:
    first, again = (attached(stage.version, cast.tutor) for _n in range(2))
    assert first.pk == again.pk
    assert Event.objects.filter(verb="recording.attached").count() == 1
    assert attached(stage.version, cast.tutor, clicks([1], 3)).pk != first.pk
    assert "spring" not in first.file.name


def test_without_the_statement_nothing_is_kept(cast: Cast, stage: Stage) -> None:
    with pytest.raises(ValidationError) as refused:
        attached(stage.version, cast.tutor, source="", country="")
    assert set(refused.value.message_dict) == {"source", "country"}
    assert not Recording.objects.exists()


@pytest.mark.parametrize(
    "sent",
    [
        None,
        {},
        {"order": "sideways", "duration": 5, "taps": []},
        {"order": "once", "duration": float("nan"), "taps": []},
        {"order": "once", "duration": 5, "taps": [{"bar": 0, "pass": 1, "at": 9}]},
        {"order": "once", "duration": 5, "taps": [{"bar": "0", "pass": 1, "at": 1}]},
        {"order": "once", "duration": 5, "taps": [{"bar": 0, "pass": 1, "at": float("nan")}]},
        {"order": "once", "duration": 5, "taps": [{"bar": 0, "pass": 1, "at": 1}] * 2},
        {"order": "once", "duration": 5, "taps": "none"},
    ],
)
def test_taps_that_cannot_be_read_are_refused(sent: Any) -> None:
    with pytest.raises(ValidationError, match="Reload the page"):
        read_taps(sent)


def test_two_windows_do_not_overwrite_each_other(cast: Cast, stage: Stage) -> None:
    recording = attached(stage.version, cast.tutor)
    draft = {"order": "once", "duration": 6.0, "taps": taps_at({0: 1.0})}
    assert recordings.save_taps(recording=recording, draft=draft, if_match=0) == 1
    with pytest.raises(ValidationError, match="another window"):
        recordings.save_taps(recording=recording, draft={**draft, "taps": []}, if_match=0)
    assert Recording.objects.get().draft == draft


def test_what_was_given_to_be_followed_stays(cast: Cast, stage: Stage) -> None:
    recording = followed(stage.version, cast.tutor)
    assert recordings.give_to_follow(recording=recording, by=cast.tutor).number == 1  # the same
    draft = {"order": "played", "duration": 6.0, "taps": taps_at({0: 0.6, 1: 2.4})}
    recordings.save_taps(recording=recording, draft=draft, if_match=1)
    assert recordings.give_to_follow(recording=recording, by=cast.tutor).number == 2
    first, second = Tapping.objects.order_by("number")
    assert (first.taps, second.taps) == (taps_at({0: 0.5, 1: 2.5}), draft["taps"])
    assert first.by == cast.tutor


def test_one_tap_is_no_tempo(cast: Cast, stage: Stage) -> None:
    recording = attached(stage.version, cast.tutor)
    draft = {"order": "once", "duration": 6.0, "taps": taps_at({0: 1.0})}
    recordings.save_taps(recording=recording, draft=draft, if_match=0)
    with pytest.raises(ValidationError, match="at least two bars"):
        recordings.give_to_follow(recording=recording, by=cast.tutor)


def test_taken_down_the_file_goes_and_the_statement_stays(
    cast: Cast, stage: Stage, django_capture_on_commit_callbacks: Any
) -> None:
    recording = followed(stage.version, cast.tutor)
    name, storage = recording.file.name, recording.file.storage
    assert storage.exists(name)
    with django_capture_on_commit_callbacks(execute=True):
        recordings.take_down_recording(recording=recording, by=cast.tutor)
    assert not storage.exists(name)
    kept = Recording.objects.get()
    assert kept.taken_down_at
    assert (kept.source, kept.sha256) == (recording.source, recording.sha256)
    assert attached(stage.version, cast.tutor).pk != recording.pk  # may be attached anew
