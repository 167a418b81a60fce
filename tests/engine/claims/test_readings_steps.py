"""Charitable readings of courses and imitations, each with a false friend.

What is right follows from the notes; sources as in `test_readings`, whose pieces are used again.
"""

from __future__ import annotations

from functools import cache
from typing import Any

from analysis.engine.model import ScoreTable
from tests.engine.claims.asking import ask
from tests.engine.claims.test_readings import cello, clefs, got, horn, oboes
from tests.engine.written import Part
from tests.engine.written import table as written

from ..tables import table


def step(first: int, last: int, *company: Any, **more: Any) -> dict[str, Any]:
    return {"bars": [str(first), str(last)], "with": list(company), **more}


def course(made: ScoreTable, part: Any, *steps: dict[str, Any]) -> dict[str, Any]:
    bars = [steps[0]["bars"][0], steps[-1]["bars"][-1]]
    return ask(made, "course", bars, [part], steps=list(steps))


def imitation(made: ScoreTable, *entries: tuple[Any, int], **more: Any) -> dict[str, Any]:
    told = [{"part": part, "at": bar} for part, bar in entries]
    return ask(made, "imitation", ["1", "2"], entries=told, **more)


# --- the other player ---------------------------------------------------------


def test_the_course_of_the_other_player():
    second = {"part": "Ob", "player": 2}
    value = course(oboes(), second, step(1, 2, "Vl I", octaves=0))
    assert got(value) == ("partly", "player")
    assert value["truth"]["claim"]["parts"] == [{"part": "P3", "player": 1}]
    value = course(oboes(), "Vl I", step(1, 2, second, octaves=0))
    assert got(value) == ("partly", "player")
    assert value["truth"]["claim"]["steps"][0]["with"] == [{"part": "P3", "player": 1}]


def test_the_two_players_of_a_pair_are_not_exchanged():
    first, second = {"part": "Ob", "player": 1}, {"part": "Ob", "player": 2}
    assert course(oboes(), second, step(1, 2, first))["cause"] != "player"
    # neither of them goes with the cellos
    assert course(oboes(), second, step(1, 2, "Vc"))["cause"] != "player"


SUBJECT = "G5 q. A5 e B5 q C6 | D6 q B5 G5 h | E5 q F5 G5 A5 | B5 w"


@cache
def entries() -> ScoreTable:
    """The violin begins; the first of two oboes follows a bar later, an octave lower."""
    return table(
        {
            "Ob 1": "r | G4 q. A4 e B4 q C5 | D5 q B4 G4 h | E4 q F4 G4 A4 | B4 w",
            "Ob 2": "r | G4 w | G4 | C4 | D4",
            "Vl I": f"{SUBJECT} | r", "Vc": "G2 w | G2 | G2 | C3 | G2",
        }
    )  # fmt: skip


def test_the_other_player_enters():
    value = imitation(entries(), ("Vl I", 1), ("Oboe 1", 2))
    assert got(value) == ("agrees", None)
    value = imitation(entries(), ("Vl I", 1), ({"part": "Ob", "player": 2}, 2))
    assert got(value) == ("partly", "player")
    assert "It fits Oboe 1 rather than Oboe 2" in value["sentence"]


def test_no_other_player_enters_where_he_is_named_or_at_another_place():
    value = imitation(entries(), ("Vl I", 1), ("Oboe 1", 2), ("Oboe 2", 2))
    assert value["cause"] != "player"
    assert imitation(entries(), ("Vl I", 1), ("Vc", 2))["cause"] is None


# --- clefs and octave habits --------------------------------------------------


def test_a_course_in_another_clef():
    value = course(clefs(), "Viola", step(1, 2, "Violino I", octaves=0))
    assert got(value) == ("conflicts", "clef")
    # the cellos stand on other places of the staff than the violins; they are tenths below them
    value = course(clefs(), "Violoncello", step(1, 2, "Violino I", octaves=0))
    assert got(value) == ("conflicts", "third-as-octave")
    # whom one goes with alone is asked of all lines: no clef is tried
    value = course(clefs(), "Viola", step(1, 1, "Violino I", octaves=0), step(2, 2))
    assert value["cause"] != "clef"


def test_a_course_in_the_old_bass_clef_and_in_the_treble_clef_of_the_cello():
    value = course(horn(True), "Corno", step(1, 2, "Violoncello", octaves=-1))
    assert got(value) == ("partly", "old-bass-clef")
    value = course(horn(True), "Corno", step(1, 2, "Violoncello", octaves=-2))
    assert got(value) == ("partly", "octave-count")
    t = cello("C5 q D5 E5 F5", "C5 q D5 E5 F5")
    value = course(t, "Violoncello", step(3, 4, "Viola", octaves=-1))
    assert got(value) == ("partly", "cello-treble")
    value = course(t, "Violoncello", step(3, 4, "Viola", octaves=1))
    assert got(value) == ("partly", "octave-count")


@cache
def canon() -> ScoreTable:
    """The violas answer the violins an octave lower, in the alto clef. Read in the treble clef
    their answer would stand a step below the violins' subject."""
    return written(
        Part("Violino I", f"{SUBJECT} | r"),
        Part("Viola", "r | G4 q. A4 e B4 q C5 | D5 q B4 G4 h | E4 q F4 G4 A4 | B4 w", clef="C3"),
        Part("Violoncello", "G2 w | G2 | G2 | C3 | G2", clef="F4"),
    )


def test_an_imitation_in_another_clef():
    said = (("Violino I", 1), ("Viola", 2))
    assert got(imitation(canon(), *said, interval=-12)) == ("agrees", None)
    # G4 of the alto clef stands on the place of F5: a tone below G5
    assert got(imitation(canon(), *said, interval=-2)) == ("conflicts", "clef")
    # a third is neither what sounds nor what another clef makes of it
    assert got(imitation(canon(), *said, interval=-4)) == ("conflicts", None)


# --- what they do instead of going together -----------------------------------


@cache
def instead() -> ScoreTable:
    """The oboe: in unison with the violins in 1-2, in thirds with them in 3-4, meets them once in
    5-6, plays half of their notes in 7-8."""
    tune = "C5 q D5 E5 F5 | G5 E5 D5 C5"
    return table(
        {
            "Ob": f"{tune} | E5 q F5 G5 A5 | B5 G5 F5 E5 | C5 q B4 A4 B4 | A4 G4 A4 B4"
                  " | C5 q D5 r A4 | G5 q E5 r h",
            "Vl I": f"{tune} | {tune} | C5 q D5 E5 F5 | G5 E5 D5 C5 | {tune}",
            "Vc": " | ".join(["C3 w | G2"] * 4),
        }
    )  # fmt: skip


def test_a_step_in_thirds_that_is_called_octaves():
    thirds = step(3, 4, "Vl I", octaves=1)
    value = course(instead(), "Ob", thirds)
    assert got(value) == ("conflicts", "third-as-octave")
    assert "parallel thirds" in value["sentence"]
    value = course(instead(), "Ob", step(1, 2, "Vl I", octaves=0), thirds)
    assert got(value) == ("conflicts", "third-as-octave")
    # two of three steps are right, which is near; a third is not what makes the other step so
    value = course(instead(), "Ob", step(1, 1, "Vl I"), step(2, 2, "Vl I"), thirds)
    assert got(value) == ("partly", None)
    # the cellos neither move in thirds with it nor meet it
    assert got(course(instead(), "Ob", step(3, 4, "Vc"))) == ("conflicts", None)


def test_a_step_in_which_they_only_meet():
    value = course(instead(), "Ob", step(5, 6, "Vl I"))
    assert got(value) == ("conflicts", "contact")
    # a stretch in unison and one of contact: the second does not excuse the first
    value = course(instead(), "Ob", step(3, 4, "Vc"), step(5, 6, "Vl I"))
    assert got(value) == ("conflicts", None)


def test_a_step_in_part_only():
    value = course(instead(), "Ob", step(7, 8, "Vl I"))
    assert got(value) == ("partly", "partial-as-full")
    assert "in part only" in value["sentence"]
    assert got(course(instead(), "Ob", step(1, 2, "Vl I"))) == ("agrees", None)
