"""Ask the checker about a hand-made table, and what must hold of every answer."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from analysis.engine import claims
from analysis.engine.model import Finding, ScoreTable, Sentence
from analysis.engine.settings import Settings

FLAGS = {"agrees", "partly", "conflicts", "ear"}
VERDICTS = {"right", "near", "wrong", "open"}


def ask(
    table: ScoreTable,
    kind: str,
    bars: Any = None,
    parts: Sequence[Any] = (),
    *,
    findings: Sequence[Finding] = (),
    settings: Settings | None = None,
    overrules: Sequence[claims.Overruling] = (),
    edition: claims.Edition | None = None,
    **fields: Any,
) -> dict[str, Any]:
    """The answer as JSON, after the checks that hold for every answer.

    A trailing underscore is dropped ("with_"), inner ones become hyphens.
    """
    claim = {"id": "c1", "kind": kind, "parts": list(parts)}
    claim |= {k.rstrip("_").replace("_", "-"): v for k, v in fields.items()}
    if bars is not None:
        claim["bars"] = [bars] if isinstance(bars, str) else bars
    given = {"findings": findings, "settings": settings}
    answer = claims.answer(
        claim, table, given["findings"], settings, overrules=overrules, edition=edition
    )
    value = answer.as_dict()
    hold(value)
    truth = value["truth"]["claim"]
    if truth is not None:
        again = claims.answer(truth, table, findings, settings, overrules=overrules).as_dict()
        assert again["flag"] == "agrees", (value["truth"], again)
        assert again["cause"] is None
    return value


def hold(value: dict[str, Any]) -> None:
    """What every answer must be like, whatever was asked."""
    assert value["flag"] in FLAGS
    verdicts = [value[k] for k in ("place", "parts", "relation", "degree")]
    assert set(verdicts) <= VERDICTS
    assert value["sentence"]
    assert 0 <= value["confidence"] <= 1
    if value["flag"] == "agrees":
        assert set(verdicts) == {"right"} or value["cause"]
    if value["flag"] in ("agrees", "partly", "conflicts"):
        assert value["evidence"], value["sentence"]
    assert "wrong" not in value["sentence"].casefold().split()
    assert "error" not in value["sentence"].casefold()


def ids(value: dict[str, Any]) -> set[str]:
    """All note ids of the evidence."""
    return {i for e in value["evidence"] for i in e.get("ids", ())}


def region(
    table: ScoreTable, first: int, last: int, key: str, confidence: float, how: str = "region"
) -> Finding:
    """A key finding made by hand, bar indices."""
    bars = table.bars
    return Finding(
        kind="key",
        movement=bars[first].movement,
        first=first,
        last=last,
        start=bars[first].start,
        end=bars[last].end,
        lines=(),
        value={"kind": "key", "key": key, "how": how},
        confidence=confidence,
        evidence=(_some(table, first),),
        sentence=Sentence("key.region", {}),
    )


def role(
    table: ScoreTable, line: int, first: int, last: int, word: str, confidence: float
) -> Finding:
    """A role finding made by hand."""
    bars = table.bars
    part = table.first_readings[table.lines[line].part].id
    return Finding(
        kind="role",
        movement=bars[first].movement,
        first=first,
        last=last,
        start=bars[first].start,
        end=bars[last].end,
        lines=(line,),
        value={"kind": "role", "parts": [part], "role": word},
        confidence=confidence,
        evidence=(_some(table, first),),
        sentence=Sentence("role", {}),
    )


def _some(table: ScoreTable, bar: int):
    from analysis.engine.model import Evidence

    rows = table.notes[table.notes["bar"] == bar]
    return Evidence(ids=tuple(table.note_ids(rows[:3])))
