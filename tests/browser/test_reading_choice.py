"""Choosing what one sees: layers, a single note, families, parts that rest. The tutor's page."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.urls import reverse

from analysis.engine.layering import LAYERS, marks
from analysis.storage import computed_findings, table_of
from tests.browser import inside, story
from tests.browser.story import expect
from tests.cast import Cast, Stage

SEVERE = {"serious", "critical"}
pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.django_db]

LIT = """(layer) => [...document.querySelectorAll(`#score [data-layers~="${layer}"]`)]
  .map((note) => note.dataset.id).sort()"""
#: A band that does not cover the staff of one of its notes, or a word outside the page.
ASTRAY = """() => [...document.querySelectorAll("#score .lay-melody")].filter((band) => {
  const box = band.getBoundingClientRect();
  const notes = [...document.querySelectorAll('#score [data-layers~="melody"] .notehead')];
  return !notes.some((n) => { const at = n.getBoundingClientRect();
    return at.left >= box.left - 1 && at.right <= box.right + 1; });
}).length"""

#: Words of layers that lie on a notehead.
ON_NOTES = """() => {
  const box = (e) => e.getBoundingClientRect();
  const heads = [...document.querySelectorAll("#score .notehead")].map(box);
  const meet = (a, b) => a.left < b.right - 0.5 && a.right > b.left + 0.5
    && a.top < b.bottom - 0.5 && a.bottom > b.top + 0.5;
  const words = [...document.querySelectorAll("#score .lay-word")];
  return words.map((word) => [word.textContent, box(word)])
    .filter(([, at]) => heads.some((head) => meet(head, at))).map(([text]) => text);
}"""


@pytest.fixture
def page(cast: Cast, stage: Stage, browser: Any, drain_jobs: Callable[[], int]) -> Iterator[Any]:
    with inside.window(browser, cast.tutor, drain_jobs) as window:
        window.goto(inside.HOST + reverse("score", args=[stage.score.public_id]))
        window.locator("#score .score-page svg").first.wait_for()
        yield window


def test_layers_light_the_notes_of_their_findings(page: Any, stage: Stage) -> None:
    from axe_playwright_python.sync_playwright import Axe

    page.get_by_text("Layers", exact=True).click()
    expect(page.locator("#layers li")).to_have_count(len(LAYERS))
    table, findings = table_of(stage.run), computed_findings(stage.run)
    for number, layer in enumerate(LAYERS, 1):
        page.keyboard.press(str(number))
        expect(page.locator(f"#layers [value={layer}]")).to_be_checked()
        wanted = sorted({i for m in marks(table, findings, [layer], 0, 7) for i in m.ids})
        page.wait_for_function(
            "([layer, count]) => document.querySelectorAll("
            "`#score [data-layers~=${layer}]`).length === count",
            arg=[layer, len(wanted)],
        )
        assert page.evaluate(LIT, layer) == wanted
        for size in ("+", "-", "-", "+"):
            assert page.evaluate(ON_NOTES) == []
            page.keyboard.press(size)
        if layer == "melody":
            expect(page.locator("#score .lay-word").first).to_have_text("melody")
            assert page.evaluate(ASTRAY) == 0
            found = Axe().run(page).response
            assert [v["id"] for v in found["violations"] if v["impact"] in SEVERE] == []
        page.keyboard.press(str(number))
        expect(page.locator("#score .lay")).to_have_count(0)


def test_what_a_note_sounds_by_keyboard_and_pointer(page: Any) -> None:
    page.keyboard.press("w")
    told = page.locator(".note-told")
    expect(told).to_contain_text("Flauto")
    page.keyboard.press("ArrowDown")
    expect(told).to_contain_text("Corno in Mi♭")
    expect(told).to_contain_text("sounds E flat 4, a major sixth lower")
    expect(told).to_contain_text("open tone, partial 8 of the crook")
    page.keyboard.press("ArrowRight")
    expect(told).to_contain_text("written G 4")
    page.keyboard.press("Escape")
    expect(told).to_be_hidden()
    page.get_by_role("button", name="What does this note sound?").click()
    page.locator('#score [data-id="n4-0-1"] .notehead').click()
    expect(told).to_contain_text("Contrabbasso")
    expect(told).to_contain_text("sounds B 1, an octave lower")
    assert page.evaluate("() => document.querySelectorAll('.bar-mark.on').length") == 0


def test_families_and_parts_that_rest(page: Any) -> None:
    shown = page.locator("#score g[data-bar='0'] > g[data-part]")
    expect(shown).to_have_count(5)
    page.get_by_text("Parts", exact=True).first.click()
    page.get_by_role("button", name="Untick all").click()
    page.get_by_role("button", name="strings", exact=True).click()
    page.get_by_role("button", name="Show these").click()
    expect(shown).to_have_count(3)
    page.get_by_role("button", name="All parts").click()
    expect(shown).to_have_count(5)
    # The flute rests in bars 5-8: with these chosen it is left out, and comes back.
    story.choose_bars(page, 5, 8)
    page.get_by_label("leave out parts that rest").check()
    shown = page.locator("#score g[data-bar='4'] > g[data-part]")
    expect(shown).to_have_count(4)
    expect(page.locator("#score g[data-bar='0']")).to_have_count(0)
    page.get_by_label("leave out parts that rest").uncheck()
    expect(shown).to_have_count(5)
    expect(page.locator("#score g[data-bar='0']")).to_have_count(1)
