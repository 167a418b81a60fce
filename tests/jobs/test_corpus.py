"""Six scores of the corpora, evenly spread, from upload to ready (`make corpus` takes all)."""

from __future__ import annotations

import pytest
from django.contrib.auth import get_user_model

from tests.corpora import require_corpora, score_files
from tests.corpus import take_through


@pytest.mark.corpora
@pytest.mark.slow
@pytest.mark.django_db
@pytest.mark.parametrize("number", range(6))
def test_a_real_score_gets_ready(number: int) -> None:
    require_corpora()
    paths = score_files()
    path = paths[number * len(paths) // 6]
    tutor = get_user_model().objects.create_user(username="tutor", is_tutor=True)
    outcome = take_through(path, tutor)
    assert outcome.state == "ready", outcome.row()
    assert outcome.findings > 0
