"""The child process: limits hold, and its death is told in three plain sentences."""

from __future__ import annotations

import os

import pytest

from analysis.engine import process
from analysis.engine.errors import EngineError, Refused
from analysis.engine.gate import admit, sandbox
from analysis.engine.process import Bounds, Parcel, Stopped, pack, run, unpack

from .small import bar, score

pytestmark = pytest.mark.slow

HERE = "tests.engine.gate.odd_functions"
SMALL = Bounds(memory=400 << 20, cpu=2, wall=8.0, output=1 << 20)


@pytest.fixture(autouse=True)
def odd_functions(monkeypatch: pytest.MonkeyPatch) -> None:
    """Functions that misbehave, known to parent and child under test names."""
    names = ("sleep", "spin", "hoard", "abort", "write", "raise_odd", "look", "files", "refuse")
    extra = {f"test.{n}": f"{HERE}:{n}" for n in names}
    monkeypatch.setattr(process, "FUNCTIONS", {**process.FUNCTIONS, **extra})
    start = process._command

    def command(name: str, bounds: Bounds) -> list[str]:
        given = start(name, bounds)
        if not name.startswith("test."):
            return given
        code = (
            "import sys; from analysis.engine import process as p; "
            f"p.FUNCTIONS[{name!r}] = {extra[name]!r}; sys.exit(p.main(sys.argv[1:]))"
        )
        at = given.index("-m")
        return [*given[:at], "-c", code, *given[at + 2 :]]

    monkeypatch.setattr(process, "_command", command)


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("sleep", "time"),
        ("spin", "time"),
        ("hoard", "memory"),
        ("write", "memory"),
        ("abort", "crash"),
        ("raise_odd", "crash"),
    ],
)
def test_each_death_has_its_sentence(name: str, code: str):
    bounds = Bounds(memory=400 << 20, cpu=1, wall=3.0, output=1 << 20)
    with pytest.raises(Stopped) as caught:
        run(f"test.{name}", Parcel(), bounds)
    assert caught.value.code == code
    assert str(caught.value) == process.SENTENCES[code]


def test_the_child_sees_no_secret_and_an_empty_home(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setenv("SECRET_KEY", "canary-1f3a")
    seen = run("test.look", Parcel(), SMALL).parcel.value
    assert "canary-1f3a" not in str(seen["environment"])
    assert seen["home"] == []
    assert seen["home_path"] == seen["tmp_path"]
    assert not os.path.exists(seen["home_path"])
    assert seen["core"] == 0
    assert not any("django" in m for m in seen["modules"])


def test_the_child_cannot_open_many_files():
    assert run("test.files", Parcel(), SMALL).parcel.value["opened"] < 64


def test_a_refusal_crosses_the_border_whole():
    with pytest.raises(Refused) as caught:
        run("test.refuse", Parcel(), SMALL)
    refusal = caught.value
    assert (refusal.sentence, refusal.code, refusal.where) == ("No.", "no", "bar 3")


def test_unknown_names_are_not_imported():
    with pytest.raises(EngineError):
        run("os.system", Parcel(), SMALL)


def test_the_parcel_comes_back():
    parcel = Parcel({"a": [1, "é"]}, {"x": b"\0\xff" * 9, "empty": b""})
    assert unpack(pack(parcel)) == parcel
    for end in (3, 11, 40):
        with pytest.raises(ValueError, match=r".*"):
            unpack(pack(parcel)[:end])


def test_the_gate_in_a_child_answers_as_the_gate():
    data = score(bar() + bar("", 2), bar())
    assert sandbox.admit_in_child(data, "a.musicxml") == admit(data, "a.musicxml")
    with pytest.raises(Refused) as caught:
        sandbox.admit_in_child(score(bar("<note/>")), "a.musicxml")
    assert caught.value.where == "bar 1, Part 1"


@pytest.mark.parametrize(
    ("bounds", "code"),
    [(Bounds(memory=70 << 20), "gate-memory"), (Bounds(wall=0.01), "gate-time")],
)
def test_a_stopped_gate_is_a_refusal(bounds: Bounds, code: str):
    with pytest.raises(Refused) as caught:
        sandbox.admit_in_child(score(), "a.musicxml", bounds=bounds)
    assert caught.value.code == code
    assert "xport" in caught.value.sentence or "pload" in caught.value.sentence
