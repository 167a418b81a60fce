"""A claim from JSON: checked, with its defaults, or `ClaimNotUnderstood` with a sentence."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from analysis.engine.claims.fields import (
    JSON,
    LONGEST,
    Many,
    PartField,
    PartName,
    PitchName,
    PlaceField,
    YesNo,
)
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.pitch import Key

#: Fields every claim may have. `paper` groups the claims of one student.
COMMON = ("id", "kind", "movement", "bars", "parts", "negated", "paper")


@dataclass(frozen=True, slots=True)
class Claim:
    """A statement in fields. `fields` holds all fields of the kind, defaults filled in."""

    id: str | int | None
    kind: str
    movement: int  # 1-based
    bars: Any  # PLACE as JSON; None: the whole movement
    parts: tuple[PartName, ...]
    negated: bool = False
    fields: Mapping[str, Any] = field(default_factory=dict)
    paper: str | int | None = None

    def __getitem__(self, name: str) -> Any:
        return self.fields[name]

    def but(self, **changes: Any) -> Claim:
        """The claim with other fields of its kind."""
        return replace(self, fields={**self.fields, **changes})

    def as_json(self) -> JSON:
        """Back to JSON, without id: what a truth is."""
        out: JSON = {"kind": self.kind, "movement": self.movement}
        if self.bars is not None:
            out["bars"] = self.bars
        out["parts"] = [p.as_json() for p in self.parts]
        out["negated"] = self.negated
        for name, value in self.fields.items():
            if value is not None:
                out[name] = to_json(value)
        return out


def to_json(value: Any) -> Any:
    """A field value in JSON."""
    if isinstance(value, PartName | PitchName):
        return value.as_json()
    if isinstance(value, Key):
        return value.name
    if isinstance(value, tuple | list):
        pairs = value and all(isinstance(v, tuple) and len(v) == 2 for v in value)
        if pairs and isinstance(value[0][0], PartName):
            return {p.text: word for p, word in value}
        return [to_json(v) for v in value]
    if isinstance(value, Mapping):
        return {k: to_json(v) for k, v in value.items() if v is not None}
    return value


def read_claim(raw: Any) -> Claim:
    """Check a claim and fill in its defaults.

    Parameters
    ----------
    raw : anything
        What stood in the JSON; usually a dict.

    Raises
    ------
    ClaimNotUnderstood
        For an unknown kind or field, a missing or ill-typed one. The sentence
        says which and what to write. Parts and bars are looked up later.
    """
    from analysis.engine.claims.registry import KINDS

    if not isinstance(raw, Mapping):
        raise ClaimNotUnderstood("A claim is an object with a kind, bars and parts.")
    kind = kind_name(raw.get("kind"))
    form = KINDS[kind].form
    known = {*COMMON, *form.names()}
    unknown = sorted(str(k) for k in raw if k not in known)
    if unknown:
        raise ClaimNotUnderstood(f"A claim of kind “{kind}” has no field “{unknown[0][:60]}”.")
    bars = _bars(raw, form.bars)
    parts = Many(PartField()).read(raw["parts"], "parts") if raw.get("parts") is not None else ()
    if form.parts and not parts:
        raise ClaimNotUnderstood("Which part or parts? None is named.")
    claim = Claim(
        id=claim_id(raw),
        kind=kind,
        movement=_movement(raw),
        bars=bars,
        parts=parts,
        negated=YesNo().read(raw["negated"], "negated")
        if raw.get("negated") is not None
        else False,
        fields={f.name: f.read(raw) for f in form.fields},
        paper=raw.get("paper") if isinstance(raw.get("paper"), str | int) else None,
    )
    KINDS[kind].check(claim)
    return claim


def kind_name(value: Any) -> str:
    """The kind, forgiving case and underscores; ClaimNotUnderstood if there is none such."""
    from analysis.engine.claims.registry import KINDS

    if isinstance(value, str):
        word = value.strip().casefold().replace("_", "-").replace(" ", "-")
        if word in KINDS:
            return word
    if value is None:
        raise ClaimNotUnderstood("What kind of statement is this? No kind is named.")
    raise ClaimNotUnderstood(f"There is no kind of statement called {str(value)[:60]!r}.")


def claim_id(raw: Any) -> str | int | None:
    """The id to answer under; None if there is none that can be."""
    value = raw.get("id") if isinstance(raw, Mapping) else None
    return value if isinstance(value, str | int) and not isinstance(value, bool) else None


def _movement(raw: Mapping[str, Any]) -> int:
    value = raw.get("movement")
    if value is None:
        return 1
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= 1000:
        raise ClaimNotUnderstood("“movement” should be a number, the first is 1.")
    return value


def _bars(raw: Mapping[str, Any], required: bool) -> Any:
    if raw.get("bars") is None:
        if required:
            raise ClaimNotUnderstood("Which bars? None are named.")
        return None
    return PlaceField().read(raw["bars"], "bars")


def _or_null(schema: JSON) -> JSON:
    return {"anyOf": [schema, {"type": "null"}]}


def claim_schema() -> JSON:
    """JSON Schema (draft 2020-12) of one claim, from the registry."""
    from analysis.engine.claims.registry import KINDS

    common: JSON = {
        "id": {"type": ["string", "integer"]},
        "movement": {"anyOf": [{"type": "integer", "minimum": 1}, {"type": "null"}]},
        "negated": {"type": ["boolean", "null"]},
        "paper": {"type": ["string", "integer", "null"]},
    }
    forms = []
    for name, kind in KINDS.items():
        properties: JSON = {"kind": {"const": name}, **common}
        place: JSON = {"$ref": "#/$defs/place"}
        parts: JSON = {"type": "array", "items": {"$ref": "#/$defs/part"}, "maxItems": 100}
        properties["bars"] = place if kind.form.bars else _or_null(place)
        properties["parts"] = {**parts, "minItems": 1} if kind.form.parts else _or_null(parts)
        properties |= {f.name: f.schema() for f in kind.form.fields}
        needed = ["kind", *(["bars"] if kind.form.bars else [])]
        needed += ["parts"] if kind.form.parts else []
        needed += [f.name for f in kind.form.fields if f.required]
        forms.append(
            {
                "type": "object",
                "properties": properties,
                "required": needed,
                "additionalProperties": False,
            }
        )
    return {"oneOf": forms}


def definitions() -> JSON:
    """The `$defs` the claim schema refers to."""
    text: JSON = {"type": "string", "minLength": 1, "maxLength": LONGEST}
    label: JSON = {
        "anyOf": [
            {"type": "string", "minLength": 1, "maxLength": 40},
            {"type": "integer", "minimum": 0},
        ]
    }
    count: JSON = {"anyOf": [{"type": "integer", "minimum": 1}, {"type": "null"}]}
    return {
        "label": label,
        "point": {
            "type": "object",
            "properties": {
                "bar": {"$ref": "#/$defs/label"},
                "nth": count,
                "beat": {"anyOf": [{"type": "number", "minimum": 1}, {"type": "null"}]},
                "pass": count,
            },
            "required": ["bar"],
            "additionalProperties": False,
        },
        "place": {
            "anyOf": [
                {"type": "array", "items": {"$ref": "#/$defs/label"}, "minItems": 1, "maxItems": 2},
                {
                    "type": "object",
                    "properties": {
                        "from": {"$ref": "#/$defs/point"},
                        "to": {"$ref": "#/$defs/point"},
                        "movement": count,
                        "score": {"type": ["string", "null"]},
                    },
                    "required": ["from", "to"],
                    "additionalProperties": False,
                },
            ]
        },
        "part": {
            "anyOf": [
                text,
                {
                    "type": "object",
                    "properties": {
                        "part": text,
                        "player": {
                            "anyOf": [
                                {"type": "integer", "minimum": 1, "maximum": 31},
                                {"const": "all"},
                                {"type": "null"},
                            ]
                        },
                    },
                    "required": ["part"],
                    "additionalProperties": False,
                },
            ]
        },
        "pitch": {
            "anyOf": [
                text,
                {
                    "type": "object",
                    "properties": {"pitch": text, "written": {"type": "boolean"}},
                    "required": ["pitch"],
                    "additionalProperties": False,
                },
            ]
        },
    }
