"""The findings of chosen bars as the tutor's page shows them, followed to the last fold."""

from __future__ import annotations

import html
import json
import re
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from analysis import storage
from analysis.effective import effective_findings
from analysis.engine.analyses.registry import ANALYSES
from analysis.engine.engrave import View, passage
from analysis.engine.telling import TOPICS
from analysis.engine.telling.reach import touching
from analysis.jobs.worker import drain
from analysis.selectors import current_run
from analysis.services import overrules
from courses.models import ScoreVersion, User
from tests.analysis.small import written_score
from tests.cast import Cast, Stage, confirm_everything, upload
from tests.demo.scores import path

pytestmark = [pytest.mark.django_db, pytest.mark.slow]

ROW = re.compile(r"<li class=\"finding\".*?(?=<li class=\"finding\"|</ul>)", re.DOTALL)
SCRIPT = re.compile(r"<script type=\"application/json\">(.*?)</script>", re.DOTALL)
FOLD = re.compile(r"data-url=\"([^\"]+)\"")


class Page:
    """A fragment with everything that lies beneath it, fetched as the page's script does."""

    def __init__(self, client: Client, version: ScoreVersion, **asked: Any) -> None:
        self.client = client
        self.where = reverse("findings", args=[version.score.public_id])
        self.file = str(version.public_id)
        self.first = self.get(asked)
        self.by_value: list[dict[str, Any]] = []
        self.lit: dict[str, set[str]] = {}  # label of a topic -> ids of notes
        self.rests: dict[str, int] = {}
        self.sentences: list[str] = []
        self.requests = 1
        self._follow(self.first)

    def get(self, asked: dict[str, Any]) -> Any:
        answer = self.client.get(self.where, {**asked, "file": self.file})
        assert answer.status_code == 200
        return answer

    def _follow(self, answer: Any) -> None:
        page = answer.content.decode()
        rows = answer.context.get("rows") or [
            row for s in answer.context["sections"] for row in s["rows"]
        ]
        assert len(ROW.findall(page)) == len(rows)
        for row in rows:
            self.sentences.append(row["sentence"])
            for piece in row["evidence"]:
                self.lit.setdefault(row["topic"], set()).update(piece.get("ids", ()))
                self.rests[row["topic"]] = self.rests.get(row["topic"], 0) + ("rests" in piece)
        for script in SCRIPT.findall(page):
            value = json.loads(script)
            if isinstance(value, dict):
                self.by_value.append(value)
        for fold in FOLD.findall(page):
            query = html.unescape(fold).removeprefix("?")
            self.requests += 1
            answer = self.client.get(f"{self.where}?{query}&file={self.file}")
            assert answer.status_code == 200, query
            self._follow(answer)


def values(findings: Any) -> list[str]:
    return sorted(
        json.dumps([f.kind, f.first, f.last, dict(f.value)], sort_keys=True) for f in findings
    )


def shown(page: Page) -> list[str]:
    return sorted(
        json.dumps([v["kind"], v["first_bar"], v["last_bar"], v["value"]], sort_keys=True)
        for v in page.by_value
    )


@pytest.mark.parametrize("span", [(0, 0), (1, 4), (0, 7)])
def test_every_finding_can_be_reached_and_overruled(
    cast: Cast, stage: Stage, client: Client, span: tuple[int, int]
) -> None:
    """Each stands once with itself by value, which is what "it is not there" sends."""
    client.force_login(cast.tutor)
    page = Page(client, stage.version, first=span[0], last=span[1])
    table = storage.table_of(stage.run)
    assert shown(page) == values(touching(table, effective_findings(stage.run), *span))


def test_every_note_of_the_evidence_is_lit_and_no_other(
    cast: Cast, stage: Stage, client: Client
) -> None:
    client.force_login(cast.tutor)
    page = Page(client, stage.version, first=0, last=7)
    lit = set().union(*page.lit.values())
    proof = {i for f in effective_findings(stage.run) for e in f.evidence for i in e.ids}
    assert lit == proof


def test_one_topic_can_be_chosen_and_is_counted(cast: Cast, stage: Stage, client: Client) -> None:
    client.force_login(cast.tutor)
    everything = Page(client, stage.version, first=0, last=7)
    counts = {
        t["name"]: t["count"] for h in everything.first.context["headings"] for t in h["topics"]
    }
    one = Page(client, stage.version, first=0, last=7, topic="doubling")
    assert {v["kind"] for v in one.by_value} == {"doubling"}
    rows = [row for s in one.first.context["sections"] for row in s["rows"]]
    assert len(rows) == counts["doubling"]
    page = everything.first.content.decode()
    assert "simplified and partial doublings" in {t.label for t in TOPICS}
    assert not re.search(r">\s*(?:open-tones|sides-with|key-route|build-up)\s*<", page)


def test_parts_narrow_the_list(cast: Cast, stage: Stage, client: Client) -> None:
    client.force_login(cast.tutor)
    page = Page(client, stage.version, first=0, last=7, parts="P2")
    table = storage.table_of(stage.run)
    found = touching(table, effective_findings(stage.run), 0, 7, ["P2"])
    assert shown(page) == values(found)
    assert found


def test_what_holds_of_the_whole_movement_is_folded_beneath(
    cast: Cast, stage: Stage, client: Client
) -> None:
    client.force_login(cast.tutor)
    page = Page(client, stage.version, first=1, last=1)
    above = page.first.content.decode()
    assert "octave" in above, "the flute's doubling of bars 1-4 is local"
    assert '"kind": "layout"' not in above
    assert '"kind": "open-tones"' not in above
    assert {"layout", "open-tones"} <= {v["kind"] for v in page.by_value}
    asked = page.get({"first": 1, "last": 1, "topic": "layout"})
    assert "Of the whole movement" not in asked.content.decode(), "what was asked for is there"
    assert any(row["kind"] == "layout" for s in asked.context["sections"] for row in s["rows"])


def test_a_word_of_the_tutor_changes_the_list_at_once(
    cast: Cast, stage: Stage, client: Client
) -> None:
    client.force_login(cast.tutor)
    before = Page(client, stage.version, first=0, last=3, topic="doubling")
    value = before.by_value[0]
    overrules.overrule(
        version=stage.version, by=cast.tutor, kind=value["kind"], movement=value["movement"],
        first_bar=value["first_bar"], last_bar=value["last_bar"], parts=value["parts"],
        says="absent", overruled=value["value"], reason="They only meet.",
    )  # fmt: skip
    after = Page(client, stage.version, first=0, last=3, topic="doubling")
    assert len(after.by_value) < len(before.by_value)


@pytest.mark.parametrize(
    "wrong",
    [{"first": "x"}, {"first": 3, "last": 1}, {"first": 0, "last": 99}, {"of": "1e"},
     {"of": 99999}, {"start": -1}, {"of": -1}],
    ids=repr,
)  # fmt: skip
def test_a_bad_question_is_no_page(
    cast: Cast, stage: Stage, client: Client, wrong: dict[str, Any]
) -> None:
    client.force_login(cast.tutor)
    where = reverse("findings", args=[stage.score.public_id])
    assert client.get(where, {"first": 0, "last": 0, **wrong}).status_code == 404


def test_an_unknown_topic_or_fold_is_an_empty_list(
    cast: Cast, stage: Stage, client: Client
) -> None:
    client.force_login(cast.tutor)
    where = reverse("findings", args=[stage.score.public_id])
    for more in ({"topic": "nonsense"}, {"under": "nonsense"}):
        answer = client.get(where, {"first": 0, "last": 7, **more})
        assert answer.status_code == 200
        assert '<p class="empty">' in answer.content.decode()


def test_the_list_asks_the_database_as_much_for_a_movement_as_for_a_bar(
    cast: Cast, stage: Stage, client: Client
) -> None:
    client.force_login(cast.tutor)
    where = reverse("findings", args=[stage.score.public_id])

    def queries(**asked: Any) -> int:
        with CaptureQueriesContext(connection) as seen:
            assert client.get(where, asked).status_code == 200
        return len(seen.captured_queries)

    queries(first=0, last=0)
    assert queries(first=0, last=0) == queries(first=0, last=7) <= 8
    assert queries(first=0, last=7, under="whole") <= 8


@pytest.mark.slow
def test_what_each_analysis_finds_is_shown_with_notes_that_are_on_the_page(
    cast: Cast, client: Client
) -> None:
    """Every analysis of the registry, on the two demo movements and a little score.

    The little score has what the two have not: a flute without a rest for half a minute, and a
    horn that goes with the violins where its natural notes allow.
    """
    client.force_login(cast.tutor)
    told: set[str] = set()
    for n, data in enumerate((path(1).read_bytes(), path(2).read_bytes(), breath_and_horn())):
        version = read(cast.tutor, data, n)
        run = current_run(version)
        assert run is not None
        last = len(run.copy.outline["bars"]) - 1
        page = Page(client, version, first=0, last=last)
        made = passage(storage.get(run.copy.file), View())
        drawn = set(re.findall(rb'data-id="([^"]+)"', b"".join(made.svg.values())))
        assert drawn
        for topic, ids in page.lit.items():
            assert {i.encode() for i in ids} <= drawn, topic
        told |= {topic for topic, ids in page.lit.items() if ids or page.rests[topic]}
        table = storage.table_of(run)
        assert shown(page) == values(touching(table, effective_findings(run), 0, last))
    for analysis in ANALYSES:
        labels = {t.label for t in TOPICS if analysis.name in t.analyses}
        assert labels & told, analysis.name


def read(tutor: User, data: bytes, n: int) -> ScoreVersion:
    """Through upload, confirmation and reading, with real jobs."""
    version = upload(tutor, data, title=f"Movement {n}", order=n + 1)
    drain(most=10, seconds=120)
    version.refresh_from_db()
    confirm_everything(version, tutor)
    drain(most=10, seconds=120)
    version.refresh_from_db()
    assert version.state == ScoreVersion.State.READY, version.problem
    return version


def breath_and_horn() -> bytes:
    tune = ["C5 D5 E5 F5", "G5 A5 G5 F5", "E5 D5 E5 F5", "G5 G5 C5 -"] * 3
    horn = ["C4 - E4 -", "G4 - G4 -", "E4 - E4 -", "G4 G4 C4 -"] * 3
    return written_score(
        {
            "Flauto": ("G2", ["E5 F5 G5 A5"] * 12),
            "Corno in Do": ("G2", horn),
            "Violino I": ("G2", tune),
        },
        tempo=60,
    )
