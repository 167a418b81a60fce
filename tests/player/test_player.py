"""The player in a real browser, under the site's policy, measured with an AnalyserNode."""

from __future__ import annotations

from itertools import pairwise
from statistics import median
from typing import Any

import pytest
from playwright.sync_api import expect

pytestmark = [pytest.mark.browser, pytest.mark.slow]

SILENCE = 1e-4
STRINGS = ["P17", "P18", "P19", "P20", "P21"]


def measured(page: Any, ms: int = 900) -> dict[str, float]:
    return page.evaluate("(ms) => measure(ms)", ms)  # type: ignore[no-any-return]


def settle(page: Any, ms: int = 350) -> None:
    page.wait_for_timeout(ms)


RING_OUT = 2500  # ms: the synthesiser's hall after the last note


def test_nothing_sounds_by_itself(page: Any) -> None:
    assert measured(page)["rms"] < SILENCE
    assert page.evaluate("() => player.playing") is False


def test_a_tutti_sounds_and_does_not_clip(page: Any) -> None:
    page.get_by_role("button", name="Play", exact=True).click()
    settle(page)
    found = measured(page, 2500)
    assert found["rms"] > 0.02
    assert found["peak"] < 1.0
    page.get_by_role("button", name="Pause").click()
    settle(page, RING_OUT)
    assert measured(page)["rms"] < SILENCE


def test_leaving_parts_out_is_quieter_and_all_out_is_silent(page: Any) -> None:
    page.evaluate("() => player.play()")
    settle(page)
    everybody = measured(page)["rms"]
    page.evaluate("(ids) => { for (const id of ids) player.mute(id); }", STRINGS)
    settle(page)
    fewer = measured(page)["rms"]
    page.evaluate("() => { for (const part of player.timeline.parts) player.mute(part.id); }")
    settle(page, RING_OUT)
    nobody = measured(page)["rms"]
    assert SILENCE < fewer < everybody
    assert nobody < SILENCE


@pytest.mark.parametrize("part", ["P1", "P9", "P10", "P16", "P17", "P21"])
def test_every_port_has_parts_that_can_be_heard_alone(page: Any, part: str) -> None:
    # P10 lies beyond the drum channel, P16 is a drum, P17 and P21 on the second port.
    page.evaluate("async (id) => { player.solo(id); await player.play(); }", part)
    settle(page)
    alone = measured(page)["rms"]
    assert alone > SILENCE
    page.evaluate(
        "(id) => { player.solo(null); for (const p of player.timeline.parts) player.mute(p.id); }",
        part,
    )
    settle(page, RING_OUT)
    assert measured(page)["rms"] < SILENCE


def test_channels_lie_on_two_ports(page: Any) -> None:
    numbers = page.evaluate("() => player.timeline.parts.flatMap((p) => p.channels)")
    assert len(set(numbers)) == 21
    assert max(numbers) >= 16


def test_bars_play_once_and_stop(page: Any) -> None:
    page.evaluate("() => { player.tempo = 1.2; ticks.length = 0; return player.playBars(1, 1); }")
    page.wait_for_timeout(3500)
    heard = page.evaluate("() => ticks.filter((t) => t.playing).map((t) => t.bar)")
    assert set(heard) == {1}
    assert page.evaluate("() => player.playing") is False


def test_a_passage_goes_round_and_round(page: Any) -> None:
    page.evaluate("() => { player.tempo = 1.2; return player.playBars(2, 2, { loop: true }); }")
    page.wait_for_timeout(4500)
    found = page.evaluate(
        "() => ({ playing: player.playing, bar: player.barAt(player.time).index })"
    )
    assert found == {"playing": True, "bar": 2}
    times = page.evaluate("() => ticks.filter((t) => t.playing).map((t) => t.time)")
    assert any(later < earlier - 0.5 for earlier, later in pairwise(times))
    assert measured(page)["rms"] > SILENCE


LATE_PAUSES = """(() => {
  const own = Object.getOwnPropertyDescriptor(MessagePort.prototype, "onmessage");
  const late = (data) => data?.type === "sequencerReturn" && data.data.type === "pause";
  Object.defineProperty(MessagePort.prototype, "onmessage", { ...own, set(hear) {
    own.set.call(this, (event) => {
      if (!late(event.data)) return hear(event);
      setTimeout(() => { hear(event); window.late = (window.late ?? 0) + 1; }, 500);
    });
  } });
})()"""
BEGIN = """async (f) => {
  player.tempo = f;
  player.seek(0);
  await player.play();
  const wait = () => new Promise((done) => setTimeout(done, 100));
  const deadline = performance.now() + 20000;
  while (player.time < 0.2 && performance.now() < deadline) await wait();
}"""
READ = """async () => {
  const readings = [];
  while (readings.length < 25) {
    readings.push([player.context.currentTime, player.time]);
    await new Promise((done) => setTimeout(done, 100));
  }
  return readings;
}"""


def went(page: Any) -> float:
    """How fast the player's place goes by the sound's own clock: the median step.

    On a busy machine sound falls behind the wall clock, and the synthesiser's thread begins late
    and tells it late.
    """
    steps = [
        (place[1] - before[1]) / (place[0] - before[0])
        for before, place in pairwise(page.evaluate(READ))
        if place[0] > before[0]
    ]
    assert len(steps) >= 5
    return float(median(steps))


@pytest.mark.parametrize("factor", [1.0, 0.5])
def test_the_tempo_changes_how_fast_time_goes(page: Any, factor: float) -> None:
    page.evaluate(BEGIN, factor)
    assert went(page) == pytest.approx(factor, abs=0.1)


def test_a_pause_confirmed_late_does_not_stop_the_clock(chromium: Any, address: str) -> None:
    tab = chromium.new_page()
    tab.add_init_script(LATE_PAUSES)
    tab.goto(address)
    tab.get_by_text("ready", exact=True).wait_for(timeout=30_000)
    tab.evaluate(BEGIN, 0.5)
    tab.evaluate("async () => { window.late = 0; player.pause(); await player.play(); }")
    tab.wait_for_function("() => window.late > 0")
    rate = went(tab)
    tab.close()
    assert rate == pytest.approx(0.5, abs=0.1)


def test_seeking_to_a_bar(page: Any) -> None:
    page.evaluate("() => { ticks.length = 0; player.seekBar(4); return player.play(); }")
    settle(page)
    heard = page.evaluate("() => ticks.filter((t) => t.playing).map((t) => t.bar)")
    assert heard[0] == 4
    assert set(heard) <= {4, 5}
    assert measured(page)["rms"] > SILENCE


def test_parts_of_a_note_sound_for_that_playing_only(page: Any) -> None:
    page.evaluate("() => player.playBars(0, 5, { parts: ['P21'] })")
    settle(page)
    bass = measured(page)["rms"]
    assert page.evaluate("() => [player.isHeard('P21'), player.isHeard('P1')]") == [True, False]
    page.evaluate("() => { player.stop(); return player.play(); }")
    settle(page)
    assert page.evaluate("() => player.isHeard('P1')") is True
    assert measured(page)["rms"] > bass


def test_controls_by_word_and_by_keyboard(page: Any) -> None:
    play = page.get_by_role("button", name="Play", exact=True)
    play.focus()
    page.keyboard.press("Space")
    expect(page.get_by_role("button", name="Pause")).to_be_visible()
    page.get_by_role("slider", name="Tempo").focus()
    page.keyboard.press("Space")  # not on a button: the player's own key
    expect(page.get_by_role("button", name="Play", exact=True)).to_be_visible()
    page.keyboard.press("ArrowLeft")
    expect(page.get_by_role("slider", name="Tempo")).to_have_attribute(
        "aria-valuetext", "95 % of the tempo"
    )
    page.get_by_text("Who is heard").click()
    page.get_by_role("checkbox", name="Violino II").uncheck()
    assert page.evaluate("() => player.isHeard('P18')") is False
    only = page.get_by_role("button", name="Only this: Violino II")
    only.click()
    expect(only).to_have_attribute("aria-pressed", "true")
    assert page.evaluate("() => [player.isHeard('P18'), player.isHeard('P1')]") == [True, False]
    page.get_by_role("button", name="Hear all").click()
    expect(page.get_by_role("checkbox", name="Violino II")).to_be_checked()
    assert page.evaluate("() => player.isHeard('P1')") is True


def test_the_bar_is_said_politely_and_can_be_silenced(page: Any) -> None:
    page.evaluate("() => player.play()")
    region = page.locator("[aria-live=polite]")
    expect(region).to_contain_text("Bar 1")
    page.get_by_role("checkbox", name="Say the bars").uncheck()
    expect(region).to_be_empty()


def test_the_selected_bars_are_played(page: Any) -> None:
    page.get_by_role("button", name="Play the selected bars").click()
    settle(page)
    assert page.evaluate("() => player.barAt(player.time).index") in (1, 2)


def test_single_notes_sound(page: Any) -> None:
    page.evaluate(
        "async () => { const p = await Player.forNotes('/soundfont.sf2'); "
        "const m = new AnalyserNode(p.context, { fftSize: 4096 }); p.output.connect(m); "
        "window.noteMeter = m; await p.note(60, 60, 1.5); }"
    )
    settle(page)
    loud = page.evaluate(
        "() => { const f = new Float32Array(4096); noteMeter.getFloatTimeDomainData(f); "
        "return Math.sqrt(f.reduce((s, x) => s + x * x, 0) / f.length); }"
    )
    assert loud > SILENCE


def test_the_text_faces_load(page: Any) -> None:
    for face in ("Source Serif 4", "Source Sans 3"):
        for weight in (400, 600):
            # Latin and, with a letter of Czech, the extended set.
            found = page.evaluate(
                "async (f) => (await document.fonts.load(f, 'aě')).map((x) => x.status)",
                f"{weight} 16px '{face}'",
            )
            assert found == ["loaded", "loaded"], (face, weight)


def test_no_rule_of_accessibility_is_broken(page: Any) -> None:
    from axe_playwright_python import sync_playwright as axe

    page.get_by_text("Who is heard").click()
    found = axe.Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
