"""What every statement form shares: words to claim fields and back."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from analysis.engine import names
from analysis.engine.claims.fields import PartName
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.model import ScoreTable

PART_HELP = _("Type it, such as “fl 1, ob” or “low strings”, or choose staves on the score.")

OCTAVES = [
    ("", _("I leave that open")),
    ("0", _("in unison")),
    ("1", _("one octave above")),
    ("2", _("two octaves above")),
    ("3", _("three octaves above")),
    ("-1", _("one octave below")),
    ("-2", _("two octaves below")),
    ("-3", _("three octaves below")),
]
#: Which of the two is the higher is left open.
APART = [
    ("apart1", _("an octave apart, either way")),
    ("apart2", _("two octaves apart, either way")),
    ("apart3", _("three octaves apart, either way")),
]
#: Counted in levels, not in distance: "in three octaves".
LEVELS = [
    ("levels2", _("all of them together on two octave levels")),
    ("levels3", _("all of them together on three octave levels")),
    ("levels4", _("all of them together on four octave levels")),
]


_BETWEEN = re.compile(r"([,;+&]|\band\b)")
#: What is no name by itself: the number of a name before it, less of a group before it, or the
#: ordinal of one after it ("horns 1 and 2", "strings, but not basses", "first and second horns").
_NUMBER_MORE = re.compile(r"(?:[1-8]|i{1,3}|iv|I{1,3}|IV)\.?(?:\s+in\s+\w.*)?")
_LESS = re.compile(rf"(?:{names.LESS}|not)\b.*", re.IGNORECASE)
_ORDINAL = re.compile(
    r"(?:the\s+|die\s+|i\s+|les\s+)?(?:first|second|third|fourth|[1-4](?:st|nd|rd|th)|[1-4]\.|primi|secondi|"
    r"primo|secondo|ersten?|zweiten?|premiere?s?|premiers)",
    re.IGNORECASE,
)


def split_names(text: str, labels: Iterable[str] = ()) -> list[str]:
    """ "fl 1, ob; Vl. I" as three names. "and" and "+" part names too.

    Printed labels that hold such a sign themselves ("Trombe 1, 2 in Re") stay whole.
    """
    whole = sorted({x for x in labels if _BETWEEN.search(x)}, key=len, reverse=True)
    kept: dict[str, str] = {}
    for label in whole:
        for found in re.findall(re.escape(label), text, re.IGNORECASE):
            sign = f"\x00{len(kept)}\x00"
            kept[sign] = found
            text = text.replace(found, sign, 1)
    names = _with_what_belongs(_BETWEEN.split(text))
    return [re.sub("\x00\\d+\x00", lambda m: kept[m.group(0)], name) for name in names]


def _with_what_belongs(pieces: list[str]) -> list[str]:
    """Names between signs (every second piece); what is no name by itself stays with its name."""
    found: list[str] = []
    waiting = ""
    for n in range(0, len(pieces), 2):
        piece, sign = pieces[n].strip(), pieces[n - 1] if n else ""
        if not piece:
            continue
        if waiting:
            piece, waiting = f"{waiting} and {piece}", ""
        if found and _NUMBER_MORE.fullmatch(piece) and sign != ";":
            found[-1] += f" and {piece}"
        elif found and _LESS.fullmatch(piece) and sign == ",":
            found[-1] += f" {piece}"
        elif _ORDINAL.fullmatch(piece) and n + 2 < len(pieces):
            waiting = piece
        else:
            found.append(piece)
    return [*found, waiting] if waiting else found


def part_claims(text: str, table: ScoreTable | None, movement: int = 0) -> list[Any]:
    """Names as PARTs: ids where one part is meant, so that nothing hangs on a label.

    Collectives ("low strings") stay as said: who they are is the engine's to say.
    Raises ClaimNotUnderstood with a question for a name the score does not know.
    """
    found: list[Any] = []
    labels = [r.label for r in table.parts] if table is not None else []
    for name in split_names(text, labels):
        if table is None:
            found.append(name)
            continue
        named = names.resolve(PartName(name), table, movement)
        if named.how == "collective":
            found.append(name)
        else:
            found.extend(_part_of(unit, table) for unit in named.units)
    return found


def _part_of(unit: names.Unit, table: ScoreTable) -> dict[str, Any]:
    """{"part": id, "player": n|null}."""
    own = [line for line in table.lines if line.part == unit.part]
    player = None
    if set(unit.lines) != {line.index for line in own}:
        players = names.players_of(table.lines[unit.lines[0]])
        player = players[0] if len(players) == 1 else None
    return {"part": table.first_readings[unit.part].id, "player": player}


def on_both_sides(one: list[Any], other: list[Any]) -> bool:
    """Whether a part (a staff, or one of its players) is named in both lists."""
    return any(_same(a, b) for a in one for b in other)


def divided(one: list[Any], other: list[Any], table: ScoreTable | None) -> bool:
    """Whether both sides are one and the same part, which has several lines: they may be meant."""
    if table is None or len(one) != 1 or one != other or not isinstance(one[0], dict):
        return False
    if one[0].get("player") is not None:
        return False
    ids = [table.first_readings[line.part].id for line in table.lines]
    return ids.count(one[0]["part"]) > 1


def _same(a: Any, b: Any) -> bool:
    if isinstance(a, dict) and isinstance(b, dict):
        players = (a.get("player"), b.get("player"))
        return bool(a["part"] == b["part"] and (None in players or players[0] == players[1]))
    return str(a).casefold() == str(b).casefold() if type(a) is type(b) else False


def parts_as_text(parts: list[Any], outline: dict[str, Any]) -> str:
    """PARTs as a person reads them: printed labels, players where one is meant."""
    labels = {p["id"]: p["label"] for p in outline.get("parts", [])}
    said: list[str] = []
    for part in parts:
        if isinstance(part, dict):
            label = str(labels.get(part["part"]) or part["part"])
            said.append(f"{label} ({part['player']})" if part.get("player") else label)
        else:
            said.append(str(part))
    return ", ".join(said)


class PartsField(forms.CharField):
    """Part names as typed; cleaned to a list of PARTs (asks back when a name is unknown)."""

    table: ScoreTable | None = None
    movement: int = 0

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("help_text", PART_HELP)
        super().__init__(max_length=300, **kwargs)
        self.widget.attrs.update({"data-parts": "1", "autocomplete": "off"})

    def clean(self, value: Any) -> list[Any]:
        text = super().clean(value)
        try:
            return part_claims(text or "", self.table, self.movement)
        except ClaimNotUnderstood as question:
            raise forms.ValidationError(str(question)) from question


class KindForm(forms.Form):
    """A statement's own fields. Subclasses add fields and `claim()`."""

    required_css_class = "wanted"

    def __init__(
        self, *args: Any, table: ScoreTable | None = None, movement: int = 0, **kwargs: Any
    ) -> None:
        kwargs.setdefault("prefix", "k")
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            if isinstance(field, PartsField):
                field.table, field.movement = table, movement
        self.table = table

    def names_twice(self, one: list[Any] | None, other: list[Any] | None) -> bool:
        """Whether a part stands on both sides and not just the two lines of a divided one."""
        one, other = one or [], other or []
        return on_both_sides(one, other) and not divided(one, other, self.table)

    def claim(self) -> dict[str, Any]:
        """The claim's fields, without place; only after `is_valid`."""
        raise NotImplementedError

    @staticmethod
    def typed(value: dict[str, Any], outline: dict[str, Any]) -> dict[str, str]:
        """Of a claim, what one would type into fields that are not named like the claim's own."""
        return {}


class NegatedMixin(forms.Form):
    """For kinds that can be denied."""

    negated = forms.BooleanField(required=False, label=_("I say that this is NOT so"))
