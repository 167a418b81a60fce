"""A plain file server under the site's policy, a page with a player, and Chromium."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from analysis.engine.model import ScoreTable
from analysis.engine.sound import midi_file, perform, soundfont_path, timeline
from analysis.outline import outline_of
from tests.engine.sound.scores import OCTAVE_DOWN, dynamic, note, score
from tests.plain_server import served

HERE = Path(__file__).parent
CSP = (
    "default-src 'self'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; "
    "connect-src 'self'; media-src 'self' blob:; worker-src 'self'; object-src 'none'"
)
PAGE = """<!doctype html><html lang="en"><title>Player</title>
<link rel="stylesheet" href="/static/css/fonts.css">
<link rel="stylesheet" href="/static/css/site.css">
<link rel="stylesheet" href="/static/css/player.css">
<main><h1>Player</h1><section id="player" class="player" aria-label="Sound"></section>
<p id="ready"></p></main><script type="module" src="/page.js"></script></html>"""
CHOICES = [{"key": "role-bass-line", "label": "bass line"}]
CHORD = ("C", "E", "G")


def tutti() -> ScoreTable:
    """Twenty-one parts, fortissimo, six bars: more than one port holds."""
    winds = ["Flauto 1", "Flauto 2", "Oboe 1", "Oboe 2", "Clarinetto in C 1", "Clarinetto in C 2",
             "Fagotto 1", "Fagotto 2", "Corno 1", "Corno 2", "Tromba 1", "Tromba 2",
             "Trombone 1", "Trombone 2", "Trombone 3"]  # fmt: skip
    parts = [
        (name, "", [dynamic("ff") + note(CHORD[i % 3], 4 if i > 5 else 5)] * 6)
        for i, name in enumerate(winds)
    ]
    drum = "<note><unpitched/><duration>8</duration></note>"
    parts.append(("Piatti", "", [drum] * 6))
    parts += [
        (name, "", [dynamic("ff") + note(step, octave)] * 6)
        for name, step, octave in (
            ("Violino I", "G", 5), ("Violino II", "E", 5), ("Viola", "C", 4),
            ("Violoncello", "C", 3),
        )
    ]  # fmt: skip
    parts.append(("Contrabbasso", OCTAVE_DOWN, [dynamic("ff") + note("C", 3)] * 6))
    return score(*parts)


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    """The page's address; every answer carries the site's policy."""
    table = tutti()
    performance = perform(table)
    low = {n for n, note in enumerate(table.notes) if note["part"] == 20}
    heard = perform(table, within=(1, 2), keep=low.__contains__)
    font = soundfont_path()
    assert font is not None
    made = {
        "/": ("text/html", PAGE.encode()),
        "/page.js": ("text/javascript", (HERE / "page.js").read_bytes()),
        "/score.mid": ("audio/midi", midi_file(performance, table)),
        "/timeline.json": ("application/json", json.dumps(timeline(performance, table)).encode()),
        "/outline.json": ("application/json", json.dumps(outline_of(table)).encode()),
        "/choices.json": ("application/json", json.dumps({"choices": CHOICES}).encode()),
        "/heard.mid": ("audio/midi", midi_file(heard, table)),
        "/excerpt.wav": ("audio/wav", b"RIFF"),
        "/soundfont.sf2": ("application/octet-stream", font.read_bytes()),
        "/favicon.ico": ("image/x-icon", b""),
    }

    with served(made, {"Content-Security-Policy": CSP}) as address:
        yield address


@pytest.fixture(scope="module")
def chromium(playwright: Any) -> Iterator[Any]:
    browser = playwright.chromium.launch(
        executable_path=shutil.which("chromium"),
        args=["--no-sandbox", "--disable-gpu", "--no-first-run",
              "--disable-background-networking", "--disable-component-update",
              "--disable-sync", "--autoplay-policy=no-user-gesture-required"],
    )  # fmt: skip
    yield browser
    browser.close()


@pytest.fixture
def page(chromium: Any, address: str) -> Iterator[Any]:
    """A page whose player is loaded; complaints of the browser fail the test."""
    tab = chromium.new_page()
    complaints: list[str] = []
    tab.on("pageerror", lambda error: complaints.append(str(error)))
    tab.on("console", lambda m: complaints.append(m.text) if m.type == "error" else None)
    tab.goto(address)
    tab.get_by_text("ready", exact=True).wait_for(timeout=30_000)
    yield tab
    tab.close()
    assert complaints == []
