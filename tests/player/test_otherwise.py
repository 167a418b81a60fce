"""Families, choices by the reading, click and count-in, in a real browser."""

from __future__ import annotations

from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
from playwright.sync_api import expect

from tests.player.test_player import RING_OUT, SILENCE, measured, settle

pytestmark = [pytest.mark.browser, pytest.mark.slow]

HEARD = "() => player.timeline.parts.filter((p) => player.isHeard(p.id)).map((p) => p.label)"
STRINGS = {"Violino I", "Violino II", "Viola", "Violoncello", "Contrabbasso"}
BEAT = 60 / 92  # s; the page gives no tempo: the player's default


def test_a_family_alone_and_everything_but_a_section(page: Any) -> None:
    page.get_by_text("Who is heard").click()
    only = page.get_by_role("button", name="Only the strings")
    only.press("Enter")
    expect(only).to_have_attribute("aria-pressed", "true")
    assert set(page.evaluate(HEARD)) == STRINGS
    page.get_by_role("button", name="Leave out the violins").press("Enter")
    assert set(page.evaluate(HEARD)) == STRINGS - {"Violino I", "Violino II"}
    page.get_by_role("button", name="Hear all").press("Enter")
    page.get_by_role("button", name="Leave out the violins").press("Enter")
    assert len(page.evaluate(HEARD)) == 19
    page.get_by_role("button", name="Leave out the violins").press("Enter")
    assert len(page.evaluate(HEARD)) == 21


def test_a_choice_of_the_reading_is_heard_and_let_go(page: Any) -> None:
    choice = page.get_by_role("combobox", name="In these bars hear")
    choice.select_option("only bass line")
    page.get_by_role("button", name="Play the selected bars").click()
    settle(page)
    assert measured(page)["rms"] > SILENCE
    # everybody who still plays is the one bass: without its part nothing sounds
    page.evaluate("() => player.mute('P21')")
    settle(page, RING_OUT)
    page.get_by_role("button", name="Play the selected bars").click()
    settle(page)
    assert measured(page)["rms"] < SILENCE
    choice.select_option("everybody")
    page.get_by_role("button", name="Play the selected bars").click()
    settle(page)
    assert measured(page)["rms"] > SILENCE


def test_one_bar_is_counted_in_and_again_at_every_return(page: Any) -> None:
    page.evaluate("() => { for (const p of player.timeline.parts) player.mute(p.id); }")
    page.get_by_role("checkbox", name="Count in one bar").check()
    waited = page.evaluate(
        "async () => { player.tempo = 1.2; const asked = player.context.currentTime; "
        "await player.playBars(1, 1, { loop: true }); return player.context.currentTime - asked; }"
    )
    counts = page.evaluate("() => counts")
    assert [(c["beat"], c["of"]) for c in counts] == [(1, 4), (2, 4), (3, 4), (4, 4)]
    # on the sound's own clock: never before four beats, and not much later on a busy machine
    assert 4 * BEAT / 1.2 <= waited < 4 * BEAT / 1.2 + 2
    page.wait_for_function("() => counts.length >= 8", timeout=60_000)
    assert page.evaluate("() => player.playing") is True
    assert {t["bar"] for t in page.evaluate("() => ticks.filter((t) => t.playing)")} == {1}


def test_a_count_in_can_be_stopped(page: Any) -> None:
    page.evaluate("() => { player.countIn = true; player.playBars(2, 3); }")
    page.wait_for_function("() => counts.length >= 2", timeout=60_000)
    page.get_by_role("button", name="Pause").click()
    settle(page, RING_OUT)
    assert page.evaluate("() => [player.playing, player.barAt(player.time).index]") == [False, 2]
    assert measured(page)["rms"] < SILENCE


def test_the_click_sounds_alone_and_can_be_silenced(page: Any) -> None:
    page.evaluate("() => { for (const p of player.timeline.parts) player.mute(p.id); }")
    click = page.get_by_role("checkbox", name="Click on the beats")
    page.get_by_role("slider", name="Tempo").press("m")
    expect(click).to_be_checked()
    page.evaluate("() => player.play()")
    assert measured(page, 2000)["rms"] > SILENCE
    click.uncheck()
    settle(page)
    assert measured(page)["rms"] < SILENCE


def test_the_bars_are_taken_away_as_they_are_heard(page: Any) -> None:
    page.evaluate("() => { player.mute('P1'); player.tempo = 0.5; }")
    with page.expect_request("**/excerpt.wav?*") as asked, page.expect_download() as taken:
        page.get_by_role("button", name="Download these bars").press("Enter")
    query = parse_qs(urlsplit(asked.value.url).query)
    wanted = {"first": ["1"], "last": ["2"], "silent": ["P1"], "tempo": ["0.5"]}
    assert wanted.items() <= query.items()
    assert taken.value.suggested_filename == "bars.wav"
    expect(page.get_by_text("among your downloads")).to_be_visible()


@pytest.mark.parametrize(
    ("time", "length", "implicit", "expected"),
    [
        ("4/4", 4, False, [0, 1, 2, 3]),
        ("6/8", 3, False, [0, 1.5]),
        ("3/8", 1.5, False, [0, 0.5, 1]),
        ("4/4", 1, True, [3]),  # an upbeat of one: the fourth beat, right before the bar line
        ("0/4", 4, False, []),  # without metre there is nothing to count
    ],
)
def test_beats_of_a_bar(
    page: Any, time: str, length: float, implicit: bool, expected: list[float]
) -> None:
    """Beats in quarters from where the whole bar would begin (elementary theory)."""
    full = {"4/4": 4, "6/8": 3, "3/8": 1.5, "0/4": 4}[time]
    bars = [{"index": 0, "start": 0, "end": length},
            {"index": 1, "start": length, "end": length + full}]  # fmt: skip
    outline = [{"time": time, "implicit": implicit}, {"time": time, "implicit": False}]
    found = page.evaluate("([b, o]) => beatsOf({ bars: b }, o)[0]", [bars, outline])
    missing = full - length
    assert found["beats"] == pytest.approx([beat - missing for beat in expected])
