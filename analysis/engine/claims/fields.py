"""Types of claim fields: one description for reading them and for the JSON Schema.

A type reads a JSON value into a plain Python one or raises `ClaimNotUnderstood`
with a sentence that says what is wanted.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Protocol, TypeGuard

from analysis.engine.errors import ClaimNotUnderstood, EngineError
from analysis.engine.pitch import Key, NoteName, Pitch, parse_key, parse_note_name, parse_pitch

LONGEST = 200  # characters of a name; 100 entries of a list: a person wrote this
MANY = 100
JSON = dict[str, Any]


@dataclass(frozen=True, slots=True)
class PartName:
    """A PART as claimed, not yet looked up. `player` None: the part as such."""

    text: str
    player: int | str | None = None
    by_id: bool = False

    def as_json(self) -> Any:
        return {"part": self.text, "player": self.player} if self.by_id else self.text


@dataclass(frozen=True, slots=True)
class PitchName:
    """A PITCH as claimed: with octave (`midi`) or a pitch class alone."""

    text: str
    pc: int
    midi: int | None = None
    written: bool = False
    step: int = 0
    alter: int = 0

    def as_json(self) -> Any:
        return {"pitch": self.text, "written": True} if self.written else self.text


class FieldType(Protocol):
    """What a field may hold."""

    def read(self, value: Any, name: str) -> Any: ...

    def schema(self) -> JSON: ...


def wants(name: str, what: str, value: Any) -> ClaimNotUnderstood:
    shown = repr(value)
    shown = shown if len(shown) <= 60 else shown[:57] + "..."
    return ClaimNotUnderstood(f"“{name}” should be {what}; it is {shown}.")


@dataclass(frozen=True, slots=True)
class Word:
    """One word of a short list."""

    choices: tuple[str, ...]

    def read(self, value: Any, name: str) -> str:
        if isinstance(value, str):
            word = value.strip().casefold().replace("_", "-")
            for choice in self.choices:
                if word in (choice, choice.replace(" ", "-")):
                    return choice
        raise wants(name, "one of " + ", ".join(self.choices), value)

    def schema(self) -> JSON:
        return {"enum": list(self.choices)}


@dataclass(frozen=True, slots=True)
class Whole:
    """A whole number within bounds."""

    low: int
    high: int

    def read(self, value: Any, name: str) -> int:
        whole = isinstance(value, int) or (isinstance(value, float) and value.is_integer())
        if isinstance(value, bool) or not whole or not self.low <= value <= self.high:
            raise wants(name, f"a whole number from {self.low} to {self.high}", value)
        return int(value)

    def schema(self) -> JSON:
        return {"type": "integer", "minimum": self.low, "maximum": self.high}


@dataclass(frozen=True, slots=True)
class Number:
    """A finite number above zero, fractions allowed."""

    def read(self, value: Any, name: str) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise wants(name, "a number", value)
        if not math.isfinite(value) or not 0 < value < 1000:
            raise wants(name, "a number above 0", value)
        return float(value)

    def schema(self) -> JSON:
        return {"type": "number", "exclusiveMinimum": 0, "exclusiveMaximum": 1000}


@dataclass(frozen=True, slots=True)
class YesNo:
    def read(self, value: Any, name: str) -> bool:
        if not isinstance(value, bool):
            raise wants(name, "true or false", value)
        return value

    def schema(self) -> JSON:
        return {"type": "boolean"}


@dataclass(frozen=True, slots=True)
class Text:
    longest: int = LONGEST

    def read(self, value: Any, name: str) -> str:
        if not isinstance(value, str) or not value.strip():
            raise wants(name, "a word or sentence", value)
        if len(value) > self.longest:
            raise ClaimNotUnderstood(f"“{name}” is longer than {self.longest} characters.")
        return value.strip()

    def schema(self) -> JSON:
        return {"type": "string", "minLength": 1, "maxLength": self.longest}


@dataclass(frozen=True, slots=True)
class PartField:
    """PART: a name, or ``{"part": id, "player": 1.. | "all" | null}``."""

    def read(self, value: Any, name: str) -> PartName:
        if isinstance(value, str) and value.strip() and len(value) <= LONGEST:
            return PartName(value.strip())
        if isinstance(value, Mapping) and isinstance(value.get("part"), str):
            player = value.get("player")
            known = player is None or player == "all" or _is_player(player)
            if set(value) <= {"part", "player"} and known and len(value["part"]) <= LONGEST:
                return PartName(value["part"], player, by_id=True)
        raise wants(name, 'the name of a part, or {"part": its id, "player": a number}', value)

    def schema(self) -> JSON:
        return {"$ref": "#/$defs/part"}


def _is_player(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= 31


@dataclass(frozen=True, slots=True)
class PitchField:
    """PITCH, sounding unless ``{"pitch": .., "written": true}``; a pitch class without octave."""

    def read(self, value: Any, name: str) -> PitchName:
        written = False
        text = value
        if isinstance(value, Mapping) and set(value) <= {"pitch", "written"}:
            text, written = value.get("pitch"), value.get("written", False)
        if not isinstance(text, str) or not isinstance(written, bool) or len(text) > LONGEST:
            raise wants(name, "a pitch such as Eb4, or a note name such as Eb", value)
        found = read_pitch(text)
        if found is None:
            raise wants(name, "a pitch such as Eb4, or a note name such as Eb", value)
        if isinstance(found, Pitch):
            return PitchName(
                text.strip(), found.midi % 12, found.midi, written, found.step, found.alter
            )
        return PitchName(text.strip(), found.pc, None, written, found.step, found.alter)

    def schema(self) -> JSON:
        return {"$ref": "#/$defs/pitch"}


def read_pitch(text: str) -> Pitch | NoteName | None:
    """A pitch with octave, a note name without, or None."""
    try:
        return parse_pitch(text)
    except EngineError:
        return parse_note_name(text)


@dataclass(frozen=True, slots=True)
class SaidKey(Key):
    """A key with the words it was said in, which tell whose "B" or "H" it is."""

    text: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class KeyField:
    """A key by name, in any of the four languages."""

    def read(self, value: Any, name: str) -> Key:
        if not isinstance(value, str) or len(value) > LONGEST:
            raise wants(name, "a key such as “f major”", value)
        try:
            key = parse_key(value)
        except EngineError as error:
            raise ClaimNotUnderstood(str(error)) from None
        return SaidKey(key.step, key.alter, key.mode, value)

    def schema(self) -> JSON:
        return {"type": "string", "minLength": 1, "maxLength": LONGEST}


@dataclass(frozen=True, slots=True)
class PointField:
    """POINT: ``{"bar": label, "nth", "beat", "pass"}``, or a bar label alone."""

    def read(self, value: Any, name: str) -> JSON:
        if is_label(value):
            return {"bar": str(value)}
        if isinstance(value, Mapping) and is_point(value):
            return {**value, "bar": str(value["bar"])}
        raise wants(name, 'a place such as {"bar": "12", "beat": 3}', value)

    def schema(self) -> JSON:
        return {"anyOf": [{"$ref": "#/$defs/point"}, {"$ref": "#/$defs/label"}]}


def is_label(value: Any) -> bool:
    if isinstance(value, bool):
        return False
    if isinstance(value, int):
        return 0 <= value < 10**6
    return isinstance(value, str) and len(value.strip()) > 0 and len(value) <= 40


def is_point(value: Mapping[Any, Any]) -> bool:
    if not set(value) <= {"bar", "nth", "beat", "pass"} or not is_label(value.get("bar")):
        return False
    if not all(value.get(k) is None or _is_count(value[k]) for k in ("nth", "pass")):
        return False
    beat = value.get("beat")
    if beat is None:
        return True
    number = isinstance(beat, int | float) and not isinstance(beat, bool)
    return number and math.isfinite(beat) and 1 <= beat < 1000


def _is_point(value: Any) -> TypeGuard[Mapping[str, Any]]:
    return isinstance(value, Mapping) and is_point(value)


def _is_count(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and 1 <= value < 10**6


@dataclass(frozen=True, slots=True)
class PlaceField:
    """PLACE: ``[label]``, ``[label, label]`` or ``{"from": POINT, "to": POINT, ...}``."""

    def read(self, value: Any, name: str) -> Any:
        if isinstance(value, list) and 1 <= len(value) <= 2 and all(is_label(v) for v in value):
            return [str(v).strip() for v in value]
        if isinstance(value, Mapping) and set(value) <= {"from", "to", "movement", "score"}:
            start, end = value.get("from"), value.get("to")
            if _is_point(start) and _is_point(end):
                movement = value.get("movement")
                score = value.get("score")
                whole = movement is None or _is_count(movement)
                if whole and (score is None or isinstance(score, str)):
                    return {
                        **value,
                        "from": {**start, "bar": str(start["bar"])},
                        "to": {**end, "bar": str(end["bar"])},
                    }
        raise wants(name, 'bars such as ["9", "12"]', value)

    def schema(self) -> JSON:
        return {"$ref": "#/$defs/place"}


@dataclass(frozen=True, slots=True)
class Many:
    """A list of one type."""

    of: Any
    least: int = 0
    most: int = MANY

    def read(self, value: Any, name: str) -> tuple[Any, ...]:
        if not isinstance(value, list) or not self.least <= len(value) <= self.most:
            raise wants(name, f"a list of at least {self.least}" if self.least else "a list", value)
        return tuple(self.of.read(v, name) for v in value)

    def schema(self) -> JSON:
        return {
            "type": "array",
            "items": self.of.schema(),
            "minItems": self.least,
            "maxItems": self.most,
        }


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a kind. `default` stands for a missing or null optional field."""

    name: str
    type: Any
    required: bool = False
    default: Any = None
    null: bool = True  # an optional field may be null

    def read(self, claim: Mapping[str, Any]) -> Any:
        value = claim.get(self.name)
        if value is None:
            if self.required:
                raise ClaimNotUnderstood(f"Something is missing: “{self.name}”.")
            return self.default
        return self.type.read(value, self.name)

    def schema(self) -> JSON:
        inner: JSON = self.type.schema()
        return inner if self.required else {"anyOf": [inner, {"type": "null"}]}


@dataclass(frozen=True, slots=True)
class Group:
    """An object with its own fields."""

    fields: tuple[Field, ...]

    def read(self, value: Any, name: str) -> JSON:
        if not isinstance(value, Mapping):
            raise wants(name, "an object", value)
        unknown = set(value) - {f.name for f in self.fields}
        if unknown:
            raise ClaimNotUnderstood(f"“{name}” has no field “{min(map(str, unknown))}”.")
        return {f.name: f.read(value) for f in self.fields}

    def schema(self) -> JSON:
        return {
            "type": "object",
            "properties": {f.name: f.schema() for f in self.fields},
            "required": [f.name for f in self.fields if f.required],
            "additionalProperties": False,
        }


@dataclass(frozen=True, slots=True)
class PerPart:
    """An object that gives each PART a word: ``{"Fl.": "root"}``."""

    of: Word

    def read(self, value: Any, name: str) -> tuple[tuple[PartName, str], ...]:
        if not isinstance(value, Mapping) or not value or len(value) > MANY:
            raise wants(name, "an object from parts to words", value)
        part = PartField()
        return tuple((part.read(k, name), self.of.read(v, name)) for k, v in value.items())

    def schema(self) -> JSON:
        return {"type": "object", "additionalProperties": self.of.schema(), "minProperties": 1}


@dataclass(frozen=True, slots=True)
class Form:
    """The fields of a kind besides id, kind, movement, bars, parts, negated."""

    fields: tuple[Field, ...] = ()
    parts: bool = True  # parts must be named
    bars: bool = True  # bars must be named; else the whole movement is meant
    own: frozenset[str] = field(default_factory=frozenset)

    def names(self) -> set[str]:
        return {f.name for f in self.fields}
