"""A tutor attaches a recording with clicks at known seconds and taps it; the score follows it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.browser import pieces, story
from tests.browser.conftest import Site
from tests.browser.people import Person, person
from tests.browser.story import expect
from tests.recorded import clicks

pytestmark = [pytest.mark.browser, pytest.mark.slow]

CLICKS = {0: 1.0, 1: 2.0, 3: 4.0}  # bar 3 of the page (index 2) is left out: worked out at 3.0
#: The machine that plays is kept in sight: where it begins, each bar that the cursor comes to with
#: its second, where it stops.
WATCH = """
window.tapes = [];
const { Audio: Plain } = window;
window.Audio = function (...given) {
  const made = new Plain(...given);
  tapes.push(made);
  made.addEventListener("playing", () => heard.push(made.currentTime));
  return made;
};
window.come = [];
window.heard = [];
new MutationObserver(() => {
  const mark = document.querySelector(".bar-mark.sounding");
  const bar = mark && Number(mark.dataset.bar);
  if (mark && come.at(-1)?.[0] !== bar) come.push([bar, tapes.at(-1)?.currentTime ?? null]);
}).observe(document, { subtree: true, attributes: true, attributeFilter: ["class"] });
"""


def attach(tutor: Person) -> None:
    page = tutor.page
    page.get_by_role("link", name="Attach a recording").click()
    page.get_by_label("Name", exact=True).fill("In spring")
    page.get_by_label("Where the recording comes from").fill("made for this test")
    page.get_by_label("Basis of use").select_option(label="own work")
    page.get_by_label("Country assessed").fill("Utopia")
    page.get_by_label("I am entitled").check()
    file = {"name": "spring.wav", "mimeType": "audio/wav", "buffer": b"<html>no sound</html>"}
    page.get_by_label("File", exact=True).set_input_files(file)
    tutor.press("Attach, then tap the bars")
    expect(page.get_by_text("This is no recording that browsers play.")).to_be_visible()
    expect(page.get_by_label("Name", exact=True)).to_have_value("In spring")
    file["buffer"] = clicks(CLICKS.values(), 40)
    page.get_by_label("File", exact=True).set_input_files(file)
    tutor.press("Attach, then tap the bars")


def tap_at(page: Any, second: float) -> None:
    """The recording stands at a second, and the large button is pressed by key."""
    page.locator("#tap-place").fill(str(second))
    page.wait_for_function("(s) => Math.abs(tapes[0].currentTime - s) < 0.001", arg=second)
    page.locator("#tap").focus()
    page.keyboard.press("Space")


def tap_all(tutor: Person) -> None:
    page = tutor.page
    expect(page.locator("#tap-play")).to_be_enabled()
    for bar in range(4):
        expect(page.locator("#tap-next")).to_have_text(f"bar {bar + 1}")
        if bar in CLICKS:
            tap_at(page, CLICKS[bar])
        else:
            tutor.press("Leave this bar out")
    page.get_by_role("button", name="Play", exact=True).click()
    page.wait_for_function("() => tapes[0].currentTime > 4 && !tapes[0].paused")
    page.keyboard.press("Space")  # focus is on Pause; while it plays, the space bar taps
    expect(page.locator("#tap-counts")).to_contain_text("4 of 8 bars tapped, 1 worked out")
    tutor.press("Undo the last tap")
    expect(page.locator("#tap-next")).to_have_text("bar 5")
    expect(page.locator("#tap-saved")).to_have_text("Kept.")
    page.reload()
    expect(page.locator("#tap-counts")).to_have_text("3 of 8 bars tapped, 1 worked out.")
    page.get_by_text("The bars and their times").click()
    expect(page.get_by_role("row").filter(has_text="worked out")).to_contain_text("3.00 s")
    no_barrier(page)
    tutor.press("Let the score follow")
    expect(page.get_by_text("The score follows the recording.")).to_be_visible()


def no_barrier(page: Any) -> None:
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page).response
    assert len(found["passes"]) > 20, "the checker looked at the page"
    assert [v["id"] for v in found["violations"]] == []
    sideways = "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"
    page.set_viewport_size({"width": 390, "height": 844})
    assert page.evaluate(sideways) <= 0
    page.set_viewport_size({"width": 1440, "height": 900})


def play_two_bars(page: Any, layout: str) -> None:
    """Bars 2 to 3 of the page once, by the button: they and no others, in their own time."""
    page.get_by_label("Set", exact=True).select_option(label=layout)
    page.locator(".bar-mark[data-bar='2']").wait_for()
    page.evaluate("() => { come.length = heard.length = 0; }")
    page.get_by_role("button", name="Play the selected bars").click()
    page.wait_for_function("() => come.length >= 2")
    expect(page.get_by_role("button", name="Play", exact=True)).to_be_visible()
    come, heard = page.evaluate("() => [come, heard]")
    assert [bar for bar, _at in come] == [1, 2], layout
    assert 2.0 <= heard[0] < 3.0 <= come[1][1] < 4.0, layout
    assert page.evaluate("() => tapes.at(-1).currentTime") > 3.98, layout


def test_tapped_once_the_score_follows_the_recording(
    embedded: Site, browser: Any, tmp_path: Path
) -> None:
    with person(browser, embedded.url, "Rita Recorder", reduced_motion="reduce") as tutor:
        page = tutor.page
        page.add_init_script(WATCH)
        story.tutor_signs_up(tutor)
        story.tutor_uploads(tutor, pieces.write(tmp_path))
        story.tutor_confirms(tutor)
        attach(tutor)
        tap_all(tutor)
        tutor.press("Listen")
        tutor.press("Stop")
        heard = page.get_by_role("combobox", name="Sound", exact=True)
        heard.select_option(label="Recording: In spring")
        expect(page.get_by_text("nobody can be left out")).to_be_visible()
        download = page.get_by_role("button", name="Download these bars")
        expect(download).to_be_disabled()
        story.choose_bars(page, 2, 3)
        for layout in ("in pages", "in one line"):
            play_two_bars(page, layout)
        heard.select_option(label="Synthesiser")
        expect(download).to_be_enabled()
