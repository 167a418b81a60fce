"""JSON Schemas of what goes in and out of the commands (draft 2020-12).

The claims schema follows from the registry of kinds; run
``python -m analysis.engine.schemas`` after a change of kinds or fields.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from analysis.engine.claims.schema import claim_schema, definitions

JSON = dict[str, Any]
HERE = Path(__file__).resolve().parent
DRAFT = "https://json-schema.org/draft/2020-12/schema"
NAMES = ("score", "claims", "answers")


def load(name: str) -> JSON:
    """The schema file of that name."""
    found: JSON = json.loads((HERE / f"{name}.schema.json").read_text(encoding="utf-8"))
    return found


def documents() -> dict[str, JSON]:
    """All schemas as the code has them; the files must be equal (tested)."""
    return {"score": _score(), "claims": _claims(), "answers": _answers()}


def _claims() -> JSON:
    claim = {"$ref": "#/$defs/claim"}
    request = {
        "type": "object",
        "properties": {
            "schema": {"const": 1},
            "settings": {"type": "object"},
            "edition": {
                "type": "object",
                "properties": {
                    "offset": {"type": "integer"},
                    "from": {"type": ["string", "integer", "null"]},
                },
                "additionalProperties": False,
            },
            "claims": {"type": "array", "items": claim},
        },
        "required": ["claims"],
        "additionalProperties": False,
    }
    return {
        "$schema": DRAFT,
        "title": "Claims to be checked",
        "anyOf": [{"type": "array", "items": claim}, request],
        "$defs": {"claim": claim_schema(), **definitions()},
    }


def _object(properties: JSON) -> JSON:
    return {
        "type": "object",
        "properties": properties,
        "required": list(properties),
        "additionalProperties": False,
    }


_TEXT: JSON = {"type": "string"}
_INDEX: JSON = {"type": "integer", "minimum": 0}
_CONFIDENCE: JSON = {"type": "number", "minimum": 0, "maximum": 1}
_FRACTION: JSON = {"type": "string", "pattern": "^[0-9]+(/[0-9]+)?$"}
_EVIDENCE: JSON = {
    "type": "array",
    "items": {
        "anyOf": [
            _object({"ids": {"type": "array", "items": _TEXT, "minItems": 1}}),
            _object(
                {
                    "part": _TEXT,
                    "bars": {"type": "array", "items": _INDEX, "minItems": 2, "maxItems": 2},
                    "rests": {"const": True},
                }
            ),
        ]
    },
}


def _many(items: JSON) -> JSON:
    return {"type": "array", "items": items}


def _answers() -> JSON:
    verdict = {"enum": ["right", "near", "wrong", "open"]}
    answer = _object(
        {
            "id": {"type": ["string", "integer", "null"]},
            "flag": {"enum": ["agrees", "partly", "conflicts", "ear"]},
            "place": verdict,
            "parts": verdict,
            "relation": verdict,
            "degree": verdict,
            "cause": {"type": ["string", "null"]},
            "truth": _object({"text": _TEXT, "claim": {"type": ["object", "null"]}}),
            "sentence": _TEXT,
            "note": _TEXT,
            "evidence": _EVIDENCE,
            "confidence": _CONFIDENCE,
        }
    )
    # What goes through one student's paper the same way, said once.
    paper = _object(
        {
            "paper": {"type": ["string", "integer"]},
            "cause": _TEXT,
            "answers": _many({"type": ["string", "integer"]}),
            "sentence": _TEXT,
        }
    )
    whole = _object(
        {
            "schema": {"const": 1},
            "engine": _TEXT,
            "file_sha256": {"type": "string", "pattern": "^[0-9a-f]{64}$"},
            "settings": {"type": "object"},
            "answers": _many(answer),
        }
    )
    whole["properties"]["papers"] = _many(paper)  # only where something goes through one
    return {"$schema": DRAFT, "title": "Answers to claims", **whole}


def _score() -> JSON:
    part = _object(
        {
            "id": _TEXT,
            "index": _INDEX,
            "label": _TEXT,
            "instrument": _TEXT,
            "family": {
                "enum": [
                    "woodwind",
                    "brass",
                    "percussion",
                    "keyboard",
                    "plucked",
                    "voice",
                    "strings",
                    "unknown",
                ]
            },
            "transposition": {"type": "integer"},
            "crook": {"type": ["string", "null"]},
            "players": _many({"type": "integer", "minimum": 1}),
            "octave_switch": {"type": "boolean"},
            "old_bass_clef": {"type": "boolean"},
            "from_bar": _INDEX,
            "doubt": {
                "anyOf": [
                    {"type": "null"},
                    _object({"about": {"enum": ["name", "pitch", "players"]}, "text": _TEXT}),
                ]
            },
        }
    )
    bar = _object(
        {
            "index": _INDEX,
            "label": _TEXT,
            "nth": {"type": "integer", "minimum": 1},
            "start": _FRACTION,
            "length": _FRACTION,
            "time": {"type": "string", "pattern": "^[0-9]+/[0-9]+$"},
            "passes": _many({"type": "integer", "minimum": 1}),
        }
    )
    pair = {"type": "array", "minItems": 2, "maxItems": 2}
    finding = _object(
        {
            "kind": _TEXT,
            "bars": {**pair, "items": _TEXT},
            "index": {**pair, "items": _INDEX, "description": "Bar indices, from 0."},
            "parts": _many(_TEXT),
            "value": {
                "$ref": "#/$defs/claim",
                "description": "The finding as a claim without id; its movement counts from 1.",
            },
            "confidence": _CONFIDENCE,
            "evidence": _EVIDENCE,
            "sentence": _TEXT,
        }
    )
    warning = _object(
        {"code": _TEXT, "text": _TEXT, "bars": _many(_TEXT), "part": {"type": ["string", "null"]}}
    )
    movement = _object(
        {
            "index": {
                **_INDEX,
                "description": (
                    "Place in the file, from 0 like every index here. Claims, and the value of "
                    "findings, call the first movement 1."
                ),
            },
            "title": _TEXT,
            "parts": _many(part),
            "bars": _many(bar),
            "notes": _INDEX,
            "findings": _many(finding),
        }
    )
    return {
        "$schema": DRAFT,
        "title": "The computed reading of a score",
        **_object(
            {
                "schema": {"const": 1},
                "engine": _TEXT,
                "title": _TEXT,
                "warnings": _many(warning),
                "movements": _many(movement),
            }
        ),
        "$defs": {"claim": claim_schema(), **definitions()},
    }
