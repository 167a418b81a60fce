"""Predictions of real scores: the answers are not needed; the floors hold.

Answers: S3 (Lin et al., ISMIR 2024 late-breaking) for roles and keys; doublings by the independent
note tables of OpenScore Orchestra (Gotham et al.).
"""

from __future__ import annotations

import shutil
import subprocess
import sys

import pytest

from tests import accuracy
from tests.corpora import CHECKOUT, require_corpora

#: two short movements of two corpora
SHORT = ("scores/Bach_BWV.232_16.mxl", "eval/scores_roles_keys/dv2.mxl")
#: six scores of six works, none of them seen by the role weights except the first
SIX = (
    "Beethoven_Op.55_3", "Brahms_Op.90_3", "Bach_BWV.1048_1", "Bach_BWV.232_18", "Beach_Op.32_2",
    "Schubert_D.485_1",
)  # fmt: skip


def run(scores, out, corpora, seed):
    """Predict in a process whose CORPORA and hash seed are given; the bytes by name."""
    command = [sys.executable, "-m", "analysis.engine.predict", "--jobs", "2"]
    subprocess.run(
        [*command, "--scores", str(scores), "--out", str(out)],
        cwd=CHECKOUT,
        env={"PATH": "/usr/bin:/bin", "CORPORA": str(corpora), "PYTHONHASHSEED": seed},
        check=True,
    )
    return {p.name: p.read_bytes() for p in out.iterdir()}


@pytest.mark.corpora
def test_without_the_answers_the_bytes_are_the_same(tmp_path):
    shared = require_corpora()
    scores, alone = tmp_path / "beside", tmp_path / "alone"
    scores.mkdir()
    (alone / "scores").mkdir(parents=True)
    for name in SHORT:
        shutil.copy(shared / name, scores)
        shutil.copy(shared / name, alone / "scores")
    with_answers = run(scores, tmp_path / "one", shared, "1")
    without = run(alone / "scores", tmp_path / "two", alone, "2")
    assert sorted(with_answers) == ["Bach_BWV.232_16.json", "dv2.json"]
    assert with_answers == without


@pytest.mark.corpora
@pytest.mark.slow
def test_the_floors_hold(tmp_path, capsys):
    shared = require_corpora()
    some = tmp_path / "scores"
    some.mkdir()
    for name in SIX:
        shutil.copy(shared / "scores" / f"{name}.mxl", some)
    folders = f"{some}:{shared / 'eval' / 'scores_roles_keys'}"
    result = accuracy.measure(folders, shared / "eval", tmp_path / "out", jobs=2, loo=False)
    assert len(result["s3"]["movements"]) == 8
    assert len(result["hauptstimme"]["movements"]) == 6
    assert accuracy.below_floor(result) == ([], [])
    assert accuracy.tell(result, loo=False) == 0
    assert "dv1*" in capsys.readouterr().out
