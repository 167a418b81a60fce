"""``python -m tests.bench.reading``: what the reading page weighs and how soon it can be read.

Without arguments: the script of the page, compressed, and the largest pages of the demo piece as
the engraver draws them. With ``--site URL``, a demo that runs there (``make demo``): a student's
door, each movement opened five times; medians of the time from the navigation's start to the
first engraved system, of turning to the next page once what one sees has come, and of a leap to
the last page, which the browser has in its cache alone. A turn ends with the frame the page is
drawn in. Sound: from pressing Listen to the first sample that is not silent, by a student who comes
back, the page at rest (`sound_ready`), and pressed at once, with an empty cache (`sound_first`).
Wall-clock, so say what else the machine does. Exit code: 0 within the limits, 1 not.
"""

from __future__ import annotations

import argparse
import gzip
import json
import platform
import re
import shutil
import statistics
import sys
from pathlib import Path
from typing import Any

from analysis.engine import engrave
from analysis.engine.engrave.view import View
from analysis.engine.gate import admit

ROOT = Path(__file__).resolve().parents[2]
STATIC = ROOT / "static"
PIECE = ROOT / "demo" / "piece"
#: compressed bytes of script and of one drawn page; milliseconds
LIMITS = {"script": 150_000, "page": 60_000, "first_system": 1000, "page_turn": 150,
          "sound_ready": 1500}  # fmt: skip
TIMES = 5
_IMPORT = re.compile(r"""(?:from|import)\s*\(?\s*"(\.{1,2}/[^"]+\.js)\"""")

FIRST = """() => new Promise((done) => {
  const look = () => (document.querySelector("#score .score-page svg")
    ? done(performance.now()) : requestAnimationFrame(look));
  look();
})"""
# To the page after the one in sight, or to the last one that has not come; null if there is none.
TURN = """(leap) => new Promise((done) => {
  const pages = [...document.querySelectorAll("#score .score-page")];
  const page = leap ? pages.filter((p) => !p.querySelector("svg")).pop()
    : pages.find((p) => p.getBoundingClientRect().top > 1);
  if (!page) { done(null); return; }
  const from = performance.now();
  page.scrollIntoView({ behavior: "instant" });
  const look = () => {
    if (!page.querySelector("svg")) { requestAnimationFrame(look); return; }
    requestAnimationFrame(() => setTimeout(() => done(performance.now() - from)));
  };
  requestAnimationFrame(look);
})"""
# Nothing in sight or in the margin around it is still to come.
REST = """() => new Promise((done) => {
  const near = (p) => { const b = p.getBoundingClientRect();
    return b.top < 2 * innerHeight && b.bottom > -innerHeight; };
  const look = () => {
    const pages = [...document.querySelectorAll("#score .score-page")];
    const come = pages.length && pages.every((p) => !near(p) || p.querySelector("svg"));
    if (come) requestIdleCallback(() => done()); else setTimeout(look, 50);
  };
  look();
})"""


# Hears what goes to the loudspeakers, from when the button is pressed.
HEAR = """(() => {
  const plain = AudioNode.prototype.connect;
  AudioNode.prototype.connect = function (to, ...more) {
    const made = plain.call(this, to, ...more);
    if (to !== this.context.destination || window.meter) return made;
    window.meter = new AnalyserNode(this.context, { fftSize: 2048 });
    plain.call(this, window.meter);
    const frame = new Float32Array(2048);
    const look = () => {
      window.meter.getFloatTimeDomainData(frame);
      if (frame.some((x) => Math.abs(x) > 1e-4)) window.sounded = performance.now();
      else setTimeout(look, 5);
    };
    look();
    return made;
  };
})()"""
# null where the page has no sound: a stage holds it back.
LISTEN = """() => new Promise((done) => {
  const button = document.querySelector("#player .listen");
  if (!button) { done(null); return; }
  const from = performance.now();
  button.click();
  const look = () => (window.sounded ? done(window.sounded - from) : setTimeout(look, 5));
  look();
})"""
# What is fetched ahead has come: nothing has been asked for during half a second.
QUIET = """() => new Promise((done) => {
  const count = () => performance.getEntriesByType("resource").length;
  let before = count();
  const look = () => {
    const now = count();
    if (now === before) { done(); return; }
    before = now;
    setTimeout(look, 500);
  };
  setTimeout(look, 500);
})"""


def scripts(first: str = "js/read.js") -> list[Path]:
    """The modules a page loads, in order met; those loaded on demand (`import()`) count too.

    The synthesiser is none of them: it is vendored, and no relative path leads to it.
    """
    found: list[Path] = []
    pending = [STATIC / first, STATIC / "js" / "site.js", STATIC / "js" / "describe.js"]
    while pending:
        path = pending.pop(0).resolve()
        if path in found or "vendor" in path.parts:
            continue
        found.append(path)
        pending += [path.parent / name for name in _IMPORT.findall(path.read_text())]
    return found


def script_weight() -> int:
    """Bytes of the reading page's script, each file compressed by itself, with htmx."""
    import django_htmx

    htmx = next(Path(django_htmx.__file__).parent.rglob("htmx-2.min.js"))
    return sum(len(gzip.compress(p.read_bytes())) for p in [*scripts(), htmx])


def page_weights() -> dict[str, int]:
    """The largest compressed page of each movement of the demo piece, and of its strip."""
    heaviest = {}
    for path in sorted(PIECE.glob("movement-*.musicxml")):
        canonical = admit(path.read_bytes(), path.name).canonical
        for layout in ("pages", "strip"):
            made = engrave.passage(canonical, View(layout=layout))  # type: ignore[arg-type]
            sizes = (len(gzip.compress(svg)) for svg in made.svg.values())
            heaviest[f"{path.stem}, {layout}"] = max(sizes)
    return heaviest


def on_site(url: str) -> dict[str, Any]:
    """Medians over the movements of the demo course, in milliseconds."""
    from playwright.sync_api import sync_playwright

    first: list[float] = []
    sound: list[float] = []
    turns: dict[str, list[float]] = {"page_turn": [], "page_leap": []}
    with sync_playwright() as driver:
        browser = driver.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--no-sandbox", "--disable-gpu"]
        )
        page, links = _student(browser, url)
        for link in links:
            for time in range(TIMES + 1):  # the first makes the pages and fills the cache
                page.goto("about:blank")
                page.goto(link, wait_until="commit")
                seen = page.evaluate(FIRST)
                turned = {"page_turn": [], "page_leap": []}
                for leap in (False, False, True):
                    page.evaluate(REST)
                    turned["page_leap" if leap else "page_turn"].append(page.evaluate(TURN, leap))
                page.evaluate(QUIET)
                heard = page.evaluate(LISTEN)
                if time and heard is not None:
                    sound.append(heard)
                if time:
                    first.append(seen)
                    for name, some in turned.items():
                        turns[name] += [t for t in some if t is not None]
        at_once = [t for t in (_first_sound(browser, url, link) for link in links) if t]
        browser.close()
    medians = {
        "first_system": statistics.median(first),
        "sound_ready": statistics.median(sound),
        "sound_first": statistics.median(at_once),
    }
    medians |= {name: statistics.median(some) for name, some in turns.items() if some}
    return {**medians, "opened": len(first), **{f"{n}s": len(some) for n, some in turns.items()}}


def _student(browser: Any, url: str) -> tuple[Any, list[str]]:
    """A page of the demo's student, nothing cached, and the addresses of the scores."""
    page = browser.new_context(viewport={"width": 1280, "height": 900}).new_page()
    page.add_init_script(HEAR)
    page.goto(f"{url}/demo/")
    page.get_by_role("button", name="Sancho").first.click()
    page.goto(f"{url}/courses/")
    page.locator("main a[href*='/courses/']").first.click()
    page.locator("main a[href*='/scores/']").first.wait_for()
    links = page.locator("main a[href*='/scores/']").evaluate_all("(all) => all.map(a => a.href)")
    return page, [link.split("#")[0] for link in links]


def _first_sound(browser: Any, url: str, link: str) -> float | None:
    page, _ = _student(browser, url)
    page.goto(link, wait_until="commit")
    page.evaluate(FIRST)
    heard: float | None = page.evaluate(LISTEN)
    page.context.close()
    return heard


def main(argv: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0] if __doc__ else "")
    parser.add_argument("--site", help="address of a running demo")
    asked = parser.parse_args(argv)
    pages = page_weights()
    figures: dict[str, Any] = {"script": script_weight(), "page": max(pages.values())}
    if asked.site:
        figures |= on_site(asked.site.rstrip("/"))
    within = {name: figures[name] <= limit for name, limit in LIMITS.items() if name in figures}
    print(json.dumps({"machine": platform.machine(), "python": platform.python_version(),
                      "figures": figures, "pages": pages, "within": within}, indent=1))  # fmt: skip
    return 0 if all(within.values()) else 1


if __name__ == "__main__":
    sys.exit(main())
