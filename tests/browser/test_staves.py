"""On which staves one sees the music: as a player's part. What lights is the same on all."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.urls import reverse

from analysis.storage import computed_findings
from tests.browser import inside
from tests.browser.story import expect
from tests.cast import Cast, Stage

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.django_db]

SHOWN = """() => [...document.querySelectorAll("#score g[data-bar]")]
  .map((g) => [g.dataset.bar, g.dataset.last ?? g.dataset.bar].map(Number))"""
NOTES = """() => [...new Set([...document.querySelectorAll("#score g.note[data-id]")]
  .map((n) => n.dataset.id))].sort()"""
LIGHT = """(ids) => { document.getElementById("score")
    .dispatchEvent(new CustomEvent("score:show", { detail: { ids } }));
  const lit = [...document.querySelectorAll("#score .lit")].map((n) => n.dataset.id);
  return [...new Set(lit)].sort(); }"""


@pytest.fixture
def page(cast: Cast, stage: Stage, browser: Any, drain_jobs: Callable[[], int]) -> Iterator[Any]:
    with inside.window(browser, cast.tutor, drain_jobs) as window:
        window.goto(inside.HOST + reverse("score", args=[stage.score.public_id]))
        window.locator("#score .score-page svg").first.wait_for()
        yield window


def test_one_part_as_its_player_has_it(page: Any) -> None:
    """The flute of the serenade plays in bars 1-4 alone: bars 5-8 are one rest of four."""
    page.locator("#staves-view").select_option("part")
    page.locator("#own-part").select_option(label="Flauto")
    expect(page.locator(".editorial")).to_contain_text("Flauto as its player has it")
    rest = page.locator(".bar-mark[data-bar='4']")
    expect(rest).to_have_text("5–8")
    assert page.evaluate(SHOWN) == [[0, 0], [1, 1], [2, 2], [3, 3], [4, 7]]
    rest.click()
    expect(page.locator("#score .chosen")).to_have_count(1)
    page.locator("#go-bar").fill("7")
    page.locator("#go-bar").press("Enter")
    expect(rest).to_be_focused()
    page.reload()
    expect(page.locator(".bar-mark[data-bar='4']")).to_have_text("5–8")
    page.get_by_role("button", name="As printed").click()
    expect(page.locator("#score g[data-bar='0'] > g[data-part]")).to_have_count(5)
    expect(page.locator(".editorial")).to_be_hidden()


def test_what_lights_is_the_same_on_all_staves(page: Any, stage: Stage) -> None:
    """Findings light their notes, each view all of those it shows and no other."""
    printed = page.evaluate(NOTES)
    findings = [f for f in computed_findings(stage.run) if any(e.ids for e in f.evidence)]
    some = findings[:: max(1, len(findings) // 12)]
    wanted = [sorted({i for e in f.evidence for i in e.ids}) for f in some]
    assert wanted
    for choice in ("players", "pairs", "part"):
        page.locator("#staves-view").select_option(choice)
        expect(page.locator(".editorial")).to_contain_text("set by us")
        page.locator("#score .score-page svg").first.wait_for()
        shown = page.evaluate(NOTES)
        if choice != "part":
            assert shown == printed
        for ids in wanted:
            assert page.evaluate(LIGHT, ids) == [i for i in ids if i in shown]
