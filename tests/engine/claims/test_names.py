"""Who is meant: names of trade-facts 2.5 and job 14's custom names, in four languages."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from analysis.engine.claims.fields import PartName
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.model import ScoreTable
from analysis.engine.names import resolve

from ..tables import table

PRINTED = {
    "Fl 1": "Flauto 1", "Fl 2": "Flauto 2", "Ob": "2 Oboi", "Cl": "Clarinetti in Si♭",
    "Fg": "Fagotti", "Cor in Eb": "Corni I. II. in Es", "Cor in C": "Corni III. IV. in C",
    "Tr": "Trombe in C", "Timp": "Timpani", "Vl I": "Violino I", "Vl II": "Violino II",
    "Vla": "Viola", "Vc": "Violoncello", "Cb": "Contrabbasso",
}  # fmt: skip


@cache
def orchestra() -> ScoreTable:
    """Flutes on two staves, pairs on one staff each, four horns, strings."""
    made = table(
        {
            "Fl A": "C5 w", "Fl B": "C5 w", "Ob 1": "C5 w", "Ob 2": "C5 w", "Cl 1": "C5 w",
            "Cl 2": "C5 w", "Fg 1": "C3 w", "Fg 2": "C3 w", "Cor in Eb 1": "Eb4 w",
            "Cor in Eb 2": "Eb4 w", "Cor in C 3": "C4 w", "Cor in C 4": "C4 w", "Tr 1": "C5 w",
            "Tr 2": "C5 w", "Timp": "C3 w", "Vl I": "C5 w", "Vl II": "C5 w", "Vla": "C4 w",
            "Vc": "C3 w", "Cb": "C2 w",
        }
    )  # fmt: skip
    labels = {"Fl A": "Flauto 1", "Fl B": "Flauto 2", **PRINTED}
    parts = tuple(replace(p, label=labels[p.label]) for p in made.parts)
    return replace(made, parts=parts)


def lines(text: str, player=None) -> list[str]:
    """Names of the lines meant, in table shorthand."""
    part = PartName(text, player, by_id=player is not None)
    return [orchestra().lines[i].name for i in resolve(part, orchestra(), 0).lines]


ALL_HORNS = ["Cor in Eb 1", "Cor in Eb 2", "Cor in C 3", "Cor in C 4"]


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        # labels as printed, and ids
        ("Flauto 1", ["Fl A"]),
        ("P1", ["Fl A"]),
        ("corni i. ii. in es", ["Cor in Eb 1", "Cor in Eb 2"]),
        # one player, in the ways people write it
        ("flute 2", ["Fl B"]),
        ("2nd flute", ["Fl B"]),
        ("second flute", ["Fl B"]),
        ("Fl. 2", ["Fl B"]),
        ("flauto secondo", ["Fl B"]),
        ("2. Flöte", ["Fl B"]),
        ("première flûte", ["Fl A"]),
        ("first bassoon", ["Fg 1"]),
        ("Fg. 2", ["Fg 2"]),
        ("fagotto 1", ["Fg 1"]),
        ("1. Oboe", ["Ob 1"]),
        ("hautbois 2", ["Ob 2"]),
        ("horn 3", ["Cor in C 3"]),
        ("Horn in C", ["Cor in C 3", "Cor in C 4"]),
        ("first horn in E flat", ["Cor in Eb 1"]),
        ("Corno 2 in Mib", ["Cor in Eb 2"]),
        ("cor en mi bémol 1", ["Cor in Eb 1"]),
        # sections
        ("first violins", ["Vl I"]),
        ("violins I", ["Vl I"]),
        ("Violini II", ["Vl II"]),
        ("the firsts", ["Vl I"]),
        ("i primi", ["Vl I"]),
        ("seconds", ["Vl II"]),
        ("1. Violinen", ["Vl I"]),
        ("premiers violons", ["Vl I"]),
        ("Bratschen", ["Vla"]),
        ("cellos", ["Vc"]),
        ("celli", ["Vc"]),
        ("the basses", ["Cb"]),
        ("double bass", ["Cb"]),
        ("contrebasses", ["Cb"]),
        ("kettledrums", ["Timp"]),
        ("Pauken", ["Timp"]),
        ("timbales", ["Timp"]),
        # several
        ("violins", ["Vl I", "Vl II"]),
        ("i violini", ["Vl I", "Vl II"]),
        ("flutes", ["Fl A", "Fl B"]),
        ("both flutes", ["Fl A", "Fl B"]),
        ("beide Flöten", ["Fl A", "Fl B"]),
        ("les deux flûtes", ["Fl A", "Fl B"]),
        ("two oboes", ["Ob 1", "Ob 2"]),
        ("all four horns", ALL_HORNS),
        ("all four", ALL_HORNS),
        ("horns", ALL_HORNS),
        ("horns 1 and 2", ["Cor in Eb 1", "Cor in Eb 2"]),
        ("cellos and basses", ["Vc", "Cb"]),
        ("Vc. + Cb.", ["Vc", "Cb"]),
        ("flute 1 and first violins", ["Fl A", "Vl I"]),
        ("trumpets and timpani", ["Tr 1", "Tr 2", "Timp"]),
        # families and custom names
        ("low strings", ["Vc", "Cb"]),
        ("tiefe Streicher", ["Vc", "Cb"]),
        ("high strings", ["Vl I", "Vl II"]),
        ("inner parts", ["Vl II", "Vla"]),
        ("Mittelstimmen", ["Vl II", "Vla"]),
        ("outer parts", ["Vl I", "Vc", "Cb"]),
        ("tutti strings", ["Vl I", "Vl II", "Vla", "Vc", "Cb"]),
        ("archi", ["Vl I", "Vl II", "Vla", "Vc", "Cb"]),
        ("cordes", ["Vl I", "Vl II", "Vla", "Vc", "Cb"]),
        ("brass", [*ALL_HORNS, "Tr 1", "Tr 2"]),
        ("ottoni", [*ALL_HORNS, "Tr 1", "Tr 2"]),
        ("percussion", ["Timp"]),
        ("str.", ["Vl I", "Vl II", "Vla", "Vc", "Cb"]),
        ("i quattro corni", ALL_HORNS),
        ("les quatre cors", ALL_HORNS),
        # a group less some of it
        ("the strings without the basses", ["Vl I", "Vl II", "Vla", "Vc"]),
        ("Streicher ohne Bratschen", ["Vl I", "Vl II", "Vc", "Cb"]),
        ("brass except horns", ["Tr 1", "Tr 2"]),
        ("archi senza violini", ["Vla", "Vc", "Cb"]),
        ("Holzbläser", ["Fl A", "Fl B", "Ob 1", "Ob 2", "Cl 1", "Cl 2", "Fg 1", "Fg 2"]),
    ],
)  # fmt: skip
def test_names(text, wanted):
    assert lines(text) == wanted


def test_everybody():
    assert len(lines("tutti")) == len(lines("everyone")) == len(orchestra().lines)


def test_winds_may_leave_out_the_brass():
    named = resolve(PartName("winds"), orchestra(), 0)
    assert len(named.lines) == 14
    assert [len({i for u in o for i in u.lines}) for o in named.others] == [8]


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ("violin", "Which one"),
        ("flute", "Which one"),
        ("flute 3", "no number 3"),
        ("three oboes", "there are 2"),
        ("horn in D", "no horn in D"),
        ("tuba", "no tuba"),
        ("high winds", "names no part"),  # with or without clarinets: nobody's custom name
        ("strings without oboes", "oboes does not belong to strings"),
        ("strings but not the zithers", "names no part"),
        ("flutes without flutes", "leaves nobody"),
        ("English horn", "no cor anglais"),
        ("the singing ones", "names no part"),
        ("", "names no part"),
        ("🎻", "names no part"),
        ("violino I and moonlight", "names no part"),
    ],
)
def test_questions(text, asks):
    with pytest.raises(ClaimNotUnderstood, match=asks):
        resolve(PartName(text or " "), orchestra(), 0)


def test_player_objects():
    assert lines("P3", 2) == ["Ob 2"]
    assert lines("P3", "all") == ["Ob 1", "Ob 2"]
    assert len(resolve(PartName("P3", "all", by_id=True), orchestra(), 0).units) == 2
    # a staff named as such is one thing: any of its lines may show it
    assert len(resolve(PartName("P3", None, by_id=True), orchestra(), 0).units) == 1
    assert len(resolve(PartName("oboes"), orchestra(), 0).units) == 1
    with pytest.raises(ClaimNotUnderstood, match="no player 3"):
        resolve(PartName("P3", 3, by_id=True), orchestra(), 0)


def test_labels_of_the_movement_come_first():
    made = table({"Cor in D": "D4 w || E4 w", "Vl I": "D5 w || E5 w"})
    later = replace(made.parts[0], label="Corno in Mi", crook="E", transposition=-8, from_bar=1)
    two = replace(made, parts=(made.parts[0], later, made.parts[1]))
    assert resolve(PartName("Corno in Mi"), two, 1).how == "label"
    assert resolve(PartName("horn in E"), two, 1).lines == (0,)
    assert resolve(PartName("Cor in D"), two, 1).lines == (0,)  # its name elsewhere
    with pytest.raises(ClaimNotUnderstood, match="no horn in E"):
        resolve(PartName("horn in E"), two, 0)
