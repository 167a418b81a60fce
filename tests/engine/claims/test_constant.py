"""A misreading that goes through a whole paper is said once (job 8: "bars off by one everywhere";
contract 3: untransposed). The piece is `doublings`: tune in bars 1-4, horn in Eb in 5-8.
"""

from __future__ import annotations

from analysis.engine import claims, cli
from analysis.engine.claims.constant import constant_misreadings
from analysis.engine.settings import Settings

from .pieces import doublings, shared


def doubling(first: int, last: int, part: str, octaves: int, **more):
    return {"kind": "doubling", "bars": [str(first), str(last)], "parts": [part],
            "with": ["Vl I"], "octaves": octaves, **more}  # fmt: skip


#: in bars 1-4 the oboe plays, the cello goes two octaves, the bass three below: each a bar late
LATE = [
    {
        "kind": "playing",
        "bars": ["2", "5"],
        "parts": ["Ob"],
        "mode": "play",
        "id": "a",
        "paper": "kit",
    },
    {**doubling(2, 5, "Vc", -2), "id": "b", "paper": "kit"},
    {**doubling(2, 5, "Cb", -3), "id": "c", "paper": "kit"},
    {**doubling(1, 4, "Fg", -2), "id": "d", "paper": "otis"},
    {"kind": "free", "text": "dusk", "id": "e", "paper": "kit"},
]


def papers(raws, table):
    found = claims.answers(raws, table, [])
    return found, cli.answers_json(found, "0" * 64, Settings(), raws).get("papers", [])


def test_bars_one_late_throughout_are_said_once():
    found, (row,) = papers(LATE, doublings())
    assert [a.flag for a in found] == ["partly"] * 3 + ["agrees", "ear"]  # flags stay as they are
    assert (row["paper"], row["cause"], row["answers"]) == ("kit", "bar-offset", ["a", "b", "c"])
    assert "3 of 3 statements are one bar late" in row["sentence"]


def test_two_are_too_few_and_one_that_is_right_among_three_speaks_against_it():
    assert papers(LATE[:2], doublings())[1] == []
    right = {**doubling(1, 4, "Vc", -2), "id": "r", "paper": "kit"}
    assert papers([*LATE[:3], right, {**right, "id": "s"}], doublings())[1] == []


def test_a_bar_late_and_a_bar_early_are_no_one_misreading():
    early = {**doubling(4, 7, "Vc", -2), "paper": "kit"}
    late = [dict(raw, paper="kit") for raw in LATE[:2]]
    assert papers([*late, early], doublings())[1] == []


def test_horns_read_untransposed_are_said_once():
    # written C5 D5 ... is what the violins play; it sounds a sixth lower
    horn = {"kind": "doubling", "parts": ["Cor in Eb"], "with": ["Vl I"], "octaves": 0}
    raws = [{**horn, "bars": ["5", "8"], "id": 1, "paper": 7},
            {**horn, "bars": ["5", "6"], "id": 2, "paper": 7}]  # fmt: skip
    found, (row,) = papers(raws, doublings())
    assert [a.cause for a in found] == ["untransposed"] * 2
    assert (row["paper"], row["cause"], row["answers"]) == (7, "untransposed", [1, 2])
    assert "read the horn as written" in row["sentence"]
    assert papers(raws[:1], doublings())[1] == []


def test_without_papers_and_without_misreadings_there_is_nothing():
    assert constant_misreadings([]) == []
    assert (
        papers([{k: v for k, v in raw.items() if k != "paper"} for raw in LATE], doublings())[1]
        == []
    )
    fine = [{"kind": "playing", "bars": ["1", "2"], "parts": ["Fl"], "mode": "play", "paper": 1}]
    assert papers(fine * 3, shared())[1] == []
