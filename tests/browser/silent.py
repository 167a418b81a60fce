"""In the synthesiser's place one that makes no sound and keeps time: for tests of the page.

The real one runs in a worklet, which an in-process window cannot give out; `tests/player` and the
whole story hear it.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

SYNTH = Path(__file__).with_name("silent.js").read_text()


def silence(page: Any) -> None:
    """To be called before the page is opened."""
    made = {"content_type": "text/javascript", "body": SYNTH}
    page.route("**/js/player/synth.js", lambda route: route.fulfill(**made))
