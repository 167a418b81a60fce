"""The tutor's form on a telephone."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse

from tests.browser import inside
from tests.browser.test_stages import staged
from tests.cast import Cast, Stage

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.django_db]

OPEN_ALL = "() => { for (const d of document.querySelectorAll('details')) d.open = true; }"
WIDER = "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"


def test_the_assignment_s_form_is_no_wider_than_the_telephone(
    cast: Cast, stage: Stage, browser: Any, drain_jobs: Any
) -> None:
    """With stages and prompts, folded and with everything unfolded."""
    staged(cast, stage)
    small = {"viewport": {"width": 390, "height": 844}}
    with inside.window(browser, cast.tutor, drain_jobs, **small) as page:
        page.goto(inside.HOST + reverse("assignment", args=[stage.assignment.public_id]))
        assert page.evaluate(WIDER) <= 0
        page.evaluate(OPEN_ALL)
        assert page.evaluate(WIDER) <= 0
