"""What is lit is what was found: the notes of a finding, all of them, no others, where they stand.

Against something outside: notes, rests, bars and parts are taken once more from the MusicXML by a
few lines of our own, and places from the engraved page. LIT_WHOLE=1: every score of the corpora.
LIT_SEED=n: other scores, bars and findings than usually.
"""

from __future__ import annotations

import os
import random
from collections import defaultdict
from collections.abc import Iterable
from typing import Any

import pytest
from django.urls import reverse
from lxml import etree

from analysis import storage
from analysis.effective import effective_findings
from analysis.engine import engrave, reader
from analysis.engine import findings as kept
from analysis.engine.analyses.registry import analyse
from analysis.engine.engrave.view import View
from analysis.engine.findings import evidence_as_dict
from analysis.engine.gate import admit
from analysis.engine.layering import LAYERS, ids_of
from analysis.engine.model import Finding, ScoreTable
from analysis.views.findings import by_value
from tests.browser import inside
from tests.cast import Cast, Stage
from tests.corpora import require_corpora, score_files

WHOLE = os.environ.get("LIT_WHOLE") == "1"
SEED = int(os.environ.get("LIT_SEED") or 20261126)
COUNT = 200  # findings in all
FILES = 5  # of the small ones, unless all are asked for
SMALL = 60_000  # bytes
BARS = 8  # engraved of each score
#: kinds whose proof is the harmony around, not the lines they are about
AROUND = {"key", "key-route", "chord"}


def files() -> list[Any]:
    if WHOLE:
        return score_files()
    small = [path for path in score_files() if path.stat().st_size < SMALL]
    return random.Random(SEED).sample(small, min(FILES, len(small)))


def printed(canonical: bytes) -> dict[str, tuple[int, int]]:
    """Of the file: part and bar of each note that is no rest."""
    return {
        note.get("id"): (p, b)
        for p, part in enumerate(etree.fromstring(canonical).findall("part"))
        for b, measure in enumerate(part.findall("measure"))
        for note in measure.findall("note")
        if note.find("rest") is None
    }


def drawn(pages: Iterable[bytes]) -> dict[str, list[tuple[int, int]]]:
    """Of the engraved pages: id -> every place at which it is drawn, as part and bar."""
    found = defaultdict(list)
    for staff in (g for svg in pages for g in etree.fromstring(svg).iter("{*}g")):
        if staff.get("data-part-index") is None:
            continue
        bar = next(int(a.get("data-bar")) for a in staff.iterancestors() if a.get("data-bar"))
        for note in staff.iter("{*}g"):
            if note.get("data-id"):
                found[note.get("data-id")].append((int(staff.get("data-part-index")), bar))
    return found


def lit_by(finding: Finding) -> tuple[set[str], list[tuple[str, int, int]]]:
    """Notes and rests the page lights: kept, read again, sent as its pieces (evidence.js)."""
    (again,) = kept.loads(kept.dumps([finding]))
    pieces = [evidence_as_dict(e) for e in again.evidence]
    notes = {i for piece in pieces for i in piece.get("ids", ())}
    return notes, [(p["part"], *p["bars"]) for p in pieces if p.get("rests")]


def some(findings: list[Finding], first: int, most: int, dice: random.Random) -> list[Finding]:
    """Kinds in turn, so that the rare ones come too."""
    kinds: dict[str, list[Finding]] = defaultdict(list)
    for finding in findings:
        if finding.evidence and finding.first < first + BARS and finding.last >= first:
            kinds[finding.kind].append(finding)
    rows = [dice.sample(rows, len(rows)) for _kind, rows in sorted(kinds.items())]
    turns = [row[n] for n in range(max(map(len, rows), default=0)) for row in rows if n < len(row)]
    return turns[:most]


@pytest.mark.corpora
@pytest.mark.slow
def test_what_is_lit_is_what_was_found() -> None:
    require_corpora()
    chosen = files()
    print(f"LIT_SEED={SEED}: {', '.join(path.stem for path in chosen)}")
    asked: list[str] = []  # kinds
    wrong: list[str] = []
    for left, path in zip(range(len(chosen), 0, -1), chosen, strict=True):
        dice = random.Random(f"{SEED} {path.stem}")
        canonical = admit(path.read_bytes(), path.name).canonical
        table, place = reader.read(canonical), printed(canonical)
        first = dice.randrange(max(1, len(table.bars) - BARS + 1))
        last = min(first + BARS, len(table.bars)) - 1
        on_page = drawn(engrave.passage(canonical, View(bars=(first, last))).svg.values())
        for finding in some(analyse(table), first, -(-(COUNT - len(asked)) // left), dice):
            asked.append(finding.kind)
            said = f"LIT_SEED={SEED} {path.stem} {finding.kind} {finding.first}-{finding.last}: "
            wrong += [said + fault for fault in faults(finding, table, place)]
            for i in {i for i in ids_of(finding) if i in place and first <= place[i][1] <= last}:
                if on_page[i] != [place[i]]:
                    wrong.append(f"{said}{i} drawn at {on_page[i]}")
    assert wrong == []
    assert len(asked) == COUNT
    assert len(set(asked)) >= 10


def faults(finding: Finding, table: ScoreTable, place: dict[str, tuple[int, int]]) -> list[str]:
    """What is lit for a finding and should not be, and what should be and is not."""
    found = []
    notes, rests = lit_by(finding)
    if notes != set(ids_of(finding)):
        found.append("other notes are lit than were found")
    if strange := notes - set(place):
        found.append(f"rests, or nothing of this score: {sorted(strange)}")
    own = {table.lines[n].part for n in finding.lines}
    if finding.kind not in AROUND and (other := {place[i][0] for i in notes & set(place)} - own):
        found.append(f"notes of other parts: {sorted(other)}")
    if finding.kind == "role" and (missing := plays(table, finding) - notes):
        found.append(f"not lit: {sorted(missing)}")
    index = {reading.id: n for n, reading in enumerate(table.first_readings)}
    for part, a, b in rests:  # in its bars, as far as the finding reaches
        span = max(finding.start, table.bars[a].start), min(finding.end, table.bars[b].end)
        if played := sounding(table, index[part], *span):
            found.append(f"{part} does not rest: {played}")
    return found


def sounding(table: ScoreTable, part: int, start: int, end: int) -> list[str]:
    """Notes of a part that sound in a span."""
    rows = table.sounding[table.sounding["part"] == part]
    return table.note_ids(rows[(rows["onset"] < end) & (rows["onset"] + rows["duration"] > start)])


def plays(table: ScoreTable, finding: Finding) -> set[str]:
    """All notes that begin in a finding's span, of its lines."""
    rows = [row for n in finding.lines for row in table.by_line[n]
            if finding.start <= row["onset"] < finding.end]  # fmt: skip
    return {table.ids[row["src"]] for row in rows}


# --- what the page makes of it ----------------------------------------------------
LIT = "() => [...document.querySelectorAll('.score-page .lit')].map((n) => n.dataset.id)"
RINGS = "() => document.querySelectorAll('.score-page .ring').length"
#: Of a sentence that stands for one finding: the finding by value, as an overrule would send it.
VALUE = """(row) => {
  const kept = row.querySelector(":scope > .finding-acts > form[data-finding] script");
  return kept && JSON.parse(kept.textContent);
}"""
LAYERED = """(name) => [...document.querySelectorAll('.score-page [data-layers]')]
  .filter((n) => n.dataset.layers.split(' ').includes(name)).map((n) => n.dataset.id)"""


@pytest.mark.browser
@pytest.mark.slow
@pytest.mark.django_db
def test_the_page_lights_these_notes(
    cast: Cast, stage: Stage, browser: Any, drain_jobs: Any
) -> None:
    table = storage.table_of(stage.run)
    found = [f for f in effective_findings(stage.run) if f.evidence]
    path = reverse("score", args=[stage.score.public_id])
    with inside.window(browser, cast.tutor, drain_jobs) as page:
        page.goto(f"{inside.HOST}{path}#b=1-8")
        rows = page.locator("#findings [data-finding-row]")
        rows.first.wait_for()
        page.locator('.bar-mark[data-bar="7"]').wait_for()
        for fold in page.locator("#findings .fold > summary").all():
            fold.click()
        alone = 0
        for row in rows.all():
            row.locator(":scope > [data-evidence]").evaluate("(said) => said.click()")
            lit = page.evaluate(LIT)
            assert len(lit) == len(set(lit)) == page.evaluate(RINGS)
            value = row.evaluate(VALUE)
            if value is None:  # several findings in one sentence: each of them whole
                whole = [set(ids_of(f)) for f in found if set(ids_of(f)) <= set(lit)]
                assert set(lit) == set().union(*whole)
                continue
            (finding,) = [f for f in found if by_value(f, table) == value] or [None]
            assert set(lit) == (set(ids_of(finding)) if finding else set()), value
            alone += finding is not None
        assert alone >= 10
        for name, make in LAYERS.items():
            box = page.locator(f"#layers [value={name}]")
            box.evaluate("(box) => box.click()")
            wanted = {i for f in found if make(table, f) for i in ids_of(f)}
            drawn_all = f"([name, most]) => ({LAYERED})(name).length >= most"
            page.wait_for_function(drawn_all, arg=[name, len(wanted)])
            assert set(page.evaluate(LAYERED, name)) == wanted, name
            box.evaluate("(box) => box.click()")
            page.wait_for_function(f"(n) => ({LAYERED})(n).length === 0", arg=name)
