"""Findings of chosen bars, as fragments of the score page: the telling ones, then the rest."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext
from django.views.decorators.http import require_GET

from analysis import storage
from analysis.effective import effective_findings
from analysis.engine import sentences
from analysis.engine.claims import RULED
from analysis.engine.findings import evidence_as_dict
from analysis.engine.model import Finding, ScoreTable
from analysis.engine.settings import Settings
from analysis.engine.telling import (
    HEADINGS,
    TOPICS,
    Item,
    Telling,
    beside_bars,
    confidence_word,
    tell,
    topic_of,
)
from analysis.engine.telling.reach import places_of
from analysis.selectors import current_run, version_asked
from courses.access import SignedRequest, own_score, tutor_required
from courses.bars import typed

ASKED = 30  # shown at once where one topic was asked for
SHARE = 60  # sent at once of what lies beneath
PLACES = 3  # bars of an item that are links


@dataclass(frozen=True)
class Asked:
    """What the page asks for, checked."""

    first: int
    last: int
    parts: tuple[str, ...]
    topic: str
    under: str  # a heading, "unsure" or "whole": what lies beneath it
    of: int | None  # number of a finding: every finding of its item by itself
    start: int  # how many of them are there already

    def address(self, **more: Any) -> str:
        values = {"first": self.first, "last": self.last, "parts": ",".join(self.parts),
                  "topic": self.topic, **more}  # fmt: skip
        return "?" + urlencode({k: v for k, v in values.items() if v not in ("", None)})


@require_GET
@tutor_required
def findings(request: SignedRequest, score_id: uuid.UUID) -> HttpResponse:
    """Findings of the chosen bars and parts; with `under` or `of` only what lies beneath."""
    score = own_score(request.user, score_id)
    version = version_asked(score, request.GET.get("file"))
    run = current_run(version) if version else None
    if version is None or run is None:
        raise Http404
    asked = _asked(request, len(run.copy.outline["bars"]))
    table, found = storage.table_of(run), effective_findings(run)
    settings = Settings.from_dict(run.settings)
    telling = tell(table, found, asked.first, asked.last, settings, parts=asked.parts,
                   topic=asked.topic, shown=ASKED if asked.topic else 12)  # fmt: skip
    rows = _Rows(table, run.copy.outline, settings, asked, {id(f): n for n, f in enumerate(found)})
    page: dict[str, Any] = {
        "score": score,
        "version": version,
        "asked": asked,
        "sayable": {k.name for k in RULED},
    }
    if asked.of is not None:
        every = _inside(telling, found, asked.of)
        page["rows"] = [rows.of_finding(f) for f in every]
        return render(request, "analysis/_finding_rows.html", page)
    if asked.under:
        items = _beneath(telling, asked.under)
        end = asked.start + SHARE
        page["rows"] = [rows.of_item(item) for item in items[asked.start : end]]
        page["further"] = max(0, len(items) - end)
        page["further_url"] = asked.address(under=asked.under, start=end)
        return render(request, "analysis/_finding_rows.html", page)
    page |= _whole_page(telling, rows, asked)
    page["bars"] = span_label(run.copy.outline, asked.first, asked.last)
    return render(request, "analysis/_findings.html", page)


def _whole_page(telling: Telling, rows: _Rows, asked: Asked) -> dict[str, Any]:
    return {
        "sections": [
            {
                "name": s.heading.name,
                "label": s.heading.label,
                "rows": [rows.of_item(i) for i in s.shown],
                "more": len(s.more),
                "more_url": asked.address(under=s.heading.name),
            }
            for s in telling.sections
        ],
        "folds": [
            {"label": label, "count": len(items), "url": asked.address(under=name)}
            for name, label, items in (
                ("unsure", "Unsure", telling.unsure),
                ("whole", "Of the whole movement", telling.whole),
            )
            if items
        ],
        "headings": _filter(telling.counts),
        "topic": next((t for t in TOPICS if t.name == asked.topic), None),
        "total": sum(telling.counts.values()),
    }


def _asked(request: SignedRequest, bars: int) -> Asked:
    values = request.GET
    try:
        first = int(values.get("first", "0"))
        last = int(values.get("last", first))
        start = int(values.get("start", "0"))
        of = int(values["of"]) if values.get("of") else None
    except ValueError:
        raise Http404 from None
    if not 0 <= first <= last < bars or start < 0:
        raise Http404
    parts = tuple(p for p in values.get("parts", "").split(",") if p)
    topic, under = values.get("topic", ""), values.get("under", "")
    return Asked(first, last, parts, topic, under, of, start)


def _beneath(telling: Telling, under: str) -> Sequence[Item]:
    folds = {"unsure": telling.unsure, "whole": telling.whole}
    if under in folds:
        return folds[under]
    return next((s.more for s in telling.sections if s.heading.name == under), ())


def _inside(telling: Telling, found: Sequence[Finding], number: int) -> Sequence[Finding]:
    """All findings of the item in which finding `number` of the reading is the first."""
    if not 0 <= number < len(found):
        raise Http404
    for item in telling.items():
        if item.findings[0] is found[number]:
            return item.every
    raise Http404


def _filter(counts: dict[str, int]) -> list[dict[str, Any]]:
    """The topics that are there under their headings, with how many items each has."""
    rows = []
    for heading in HEADINGS:
        topics = [{"name": t.name, "label": t.label, "count": counts[t.name]}
                  for t in TOPICS if t.heading == heading.name and counts.get(t.name)]  # fmt: skip
        if topics:
            rows.append({"label": heading.label, "topics": topics})
    return rows


def span_label(outline: dict[str, Any], first: int, last: int) -> str:
    """Bars as printed: "9", "9–12"."""
    bars = outline["bars"]
    a, b = bars[first]["label"], bars[min(last, len(bars) - 1)]["label"]
    return str(a) if first == last else f"{a}–{b}"


@dataclass(frozen=True)
class _Rows:
    """Makes rows for the templates."""

    table: ScoreTable
    outline: dict[str, Any]
    settings: Settings
    asked: Asked
    numbers: dict[int, int]  # id of a finding -> its place in the reading

    def of_item(self, item: Item) -> dict[str, Any]:
        """An item; where it stands for one finding alone, that finding by value."""
        alone = item.findings[0] if len(item.every) == 1 else None
        row = self._row(item.findings, item.sentence, item.confidence, item.places)
        row["each"] = 0 if alone else len(item.every)
        row["each_url"] = self.asked.address(of=self.numbers[id(item.findings[0])])
        row["by_value"] = by_value(alone, self.table) if alone else None
        return row

    def of_finding(self, finding: Finding) -> dict[str, Any]:
        row = self._row((finding,), finding.sentence, finding.confidence, places_of(finding))
        return {**row, "each": 0, "by_value": by_value(finding, self.table)}

    def _row(
        self, findings: Sequence[Finding], sentence: Any, confidence: float, places: Any
    ) -> dict[str, Any]:
        """What a page needs of findings told in one sentence."""
        evidence: list[dict[str, Any]] = []
        for finding in findings:
            for piece in map(evidence_as_dict, finding.evidence):
                if piece not in evidence:
                    evidence.append(piece)
        return {
            "kind": findings[0].kind,
            "topic": topic_of(findings[0]).label,
            "places": [
                {"first": a, "last": b, "bars": span_label(self.outline, a, b),
                 "typed": typed(a, b, self.outline)} for a, b in places[:PLACES]
            ],
            "places_more": max(0, len(places) - PLACES),
            "sentence": sentences.render(sentence, gettext),
            "said": beside_bars(sentence, gettext),
            "confidence": confidence,
            "word": confidence_word(confidence, self.settings),
            "evidence": evidence,
            "first": min(f.first for f in findings),
            "last": max(f.last for f in findings),
            "parts": parts_of(findings, self.table),
        }  # fmt: skip


def parts_of(findings: Sequence[Finding], table: ScoreTable) -> list[str]:
    """Ids of the parts that findings are about, sorted."""
    lines = {line for f in findings for line in f.lines}
    return sorted({table.first_readings[table.lines[i].part].id for i in lines})


def by_value(finding: Finding, table: ScoreTable) -> dict[str, Any]:
    """A finding as notes and overrules keep it (contract 5.3)."""
    return {
        "kind": finding.kind,
        "movement": finding.movement,
        "first_bar": finding.first,
        "last_bar": finding.last,
        "parts": _parts_by_value(finding, table),
        "value": dict(finding.value),
    }


def _parts_by_value(finding: Finding, table: ScoreTable) -> list[dict[str, Any]]:
    """Parts and players of a finding, as overrules keep them."""
    rows = []
    for index in finding.lines:
        line = table.lines[index]
        players = [n + 1 for n in range(31) if line.players >> n & 1]
        rows.append(
            {
                "part": table.first_readings[line.part].id,
                "player": players[0] if len(players) == 1 else None,
            }
        )
    return rows
