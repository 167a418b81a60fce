"""Sound by the reading: what the layers do not tell is neither offered nor heard by its address."""

from __future__ import annotations

import io
import wave
from typing import Any

import numpy as np
import pretty_midi
import pytest
from django.test import Client
from django.urls import reverse

from courses.models import User
from courses.stages import new_stage
from tests.cast import Cast, Stage, make_stage, publish

pytestmark = pytest.mark.django_db

KEYS = ("melody", "melody-alone", "together", "role-bass-line", "role-held-harmony")


def get(user: User, stage: Stage, route: str, query: str) -> Any:
    client = Client()
    client.force_login(user)
    return client.get(f"{reverse(route, args=[stage.version.public_id])}?{query}")


def offered(user: User, stage: Stage, first: int = 0, last: int = 3) -> set[str]:
    answer = get(user, stage, "heard-choices", f"first={first}&last={last}")
    assert "no-store" in answer["Cache-Control"]
    return {c["key"] for c in answer.json()["choices"]}


def notes(answer: Any) -> int:
    assert answer.status_code == 200
    made = pretty_midi.PrettyMIDI(io.BytesIO(answer.content))
    return sum(len(i.notes) for i in made.instruments)


def test_the_tutor_hears_each_choice_and_the_rest_without_it(cast: Cast, stage: Stage) -> None:
    found = offered(cast.tutor, stage)
    assert {"melody", "together"} <= found
    counts = set()
    for key in sorted(found):
        only = notes(get(cast.tutor, stage, "heard", f"first=0&last=3&only={key}"))
        rest = notes(get(cast.tutor, stage, "heard", f"first=0&last=3&without={key}"))
        assert only
        counts.add(only + rest)
    assert len(counts) == 1, "what is left out and what is heard are the whole"
    assert get(cast.tutor, stage, "heard", "first=0&last=3&only=nonsense").status_code == 404
    assert get(cast.tutor, stage, "heard", "first=0&last=3").status_code == 404
    assert get(cast.tutor, stage, "heard", "first=0&last=999&only=melody").status_code == 404


def test_a_student_without_leave_is_offered_nothing_and_hears_nothing(
    cast: Cast, stage: Stage
) -> None:
    everything = offered(cast.tutor, stage)
    assert offered(cast.student, stage) == set()
    for key in everything | set(KEYS):
        for how in ("only", "without"):
            answer = get(cast.student, stage, "heard", f"first=0&last=3&{how}={key}")
            assert answer.status_code == 404


def test_a_layer_that_is_allowed_opens_its_own_choices_only(cast: Cast) -> None:
    stage = make_stage(cast, stages=[new_stage("close-reading", layers=["melody"])])
    assert offered(cast.student, stage) == {"melody"}
    assert notes(get(cast.student, stage, "heard", "first=0&last=3&only=melody"))
    hidden = offered(cast.tutor, stage) - {"melody"}
    assert hidden
    for key in hidden:
        answer = get(cast.student, stage, "heard", f"first=0&last=3&without={key}")
        assert answer.status_code == 404
    publish(stage.course, stage.version, "Second")  # it allows nothing over the same bars
    assert offered(cast.student, stage) == set()
    gone = get(cast.student, stage, "heard", "first=0&last=3&only=melody")
    assert gone.status_code == 404


@pytest.mark.parametrize("lock", [{"sound_locked": True}, {"line": "P1"}])
def test_locked_sound_and_one_line_close_it(cast: Cast, lock: dict[str, Any]) -> None:
    kind = "survey" if "sound_locked" in lock else "first-hearing"
    stage = make_stage(cast, stages=[new_stage(kind, layers=["melody"], **lock)])
    assert get(cast.student, stage, "heard-choices", "first=0&last=3").status_code == 404
    assert get(cast.student, stage, "heard", "first=0&last=3&only=melody").status_code == 404


@pytest.mark.parametrize("query", ["", "first=0", "first=x&last=2", "first=-1&last=2"])
def test_bars_that_make_no_sense(cast: Cast, stage: Stage, query: str) -> None:
    for route in ("heard", "heard-choices"):
        answer = get(cast.tutor, stage, route, query)
        assert (answer.status_code, answer.json()) == (422, {"detail": "Say which bars."})
    assert offered(cast.tutor, stage, 3, 0) == set()


def test_each_order_of_the_bars_comes_with_its_own_times(cast: Cast, stage: Stage) -> None:
    for order in ("played", "once"):
        midi = get(cast.student, stage, "score-midi", f"order={order}")
        times = get(cast.student, stage, "score-timeline", f"order={order}").json()
        assert times["order"] == order
        made = pretty_midi.PrettyMIDI(io.BytesIO(midi.content))
        assert made.get_end_time() <= times["duration"] + 0.01
        assert notes(midi)
    assert get(cast.student, stage, "score-midi", "order=backwards").status_code == 404
    locked = publish(stage.course, stage.version, "Mute",
                     stages=[new_stage("survey", sound_locked=True)])  # fmt: skip
    assert locked
    assert get(cast.student, stage, "score-midi", "order=played").status_code == 404
    assert get(cast.student, stage, "score-timeline", "order=once").status_code == 404


def samples(answer: Any) -> Any:
    assert answer.status_code == 200, answer.content[:200]
    with wave.open(io.BytesIO(answer.content)) as file:
        assert (file.getnchannels(), file.getsampwidth()) == (2, 2)
        data = np.frombuffer(file.readframes(file.getnframes()), dtype="<i2") / 32768
        return data.reshape(-1, 2), file.getframerate()


def test_an_excerpt_is_one_mixed_file(cast: Cast, stage: Stage) -> None:
    whole, rate = samples(get(cast.student, stage, "excerpt", "first=0&last=1"))
    times = get(cast.student, stage, "score-timeline", "order=once").json()["bars"]
    assert 0.01 < float(np.sqrt((whole**2).mean())) < float(np.abs(whole).max()) < 0.95
    assert 0 < len(whole) / rate - times[1]["end"] < 3, "as long as its bars, and what rings"
    slow, _ = samples(get(cast.student, stage, "excerpt", "first=0&last=1&tempo=0.5"))
    assert len(slow) > 1.5 * len(whole)
    mute = ",".join(p["id"] for p in stage.run.copy.outline["parts"])
    nothing, _ = samples(get(cast.student, stage, "excerpt", f"first=0&last=1&silent={mute}"))
    assert float(np.abs(nothing).max()) == 0
    name = get(cast.tutor, stage, "excerpt", "first=0&last=1&only=melody")["Content-Disposition"]
    assert name == 'attachment; filename="bars-1-2.wav"'


def test_an_excerpt_follows_the_locks_and_the_layers(cast: Cast, stage: Stage) -> None:
    assert get(cast.student, stage, "excerpt", "first=0&last=1&only=melody").status_code == 404
    assert get(cast.tutor, stage, "excerpt", "first=0&last=99").status_code == 422
    assert get(cast.tutor, stage, "excerpt", "first=0&last=1&order=played").status_code == 422
    long = get(cast.tutor, stage, "excerpt", "first=0&last=7&tempo=0.25")
    assert (long.status_code, "too long" in long.json()["detail"]) == (422, True)
    publish(stage.course, stage.version, "Mute", stages=[new_stage("survey", sound_locked=True)])
    assert get(cast.student, stage, "excerpt", "first=0&last=1").status_code == 404
