"""How strictly statements are checked: the assignment form's rows, and what was typed in them."""

from __future__ import annotations

from math import isfinite
from typing import Any

from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from analysis.engine.tolerances import BY_NAME, TOLERANCES, Tolerance
from courses.models import Prompt
from submissions.kinds import KINDS

NO_NUMBER = "“{title}”: “{typed}” is no number."
#: Draft key of values that are no numbers: they stay as typed until they are mended.
TYPED = "typed_settings"
_UNITS = {
    "percent": ("%", "%"), "bars": ("bar", "bars"), "notes": ("note", "notes"),
    "statements": ("time", "times"), "choice": ("", ""),
}  # fmt: skip


def tolerance_rows(draft: dict[str, Any]) -> list[dict[str, Any]]:
    """[{"topic", "rows": [{"name", "title", "says", "unit", "value", "default", "changed"}]}]."""
    topics: dict[str, list[dict[str, Any]]] = {}
    for t in TOLERANCES:
        topics.setdefault(t.topic, []).append(_row(t, draft))
    return [{"topic": _(topic), "rows": rows} for topic, rows in topics.items()]


def _row(t: Tolerance, draft: dict[str, Any]) -> dict[str, Any]:
    stored = draft["settings"].get(t.name, t.default)
    value = draft.get(TYPED, {}).get(t.name, number(t.shown(stored)))
    return {
        "name": t.name,
        "title": _(t.title),
        "says": _(t.says),
        "unit": _UNITS[t.unit][1] and _(_UNITS[t.unit][1]),
        "value": value,
        "default": shown(t, t.default) if t.choices else number(t.shown(t.default)),
        "changed": value != number(t.shown(t.default)),
        "choices": [(str(n), _(word)) for n, word in enumerate(t.choices)],
        "least": number(t.shown(t.least)),
        "most": number(t.shown(t.most)),
    }


def kind_rows(draft: dict[str, Any]) -> list[dict[str, Any]]:
    """Every kind that can be compared, with how far it is."""
    return [
        {
            "name": kind.name,
            "label": kind.label,
            "checked": draft["kinds"].get(kind.name, Prompt.Checked.FACTS),
        }
        for kind in KINDS.values()
        if kind.name != "free"  # nothing is ever computed on free words
    ]


def changed(draft: dict[str, Any]) -> int:
    """How many of all these are not as usual."""
    return len(draft["kinds"]) + len({**draft["settings"], **draft.get(TYPED, {})})


def read_strictness(post: QueryDict, draft: dict[str, Any]) -> list[str]:
    """Put what was typed into the draft, only what differs; sentences about what is no number.

    A form without these fields (an older page) leaves the draft as it is.
    """
    said: list[str] = []
    if f"tol-{TOLERANCES[0].name}" in post:
        settings = {k: v for k, v in draft["settings"].items() if k not in BY_NAME}
        unread: dict[str, str] = {}
        for t in TOLERANCES:
            typed = post.get(f"tol-{t.name}", "").strip().replace(",", ".").rstrip("%").strip()
            if not typed:
                continue  # empty: as usual
            try:
                value = t.stored(_finite(typed))
            except ValueError:
                unread[t.name] = typed[:20]
                said.append(_(NO_NUMBER).format(title=_(t.title), typed=typed[:20]))
                continue
            if value != t.default:
                settings[t.name] = value
        draft["settings"], draft[TYPED] = settings, unread
    kinds = dict(draft["kinds"])
    for kind in KINDS:
        wish = post.get(f"kind-{kind}")
        if wish in Prompt.Checked.values:
            kinds[kind] = wish
    draft["kinds"] = {k: wish for k, wish in kinds.items() if wish != Prompt.Checked.FACTS}
    return said


def _finite(typed: str) -> float:
    value = float(typed)
    if not isfinite(value):
        raise ValueError(typed)
    return value


def form_rows(draft: dict[str, Any]) -> dict[str, Any]:
    """All that `submissions/_strictness.html` shows."""
    return {
        "kinds": kind_rows(draft),
        "topics": tolerance_rows(draft),
        "changed": changed(draft),
        "open": bool(draft.get(TYPED)),
    }


def number(value: float) -> str:
    return f"{value:g}"


def in_words(settings: dict[str, Any], kinds: dict[str, str]) -> list[str]:
    """What an assignment has set otherwise than usual, a line each, for the board."""
    lines = [
        _("{title}: {value}").format(title=_(t.title), value=shown(t, settings[t.name]))
        for t in TOLERANCES
        if t.name in settings
    ]
    labels = dict(Prompt.Checked.choices)
    for wish in (Prompt.Checked.FLAG_ONLY, Prompt.Checked.LEFT_ALONE):
        named = [str(KINDS[k].label) for k, w in kinds.items() if w == wish and k in KINDS]
        if named:
            lines.append(_("{wish}: {kinds}").format(wish=labels[wish], kinds=", ".join(named)))
    return lines


def shown(t: Tolerance, value: Any) -> str:
    """ "85 %", "2 bars", "1 bar": a value with its unit."""
    if t.choices:
        return _(t.choices[int(value)])
    typed = t.shown(float(value))
    one, many = _UNITS[t.unit]
    return f"{number(typed)} {ngettext(one, many, 1 if typed == 1 else 2)}"
