"""read_score and check_claims as a person calls them: files in, JSON and exit codes out."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest

from analysis.engine import cli, export
from analysis.engine.errors import EngineError
from analysis.engine.schemas import load
from tests.corpora import CHECKOUT, require_corpora
from tests.engine.claims.pieces import doublings

pytestmark = pytest.mark.slow

XML = """<?xml version="1.0" encoding="UTF-8"?>
<score-partwise version="4.0"><work><work-title>Three bars</work-title></work><part-list>
<score-part id="P1"><part-name>Flauto</part-name></score-part>
<score-part id="P2"><part-name>Violino I</part-name></score-part></part-list>
<part id="P1">{flute}</part><part id="P2">{violin}</part></score-partwise>"""


def part(octave: int) -> str:
    bars = []
    for number, steps in enumerate(("CDEF", "GEDC", "CDEF"), start=1):
        attributes = (
            "<attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type>"
            "</time><clef><sign>G</sign><line>2</line></clef></attributes>"
            if number == 1
            else ""
        )
        notes = "".join(
            f"<note><pitch><step>{s}</step><octave>{octave}</octave></pitch><duration>1</duration>"
            "<type>quarter</type></note>"
            for s in steps
        )
        bars.append(f'<measure number="{number}">{attributes}{notes}</measure>')
    return "".join(bars)


@pytest.fixture
def score(tmp_path) -> Path:
    path = tmp_path / "three.musicxml"
    path.write_text(XML.format(flute=part(6), violin=part(5)), encoding="utf-8")
    return path


CLAIMS = [
    {"id": "a", "kind": "doubling", "bars": ["1", "3"], "parts": ["flute"],
     "with": ["first violins"], "octaves": 1},
    {"id": "b", "kind": "playing", "bars": ["1", "3"], "parts": ["flute"], "mode": "rest"},
    {"id": "c", "kind": "riddle"},
]  # fmt: skip


def run(name: str, *arguments: str) -> subprocess.CompletedProcess[str]:
    """The command in a process of its own, with a database that cannot be reached."""
    nowhere = {
        "DATABASE_URL": "postgres://nobody@127.0.0.1:1/none",
        "SECRET_KEY": "for one test alone, " * 3,
    }
    env = {**os.environ, **nowhere}
    return subprocess.run(
        [sys.executable, "manage.py", name, *arguments],
        cwd=CHECKOUT, env=env, capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip


def test_both_commands_without_a_database(score, tmp_path):
    out = tmp_path / "score.json"
    done = run("read_score", str(score), "--json", str(out))
    assert done.returncode == 0, done.stderr
    assert "Violino I" in done.stdout
    value = json.loads(out.read_text(encoding="utf-8"))
    jsonschema.validate(value, load("score"))
    assert value["movements"][0]["notes"] == 24
    asked, answered = tmp_path / "claims.json", tmp_path / "answers.json"
    asked.write_text(json.dumps({"schema": 1, "settings": {}, "claims": CLAIMS}))
    done = run("check_claims", str(score), str(asked), "--json", str(answered))
    assert done.returncode == 0, done.stderr
    value = json.loads(answered.read_text(encoding="utf-8"))
    jsonschema.validate(value, load("answers"))
    assert [a["flag"] for a in value["answers"]] == ["agrees", "conflicts", "ear"]
    assert value["answers"][2]["cause"] == "not-understood"


def call(function, *arguments, **options):
    out, err = io.StringIO(), io.StringIO()
    code = function(*map(str, arguments), out, err, **options)
    return code, out.getvalue(), err.getvalue()


def test_a_refused_file_is_one_sentence_and_exit_2(tmp_path):
    broken = tmp_path / "broken.musicxml"
    broken.write_text("<score-partwise><part>")
    for path in (broken, tmp_path / "not-there.mxl"):
        code, out, err = call(cli.read_score, path)
        assert (code, out) == (2, "")
        assert err.count("\n") == 1
        assert "Traceback" not in err


def test_json_that_cannot_be_written_is_one_sentence_and_exit_4(score, tmp_path):
    asked = tmp_path / "claims.json"
    asked.write_text(json.dumps(CLAIMS[:1]))
    for nowhere in (tmp_path / "no-such-folder" / "x.json", tmp_path):
        for function, files in ((cli.read_score, [score]), (cli.check_claims, [score, asked])):
            code, out, err = call(function, *files, json_to=str(nowhere))
            assert (code, out) == (4, "")
            assert err.count("\n") == 1
            assert str(nowhere) in err
    done = run("read_score", str(score), "--json", str(tmp_path / "no-such-folder" / "x.json"))
    assert done.returncode == 4
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    "text",
    ["", "{", "17", '{"claims": 3}', '{"claims": [], "mood": 1}', '{"claims": [], "schema": 2}',
     '{"claims": [], "settings": {"nothing": 1}}', '{"claims": [], "edition": {"offset": "x"}}'],
)  # fmt: skip
def test_unreadable_claims_exit_3(score, tmp_path, text):
    asked = tmp_path / "claims.json"
    asked.write_text(text)
    code, _, err = call(cli.check_claims, score, asked)
    assert code == 3
    assert err.count("\n") == 1


def test_settings_of_the_file_are_used_and_told(score, tmp_path):
    asked, out = tmp_path / "claims.json", tmp_path / "out.json"
    asked.write_text(json.dumps({"settings": {"doubling_min_met": 20}, "claims": CLAIMS[:1]}))
    code, _, _ = call(cli.check_claims, score, asked, json_to=str(out))
    value = json.loads(out.read_text())
    assert code == 0
    assert value["settings"]["doubling_min_met"] == 20
    assert value["answers"][0]["flag"] != "agrees"


def test_a_confirmation_of_parts_is_used(score, tmp_path):
    """The tutor says the flute part is read an octave lower."""
    out, asked = tmp_path / "score.json", tmp_path / "claims.json"
    assert call(cli.read_score, score, json_to=str(out))[0] == 0
    parts = json.loads(out.read_text())["movements"][0]["parts"]
    parts[0] |= {"transposition": -12}
    confirmed = tmp_path / "parts.json"
    confirmed.write_text(json.dumps(parts))
    unison = [{**CLAIMS[0], "octaves": 0}]
    asked.write_text(json.dumps(unison))
    answered = tmp_path / "answers.json"
    call(cli.check_claims, score, asked, json_to=str(answered))
    before = json.loads(answered.read_text())["answers"][0]["flag"]
    call(cli.check_claims, score, asked, parts=str(confirmed), json_to=str(answered))
    after = json.loads(answered.read_text())["answers"][0]["flag"]
    assert (before, after) == ("partly", "agrees")


@pytest.mark.parametrize("value", [None, [], [1], [{"id": "P1"}], {"parts": "x"}])
def test_parts_of_another_shape_are_named(value):
    with pytest.raises(EngineError):
        export.read_parts(value)


def test_parts_go_out_and_come_back():
    table = doublings()
    rows = [export.part_json(p) for p in table.first_readings]
    back = export.read_parts(json.loads(json.dumps(rows)))
    assert [export.part_json(p) for p in back] == rows


@pytest.mark.corpora
@pytest.mark.slow
def test_a_real_score(tmp_path):
    # OpenScore Orchestra (CC0): Beethoven, op. 21, second movement.
    path = require_corpora() / "scores" / "Beethoven_Op.21_2.mxl"
    out, asked = tmp_path / "score.json", tmp_path / "claims.json"
    assert call(cli.read_score, path, json_to=str(out))[0] == 0
    value = json.loads(out.read_text(encoding="utf-8"))
    jsonschema.validate(value, load("score"))
    movement = value["movements"][0]
    found = [f for f in movement["findings"] if f["kind"] == "doubling"][:40]
    asked.write_text(json.dumps([f["value"] for f in found]))  # as they stand
    answered = tmp_path / "answers.json"
    assert call(cli.check_claims, path, asked, json_to=str(answered))[0] == 0
    answers = json.loads(answered.read_text(encoding="utf-8"))["answers"]
    assert {a["flag"] for a in answers} <= {"agrees", "ear"}  # ear: unconfirmed parts only
    assert all(a["cause"] == "unconfirmed-part" for a in answers if a["flag"] == "ear")
