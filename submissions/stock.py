"""Stock sentences with bars and parts filled in; never sent without the tutor's yes."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from courses.templatetags.trade import in_bars
from submissions.feedback import check_words
from submissions.models import Check, ObservationVersion
from submissions.places import place_label


def stock_sentences(
    statement: ObservationVersion, check: Check | None, outline: dict[str, Any]
) -> list[str]:
    """First what is right, then the one thing to change, then a next look (job of the reply)."""
    bars = in_bars(place_label(statement, outline))
    here = bars[:1].lower() + bars[1:]
    if check is None:
        return []
    words = check_words(check)
    truth = words.get("truth", "")
    found: list[str] = []
    if check.flag == "agrees":
        found.append(_("Yes: well seen, {bars}.").format(bars=here))
        if words.get("note"):
            found.append(words["note"])
    elif check.flag == "partly":
        found.append(words.get("sentence", ""))
    elif check.flag == "conflicts":
        found.append(_("{bars}: {why}").format(bars=bars, why=words.get("sentence", "")))
    if truth and check.flag in {"partly", "conflicts"}:  # not what is only suspected
        found.append(truth)
    found.append(_("What do the others do meanwhile in {bars}?").format(bars=here))
    return [s.strip() for s in found if s.strip()]
