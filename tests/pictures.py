"""The README's pictures, taken from a running demo: `make pictures` beside `make demo`.

python -m tests.pictures http://127.0.0.1:8000 docs/pictures
"""

from __future__ import annotations

import re
import shutil
import sys
from pathlib import Path
from typing import Any

DESK = {"width": 1280, "height": 800}
TELEPHONE = {"width": 390, "height": 844}
ASSIGNMENT = "Siciliana: who goes with whom"


def enter(browser: Any, url: str, name: str, size: dict[str, int], **look: str) -> Any:
    page = browser.new_context(viewport=size, **look).new_page()
    page.goto(f"{url}/demo/")
    page.get_by_role("button", name=re.compile(rf"^\s*{name}\b")).click()
    page.get_by_role("heading").first.wait_for()
    return page


def settled(page: Any) -> None:
    """All that is to be engraved is there, and what is lit is lit."""
    page.wait_for_load_state("networkidle")
    page.locator(".score-page svg").first.wait_for()
    page.wait_for_function("() => document.querySelector('.score-status')?.textContent === ''")
    page.wait_for_timeout(1500)


def take(browser: Any, url: str, folder: Path) -> None:
    def keep(page: Any, name: str) -> None:
        page.screenshot(path=folder / f"{name}.png")
        page.context.close()

    page = enter(browser, url, "Wren", DESK)
    page.get_by_role("link", name="Courses").click()
    page.get_by_role("link", name="Reading by ear and eye").first.click()
    page.get_by_role("link", name=re.compile("Marcia")).last.click()
    settled(page)
    for _stop in range(4):
        page.get_by_role("button", name="Next").click()
        settled(page)
    keep(page, "reading")

    page = enter(browser, url, "Juno", DESK)
    page.get_by_role("link", name=ASSIGNMENT).first.click()
    settled(page)
    page.get_by_role("button", name="Show the notes").nth(1).click()
    settled(page)
    keep(page, "answers")

    page = enter(browser, url, "Marlen", DESK)
    page.get_by_role("link", name=ASSIGNMENT).first.click()
    settled(page)
    keep(page, "review")

    page = enter(browser, url, "Marlen", DESK, color_scheme="dark")
    page.get_by_role("link", name="Board").first.click()
    page.wait_for_load_state("networkidle")
    keep(page, "board-dark")

    page = enter(browser, url, "Juno", TELEPHONE)
    page.get_by_role("link", name=ASSIGNMENT).first.click()
    settled(page)
    keep(page, "telephone")


def main() -> None:
    from playwright.sync_api import sync_playwright

    url, folder = sys.argv[1].rstrip("/"), Path(sys.argv[2])
    folder.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--no-sandbox"]
        )
        take(browser, url, folder)


if __name__ == "__main__":
    main()
