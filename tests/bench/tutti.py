"""``python -m tests.bench.tutti``: whether a tutti of twenty parts drops out or clips.

Twenty parts, fortissimo, each with quavers of its own pitch, for a minute. A dropout: rendering was
held up for longer than the browser has sound in hand (its own output latency), seen on its clock
against the machine's. A worklet at the end of the sound sees the loudest sample. `--hold MS` holds
the sound's thread up once, to see that the bench sees it. Exit code: 0 where nothing drops out or
clips, 1 not.
"""

from __future__ import annotations

import argparse
import json
import platform
import shutil
import sys
from typing import Any

from analysis.engine.reader import read
from analysis.engine.sound import midi_file, perform, soundfont_path, timeline
from tests.bench.cursor import HERE, PARTS
from tests.plain_server import served

PAGE = """<!doctype html><html lang="en"><title>Tutti</title>
<script type="module" src="/tutti.js"></script></html>"""
BAR = 2.0  # s


def piece(bars: int) -> bytes:
    """Every part quavers of one pitch, fortissimo, 120 crotchets a minute."""
    head = ("<attributes><divisions>2</divisions>"
            "<time><beats>4</beats><beat-type>4</beat-type></time></attributes>"
            '<direction><direction-type><words>Allegro</words></direction-type><sound tempo="120"/>'
            "</direction><direction><direction-type><dynamics><ff/></dynamics></direction-type>"
            "</direction>")  # fmt: skip
    heads, bodies = "", ""
    for n, name in enumerate((*PARTS, "Tuba"), 1):
        heads += f'<score-part id="P{n}"><part-name>{name}</part-name></score-part>'
        octave = 5 if n < 7 else 3 + n % 2
        pitch = f"<pitch><step>{'CEG'[n % 3]}</step><octave>{octave}</octave></pitch>"
        sound = "<unpitched/>" if n == 1 else pitch
        inside = f"<note>{sound}<duration>1</duration></note>" * 8
        measures = "".join(
            f'<measure number="{bar}">{head if bar == 1 else ""}{inside}</measure>'
            for bar in range(1, bars + 1)
        )
        bodies += f'<part id="P{n}">{measures}</part>'
    text = f'<score-partwise version="4.0"><part-list>{heads}</part-list>{bodies}</score-partwise>'
    return text.encode()


def measured(bars: int, hold: int = 0) -> dict[str, Any]:
    from playwright.sync_api import sync_playwright

    table = read(piece(bars))
    performance = perform(table)
    font = soundfont_path()
    assert font is not None, "pretty_midi is not installed: no soundfont"
    pages = {
        "/": ("text/html", PAGE.encode()),
        "/tutti.js": ("text/javascript", (HERE / "tutti.js").read_bytes()),
        "/blocks.js": ("text/javascript", (HERE / "blocks.js").read_bytes()),
        "/timeline.json": ("application/json", json.dumps(timeline(performance, table)).encode()),
        "/score.mid": ("audio/midi", midi_file(performance, table)),
        "/soundfont.sf2": ("application/octet-stream", font.read_bytes()),
        "/favicon.ico": ("image/x-icon", b""),
    }  # fmt: skip
    with served(pages) as address, sync_playwright() as driver:
        browser = driver.chromium.launch(
            executable_path=shutil.which("chromium"),
            args=["--no-sandbox", "--disable-gpu",
                  "--autoplay-policy=no-user-gesture-required"],
        )  # fmt: skip
        page = browser.new_page()
        page.add_init_script(f"window.hold = {hold}")
        page.goto(address)
        page.wait_for_function("() => window.told", timeout=(bars * BAR + 120) * 1000)
        found: dict[str, Any] = page.evaluate("() => window.told")
        browser.close()
    return {"parts": len(performance.voices), "strokes": len(performance.strokes), **found}


def main(argv: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0] if __doc__ else "")
    parser.add_argument("--minutes", type=float, default=1.0)
    parser.add_argument("--hold", type=int, default=0, metavar="MS")
    asked = parser.parse_args(argv)
    figures = measured(round(asked.minutes * 60 / BAR), asked.hold)
    print(json.dumps({"machine": platform.machine(), "python": platform.python_version(),
                      "figures": figures}, indent=1))  # fmt: skip
    return 0 if figures["dropouts"] == 0 and figures["peak"] < 1 else 1


if __name__ == "__main__":
    sys.exit(main())
