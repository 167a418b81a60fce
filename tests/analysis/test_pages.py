"""The tutor's pages on a reading: test notes of a part, findings of a selection."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from analysis.views.parts import _sounding
from courses.models import PartsRevision
from courses.services.parts import latest_revision
from tests.cast import Cast, Stage
from tests.rewrite import rewrite

CHROMA = (0, 2, 4, 5, 7, 9, 11)


def _sample(step: int, alter: int, octave: int) -> dict[str, int]:
    return {"step": step, "alter": alter, "octave": octave,
            "midi": 12 * (octave + 1) + CHROMA[step] + alter}  # fmt: skip


@pytest.mark.parametrize(
    ("written", "part", "sounds"),
    [
        # Unchanged in a part in C: a sharp is never respelled as a flat.
        ((5, 1, 4), {"transposition": 0, "diatonic": 0}, "A#4"),
        ((4, 1, 4), {"transposition": -12, "diatonic": -7}, "G#3"),
        # Intervals of MusicXML's own <transpose> examples: clarinet in A -3/-2, in Bb -2/-1,
        # horn in F -7/-4 (MusicXML 4.0, element transpose).
        ((0, 0, 5), {"transposition": -3, "diatonic": -2}, "A4"),
        ((5, 1, 4), {"transposition": -3, "diatonic": -2}, "F##4"),
        ((0, 0, 4), {"transposition": -2, "diatonic": -1}, "Bb3"),
        ((3, 1, 4), {"transposition": -2, "diatonic": -1}, "E4"),
        ((1, 0, 4), {"transposition": -7, "diatonic": -4}, "G3"),
        # The tutor changed the semitones alone: the common interval of so many.
        ((0, 0, 5), {"transposition": -9, "diatonic": -4}, "Eb4"),
        ((0, 0, 5), {"transposition": 3, "diatonic": 0}, "Eb5"),
    ],
)
def test_a_written_note_moves_by_the_parts_own_interval(
    written: tuple[int, int, int], part: dict[str, Any], sounds: str
) -> None:
    assert _sounding(_sample(*written), part) == sounds


@pytest.mark.parametrize(
    ("players", "said"), [([2], "player 2"), ([1, 2], "players 1, 2"), ([], "section")]
)
def test_a_part_says_which_player_it_is_not_how_many(
    cast: Cast, stage: Stage, client: Client, players: list[int], said: str
) -> None:
    revision = latest_revision(stage.version)
    assert revision is not None
    rewrite(
        PartsRevision.objects.filter(pk=revision.pk),
        parts=[{**part, "players": players} for part in revision.parts],
    )
    client.force_login(cast.tutor)
    page = client.get(reverse("parts", args=[stage.score.public_id])).content.decode()
    assert f"<td>{said}</td>" in page
