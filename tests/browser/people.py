"""People at their browsers: each with a window of their own and a record of complaints."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import count
from typing import Any

PATIENCE = 60_000  # ms; two processors may be shared by a worker, a server and a browser
WINDOW = {"width": 1440, "height": 900}

#: A module's fixture may open twice on one site (tests move between processes): no login twice.
_NUMBER = count(1)

#: Counts what a person does: keys pressed and places clicked, not what a script fires.
COUNTER = """
window.acts = window.acts || 0;
for (const kind of ["keydown", "pointerdown"]) {
  window.addEventListener(kind, (event) => { if (event.isTrusted) window.acts += 1; }, true);
}
"""


@dataclass
class Person:
    """A browser context of one's own. `page` is the window one looks at."""

    page: Any
    url: str
    name: str
    login: str
    complaints: list[str] = field(default_factory=list)

    def go(self, path: str) -> None:
        self.page.goto(self.url + path)

    def acts(self) -> int:
        """Keys and clicks on this page so far."""
        return int(self.page.evaluate("window.acts"))

    def press(self, name: str) -> None:
        self.page.get_by_role("button", name=name).first.click()

    def fill(self, **labels: str) -> None:
        for label, value in labels.items():
            self.page.get_by_label(label.replace("_", " "), exact=True).fill(value)

    def watch(self) -> None:
        self.page.on("pageerror", lambda e: self.complaints.append(f"{self.page.url}: {e}"))
        self.page.on("console", self._heard)
        self.page.on("response", self._answered)

    def _heard(self, message: Any) -> None:
        if message.type == "error" and "Failed to load resource" not in message.text:
            self.complaints.append(f"{self.page.url}: {message.text}")

    def _answered(self, response: Any) -> None:
        if response.status >= 400 and response.status != 422:
            self.complaints.append(f"{response.status} {response.url}")


@contextmanager
def person(browser: Any, url: str, name: str, login: str = "", **more: Any) -> Iterator[Person]:
    """A person with an empty browser; complaints of the page fail the test at the end."""
    context = browser.new_context(viewport=WINDOW, **more)
    context.set_default_timeout(PATIENCE)
    context.add_init_script(COUNTER)
    login = f"{login or name.split()[0].lower()}-{next(_NUMBER)}"
    found = Person(context.new_page(), url, name, login)
    found.watch()
    try:
        yield found
        assert found.complaints == [], "\n".join(found.complaints)
    finally:
        context.close()
