"""Findings as JSON and back, without loss: how a run keeps them."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable
from typing import Any

from analysis.engine.errors import EngineError
from analysis.engine.model import Evidence, Finding, Sentence

SCHEMA = 1


def written(confidence: float) -> float:
    """A confidence (0 to 1) to four digits, cut off: never written surer than it is."""
    return math.floor(float(confidence) * 10_000 + 1e-6) / 10_000


def evidence_as_dict(evidence: Evidence) -> dict[str, Any]:
    if evidence.rests:
        return {"part": evidence.part, "bars": list(evidence.bars or ()), "rests": True}
    return {"ids": list(evidence.ids)}


def evidence_from_dict(value: dict[str, Any]) -> Evidence:
    if value.get("rests"):
        first, last = value["bars"]
        return Evidence(part=value["part"], bars=(first, last))
    return Evidence(ids=tuple(value["ids"]))


def as_dict(finding: Finding) -> dict[str, Any]:
    return {
        "kind": finding.kind,
        "movement": finding.movement,
        "first": finding.first,
        "last": finding.last,
        "start": finding.start,
        "end": finding.end,
        "lines": list(finding.lines),
        "value": dict(finding.value),
        "confidence": written(finding.confidence),
        "evidence": [evidence_as_dict(e) for e in finding.evidence],
        "sentence": {
            "template": finding.sentence.template,
            "params": dict(finding.sentence.params),
        },
    }


def from_dict(value: dict[str, Any]) -> Finding:
    return Finding(
        kind=value["kind"],
        movement=value["movement"],
        first=value["first"],
        last=value["last"],
        start=value["start"],
        end=value["end"],
        lines=tuple(value["lines"]),
        value=value["value"],
        confidence=value["confidence"],
        evidence=tuple(evidence_from_dict(e) for e in value["evidence"]),
        sentence=Sentence(value["sentence"]["template"], value["sentence"]["params"]),
    )


def dumps(findings: Iterable[Finding]) -> bytes:
    """UTF-8 JSON of all findings, in order."""
    rows = [as_dict(f) for f in findings]
    return json.dumps({"schema": SCHEMA, "findings": rows}, separators=(",", ":")).encode()


def loads(data: bytes) -> list[Finding]:
    """The findings back; EngineError if another schema wrote them."""
    value = json.loads(data)
    if value.get("schema") != SCHEMA:
        raise EngineError("These findings were written by another version; read the score again.")
    return [from_dict(row) for row in value["findings"]]
