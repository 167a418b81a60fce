"""The weights of the reading page: what its script and a drawn page may cost."""

from __future__ import annotations

from tests.bench import reading


def test_the_script_is_light_and_whole() -> None:
    names = {path.name for path in reading.scripts()}
    assert {"read.js", "viewer.js", "rails.js", "layers.js", "statements.js", "player.js"} <= names
    assert 20_000 < reading.script_weight() <= reading.LIMITS["script"]
