"""The prediction of a small piece of our own, read off its notes (format: the corpora's README)."""

from __future__ import annotations

import itertools

import pytest

from analysis.engine import predict
from analysis.engine.analyses import analyse
from analysis.engine.errors import EngineError
from analysis.engine.predict import main, score_files
from tests.engine.tables import table

TUNE = "C5 q D5 E5 F5 | G5 E5 D5 C5 | C5 D5 E5 F5 | G5 h C5"
LOW = TUNE.replace("5", "3")


@pytest.fixture(scope="module")
def prediction():
    score = table({"Fl": f"{TUNE} | r", "Vla": "E4 w | E4 | E4 | E4 | E4", "Vc": f"{LOW} | C3 w"})
    return predict.predict(score, analyse(score))


def test_a_doubling_is_one_span_of_its_bars_with_unsigned_octaves(prediction):
    # four bars of 4/4; the flute lies two octaves above the cello
    assert prediction["doublings"] == [{"start": 0.0, "end": 16.0, "a": 0, "b": 2, "octaves": 2}]


def test_every_sounding_cell_has_one_row_with_roles_and_chances(prediction):
    cells = [(r["bar"], r["part"]) for r in prediction["roles"]]
    assert cells == sorted({(b, p) for p in range(3) for b in range(1, 6)} - {(5, 0)})
    for row in prediction["roles"]:
        assert row["roles"]
        assert set(row["roles"]) <= {"melody", "rhythm", "harmony"}
        assert set(row["p"]) == {"melody", "rhythm", "harmony"}
        assert all(0 <= p <= 1 for p in row["p"].values())


def test_melody_spans_do_not_overlap_and_name_the_leading_part_first(prediction):
    spans = prediction["melody"]
    assert all(a["end"] <= b["start"] for a, b in itertools.pairwise(spans))
    assert spans[0]["start"] == 0
    assert spans[0]["parts"][0] == 0
    assert all(len(s["parts"]) == len(set(s["parts"])) for s in spans)


def test_keys_tile_the_piece_and_have_a_chance(prediction):
    spans = prediction["keys"]
    assert (spans[0]["start"], spans[-1]["end"]) == (0, 20)
    assert all(a["end"] == b["start"] for a, b in itertools.pairwise(spans))
    assert {s["key"] for s in spans} == {"C major"}  # white notes round C
    assert all(0 < s["p"] < 1 for s in spans)


def test_two_movements_in_a_file_keep_their_bars_apart():
    score = table({"Fl": f"{TUNE} || {TUNE}", "Vc": f"{LOW} || {LOW}"})
    found = predict.predict(score, analyse(score))
    assert {r["bar"] for r in found["roles"]} == set(range(1, 9))
    assert found["keys"][-1]["end"] == 32


def test_a_refused_file_is_a_line_on_stderr_and_the_others_are_written(tmp_path, capsys):
    scores, out = tmp_path / "scores", tmp_path / "out"
    scores.mkdir()
    (scores / "broken.mxl").write_bytes(b"PK\x03\x04 this is no score")
    out.mkdir()
    (out / "broken.json").write_text("{}")  # of an earlier run
    assert main(["--scores", str(scores), "--out", str(out), "--jobs", "1"]) == 2
    told = capsys.readouterr()
    assert told.err.startswith("broken.mxl: ")
    assert len(told.err.splitlines()) == 1
    assert "0 of 1" in told.out
    assert list(out.iterdir()) == []


def test_no_score_is_told(tmp_path, capsys):
    assert main(["--scores", str(tmp_path), "--out", str(tmp_path / "o")]) == 1
    assert "no MXL file" in capsys.readouterr().err


def test_two_scores_of_one_name_cannot_both_be_predicted(tmp_path):
    for name in ("a", "b"):
        (tmp_path / name).mkdir()
        (tmp_path / name / "x.mxl").touch()
    with pytest.raises(EngineError, match="Two scores are called"):
        score_files(f"{tmp_path}/a:{tmp_path}/b")
