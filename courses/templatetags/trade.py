"""Times and bars in words, and the trade's words explained, the same on every page."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from django import template
from django.utils.formats import date_format
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from courses.glossary import WORDS

register = template.Library()


@register.simple_tag
def moment(when: datetime | None, zone: str = "UTC") -> SafeString | str:
    """What the clock on the wall shows in `zone`, with the zone: date and hour never break."""
    if when is None:
        return ""
    there = when.astimezone(ZoneInfo(zone))
    return format_html(
        '<time class="when" datetime="{}">{}</time> ({})',
        there.isoformat(timespec="minutes"),
        date_format(there, "D j F Y, H:i"),
        zone.replace("_", " "),
    )


@register.filter
def get(row: dict[str, str], name: str) -> str:
    """A row's value by a name that is itself a variable; "" if there is none."""
    return row.get(name, "")


@register.filter
def in_bars(label: str) -> str:
    """ "Bar 2", "Bars 2–4"; "" stays empty."""
    if not label:
        return ""
    word = _("Bars") if any(sign in str(label) for sign in "–-,") else _("Bar")
    return f"{word} {label}"


@register.simple_tag
def explained(key: str, place: str = "") -> SafeString:
    """A word of the trade that tells what it means when pressed; `place` parts two of a kind."""
    word = WORDS[key]
    return format_html(
        '<span class="term"><button type="button" class="plain" aria-expanded="false" '
        'aria-controls="term-{0}{1}">{2}</button>'
        '<span class="term-text" id="term-{0}{1}" hidden> {3}</span></span>',
        key,
        f"-{place}" if place else "",
        word.term,
        word.text,
    )
