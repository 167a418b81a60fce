"""The whole story, lived by a tutor and a student in real browsers against a real site."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.browser import pieces, story
from tests.browser.people import person

pytestmark = [pytest.mark.browser, pytest.mark.slow]

#: The reply, the flag in its words and in its class, and the sentence under it.
SECRETS = ["Well seen; now listen", "agrees"]


def test_from_sign_up_to_the_thread(site: Any, browser: Any, tmp_path: Path) -> None:
    with (
        person(browser, site.url, "Marta Lind") as tutor,
        person(browser, site.url, "Ida") as student,
    ):
        story.tutor_signs_up(tutor)
        story.tutor_uploads(tutor, pieces.write(tmp_path))
        story.tutor_confirms(tutor)
        story.tutor_reads_the_findings(tutor)
        word = story.tutor_makes_a_course(tutor)
        story.tutor_writes_a_note(tutor)

        story.student_asks_in(student, word)
        story.tutor_says_yes(tutor, student)
        story.tutor_writes_an_assignment(tutor)

        story.student_opens_the_passage(student)
        story.student_follows_the_note(student)
        story.student_listens(student)
        story.student_says_a_sentence(student)
        assert story.student_states(student) <= story.CLAIM_ACTS
        story.student_hands_in(student)

        story.tutor_rules(tutor)
        story.student_sees_nothing_yet(student, SECRETS)
        story.tutor_gives_back(tutor, student)
        story.student_sees_the_answer(student)

        story.student_sends_a_find(student)
        story.tutor_answers_the_find(tutor)
        story.student_reads_the_reply(student)
