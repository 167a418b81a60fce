"""Every file that a page asks for is there: in tests pages do not look it up as served ones do."""

from __future__ import annotations

import re
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles import finders

NAMED = re.compile(r"\{% static '([^'{}]+)'")
IMPORTED = re.compile(r"""(?:from|import\()\s*"(\.[^"]+\.js)\"""")


def test_every_static_file_named_in_a_template_exists() -> None:
    folder = Path(settings.BASE_DIR) / "templates"
    named = {name for page in folder.rglob("*.html") for name in NAMED.findall(page.read_text())}
    assert len(named) > 20
    assert sorted(name for name in named if finders.find(name) is None) == []


def test_every_module_imports_modules_that_exist() -> None:
    folder = Path(settings.BASE_DIR) / "static" / "js"
    found = [
        (module, module.parent / name)
        for module in folder.rglob("*.js")
        for name in IMPORTED.findall(module.read_text())
    ]
    assert len(found) > 20
    assert [f"{a.name}: {b}" for a, b in found if not b.is_file()] == []
