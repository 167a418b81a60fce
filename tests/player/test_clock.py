"""What is heard by the clock of the synthesiser's thread: the mechanism, with made-up times."""

from __future__ import annotations

from typing import Any

import pytest

pytestmark = [pytest.mark.browser, pytest.mark.slow]

#: The context's clock is 0.3 s ahead of the thread's; messages come 0 to 40 ms late; sound leaves
#: the machine 80 ms after it was rendered, which the browser tells.
TOLD = """async () => {
  const { SoundClock, heardBy } = await import("/static/js/player/clock.js");
  const context = { currentTime: 0, getOutputTimestamp() {
    return { contextTime: this.currentTime - 0.08, performanceTime: performance.now() }; } };
  const clock = new SoundClock(context);
  for (const [sent, late] of [[1, 0.04], [1.2, 0.012], [1.4, 0], [1.6, 0.03], [1.8, 0.025]]) {
    context.currentTime = sent + 0.3 + late;
    clock.told(sent);
  }
  context.currentTime = 3;
  const out = { rendered: clock.rendered, heard: clock.heard };
  // The thread was held up: half a second more between the two, seen again and again.
  for (const sent of [3, 4, 5, 6]) { context.currentTime = sent + 0.8; clock.told(sent); }
  out.later = clock.rendered;
  const stamp = { contextTime: 0, performanceTime: 0 };
  out.bySum = heardBy({ currentTime: 5, outputLatency: 0.05, getOutputTimestamp: () => stamp });
  out.untold = heardBy({ currentTime: 5 });
  return out;
}"""


def test_late_messages_and_the_way_to_the_ear_are_counted(chromium: Any, address: str) -> None:
    tab = chromium.new_page()
    tab.goto(address)
    found = tab.evaluate(TOLD)
    tab.close()
    assert found["rendered"] == pytest.approx(2.7), "the promptest message is believed"
    assert found["heard"] == pytest.approx(2.62, abs=0.02)
    assert found["later"] == pytest.approx(6.0), "what is long past is forgotten"
    assert found["bySum"] == pytest.approx(4.95)
    assert found["untold"] == 5


def test_the_player_is_heard_after_it_is_rendered_and_never_before_its_beginning(page: Any) -> None:
    page.evaluate("() => { player.seekBar(1); return player.play(); }")
    page.wait_for_function("() => player.time > player.timeline.bars[1].start + 0.3")
    rendered, heard, begun = page.evaluate(
        "() => [player.time, player.heard, player.timeline.bars[1].start]"
    )
    assert begun <= heard <= rendered + 0.05
    page.evaluate("() => player.pause()")
    assert page.evaluate("() => player.heard === player.time")
