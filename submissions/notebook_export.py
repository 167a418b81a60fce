"""The notebook as Markdown and as JSON, for whoever wrote it."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import datetime
from itertools import groupby
from typing import Any

from django.utils.translation import gettext as _

from courses.models import User
from courses.templatetags.trade import in_bars
from submissions.models import NotebookEntry
from submissions.notebook import (
    entries_of,
    entry_row,
    find_row,
    finds_of,
    outlines_of,
    statement_row,
    statements_of,
)

SCHEMA = 1
Row = dict[str, Any]


def whole(user: User) -> dict[str, Any]:
    """{"schema", "of", "notes", "habits", "finds", "statements"}: everything, the oldest first."""
    statements, finds = list(statements_of(user)), list(finds_of(user))
    outlines = outlines_of([*statements, *finds])
    about = NotebookEntry.About
    return {
        "schema": SCHEMA,
        "of": str(user),
        "notes": [entry_row(e) for e in entries_of(user, about=about.NOTE)][::-1],
        "habits": [entry_row(e) for e in entries_of(user, about=about.HABIT)][::-1],
        "finds": [find_row(f, outlines) for f in finds][::-1],
        "statements": [statement_row(s, outlines) for s in statements][::-1],
    }


def as_json(user: User, now: datetime) -> str:
    book = {**whole(user), "made_at": now}

    def plain(value: object) -> str:
        return value.isoformat() if isinstance(value, datetime) else str(value)

    return json.dumps(book, ensure_ascii=False, indent=2, default=plain) + "\n"


def as_markdown(user: User, now: datetime) -> str:
    book = whole(user)
    lines = ["# " + _("Notebook of {name}").format(name=_text(book["of"])), "",
             f"{now:%Y-%m-%d}", ""]  # fmt: skip
    composer: Callable[[Row], str] = lambda row: row["composer"] or _("Composer not named")  # noqa: E731
    score: Callable[[Row], str] = lambda row: row["score"] or _("Without a score")  # noqa: E731
    for title, rows, key in (
        (_("Things composers do"), book["habits"], composer),
        (_("Notes"), book["notes"], score),
        (_("Finds"), book["finds"], score),
        (_("Statements"), book["statements"], score),
    ):
        if rows:
            lines += [f"## {title}", ""]
        for name, group in groupby(sorted(rows, key=key), key=key):
            lines += [f"### {_text(name)}", "", *(_item(row) for row in group), ""]
    return "\n".join(lines).rstrip() + "\n"


def _item(row: Row) -> str:
    """One entry as one item: place first, then what, then the words."""
    where = [in_bars(row["bars"])]
    if "kind" in row:
        said = [row["kind"], row["said"], f"“{row['words']}”" if row["words"] else "",
                row["sense"], f"{_('doubt')}: {row['doubt']}" if row["doubt"] else "",
                f"({row['assignment']}, {row['course']})"]  # fmt: skip
    elif "about" not in row:
        said = [row["title"], row["text"], f"({row['course']})"]
    else:
        where = [row["score"] if row["about"] == "habit" else "", *where]
        said = [row["text"]]
    place = ", ".join(part for part in where if part)
    text = " · ".join(_text(part) for part in said if part)
    return f"- **{_text(place)}** {text}" if place else f"- {text}"


def _text(words: str) -> str:
    """Words as Markdown shows them: its own signs mean nothing, lines stay in their item."""
    signs = str.maketrans({sign: f"\\{sign}" for sign in "\\`*_[]<>#|"})
    return "  \n  ".join(words.translate(signs).splitlines())
