"""Staves of our own making: who stands on which is the note table's word, every id stays.

Outside ground: trade-facts 7.2 (1., 2., a 2, two voices, chords on a shared staff; "Vc. e Cb.").
"""

from __future__ import annotations

import re

import pytest
from lxml import etree

from analysis.engine import engrave, reader
from analysis.engine.engrave.prepare import prepare
from analysis.engine.engrave.view import View
from analysis.engine.errors import EngineError
from analysis.engine.gate import admit
from tests.engine.gate.small import bar, note, score

WORDS = "<direction><direction-type><words>{}</words></direction-type></direction>"
REST = '<note><rest measure="yes"/><duration>16</duration></note>'
BACK = "<backup><duration>16</duration></backup>"


def voice(n: int, step: str) -> str:
    return "".join(
        note(step, 5).replace("</duration>", f"</duration><voice>{n}</voice>") for _ in range(4)
    )


def chord(upper: str, lower: str) -> str:
    return note(lower, 5, 16) + note(upper, 5, 16, inside="<chord/>")


#: one bar each: first alone, second alone, both the same, two voices, a chord
SHARED = [
    WORDS.format("1.") + note("C", 5, 16),
    WORDS.format("2.") + note("D", 5, 16),
    WORDS.format("a 2") + note("E", 5, 16),
    voice(1, "G") + BACK + voice(2, "E"),
    chord("A", "F"),
]


def music(bars: list[str]) -> str:
    return "".join(bar(b, number=n) for n, b in enumerate(bars, 1))


def staves(xml: bytes) -> list[list[list[str]]]:
    """Pitches of each staff by bar; rests are "r"."""
    return [
        [
            [n.findtext("pitch/step") or "r" for n in measure.iterchildren("note")]
            for measure in part
        ]
        for part in etree.fromstring(xml).findall("part")
    ]


def flutes() -> bytes:
    return admit(score(music(SHARED), names=("Flauti 1, 2",)), "a.xml").canonical


def ids(svg: bytes) -> set[str]:
    return set(re.findall(r'data-id="(n[\d-]+)"', svg.decode()))


def test_each_player_of_a_shared_staff() -> None:
    first, second = staves(prepare(flutes(), View(staves="players")).xml)
    assert first == [["C"], ["r"], ["E"], ["G"] * 4, ["A"]]
    assert second == [["r"], ["D"], ["E"], ["E"] * 4, ["F"]]


def test_each_player_has_what_the_table_gives_the_line() -> None:
    table = reader.read(flutes())
    made = etree.fromstring(prepare(flutes(), View(staves="players")).xml)
    for line, part in zip(table.lines, made.findall("part"), strict=True):
        mine = table.notes[table.notes["line"] == line.index]
        drawn = {re.sub(r"\.\d+$", "", n.get("id", "")) for n in part.iter("note")
                 if n.find("pitch") is not None}  # fmt: skip
        assert drawn == set(table.note_ids(mine))


def test_ids_names_and_parts_on_the_page() -> None:
    made = engrave.open_view(flutes(), View(staves="players"))
    assert made.staves == [(0, "P1"), (0, "P1")]
    assert ids(made.svg[1]) >= ids(engrave.open_view(flutes(), View()).svg[1])
    both = [e for e in etree.fromstring(made.svg[1]).iter() if e.get("data-id") == "n0-2-0"]
    assert len(both) == 2  # "a 2" stands on both staves
    words = "".join(etree.fromstring(made.svg[1]).itertext())
    assert "Flute 1" in words
    assert "Flute 2" in words
    assert "a 2" not in words


def test_an_accidental_that_stood_with_the_other_player_is_added() -> None:
    sharp = "<pitch><step>F</step><alter>1</alter><octave>5</octave></pitch>"
    one = f"<note>{sharp}<duration>8</duration><accidental>sharp</accidental></note>"
    two = f"<note>{sharp}<duration>8</duration></note>"
    shared = WORDS.format("1.") + one + WORDS.format("2.") + two
    canonical = admit(score(music([shared]), names=("Flauti 1, 2",)), "a.xml").canonical
    _, second = etree.fromstring(prepare(canonical, View(staves="players")).xml).findall("part")
    assert [n.findtext("accidental") for n in second.iter("note") if n.find("pitch") is not None] \
        == ["sharp"]  # fmt: skip


def test_two_players_share_a_staff() -> None:
    parts = (music([note("G", 4, 16), REST, note("E", 5, 16)]),
             music([note("C", 4, 16), note("D", 4, 16), REST]))  # fmt: skip
    canonical = admit(score(*parts, names=("Corno 1 in Fa", "Corno 2 in Fa")), "a.xml").canonical
    made = engrave.open_view(canonical, View(staves="pairs"))
    assert made.staves == [(0, "P1 P2")]
    assert ids(made.svg[1]) == {"n0-0-0", "n1-0-0", "n1-1-0", "n0-2-0"}
    staff = next(e for e in etree.fromstring(made.svg[1]).iter() if e.get("data-part"))
    assert (staff.get("data-part"), staff.get("data-with")) == ("P1", "P2")
    said = re.findall(rb"<words>(\d)\.</words>", prepare(canonical, View(staves="pairs")).xml)
    assert said == [b"2", b"1"]


def test_the_name_of_a_pair_keeps_its_flat() -> None:
    heard = score(*[music([note("G", 4, 16)])] * 2, names=("Bb Clarinet 1", "Bb Clarinet 2"))
    for n in (1, 2):
        name = f"<part-name>Bb Clarinet {n}</part-name>"
        heard = heard.replace(name.encode(), name.encode() + (
            "<part-name-display><display-text>B</display-text><accidental-text>flat"
            f"</accidental-text><display-text> Clarinet {n}</display-text></part-name-display>"
        ).encode())  # fmt: skip
    made = prepare(admit(heard, "a.xml").canonical, View(staves="pairs"))
    assert made.staves == ((0, "P1 P2"),)
    (display,) = etree.fromstring(made.xml).iter("part-name-display")
    assert "".join(map(str, display.itertext())) == "Bflat Clarinet 1, 2"


def test_parts_that_do_not_belong_together_stay_apart() -> None:
    names = ("Corno 1 in Fa", "Corno 2 in Re", "Violino I", "Violino II")
    canonical = admit(score(*[music([note("G", 4, 16)])] * 4, names=names), "a.xml").canonical
    assert len(prepare(canonical, View(staves="pairs")).staves) == 4


@pytest.mark.parametrize("choice", ["low", "players"])
def test_cellos_and_basses_of_one_staff(choice: str) -> None:
    bars = [note("C", 3, 16), WORDS.format("Vc.") + note("D", 3, 16),
            WORDS.format("Vc. e Cb.") + note("E", 3, 16)]  # fmt: skip
    canonical = admit(score(music(bars), names=("Violoncello e Contrabbasso",)), "a.xml").canonical
    written = prepare(canonical, View(staves=choice))  # type: ignore[arg-type]
    assert staves(written.xml) == [[["C"], ["D"], ["E"]], [["C"], ["r"], ["E"]]]
    assert b"Double bass (sounds an octave lower)" in written.xml
    view = View(staves=choice, pitch="sounding")  # type: ignore[arg-type]
    octaves = [
        [n.findtext("pitch/octave") for n in part.iter("note") if n.find("pitch") is not None]
        for part in etree.fromstring(prepare(canonical, view).xml).findall("part")
    ]
    assert octaves == [["3"] * 3, ["2"] * 2]


def test_staves_are_part_of_the_keys() -> None:
    views = [View(staves=s) for s in ("printed", "players", "pairs", "low")]
    assert len({v.key() for v in views}) == len({v.source_key() for v in views}) == 4
    assert "staves" not in View().as_dict()
    assert all(View.from_dict(v.as_dict()) == v for v in views)
    readings = reader.read(flutes()).parts
    assert views[1].key(readings) != views[1].key()  # who plays is the readings' word
    with pytest.raises(EngineError):
        View.from_dict({"staves": "x"})


@pytest.mark.parametrize("choice", ["players", "pairs", "low"])
def test_a_passage_is_as_the_whole_has_it(choice: str) -> None:
    """Who plays, key, clef, measures of time and crook said long before hold in the passage."""
    first, rest = SHARED[0], [note("D", 5, 16), *[REST] * 5, *SHARED[3:], note("B", 4, 16)]
    low = [WORDS.format("Vc.") + note("C", 3, 16), *[note("E", 3, 16)] * 9]
    horns = [[note("G", 4, 16)] * 10, [REST, note("C", 4, 16)] * 5]
    canonical = admit(
        score(music([first, *rest]), *map(music, horns), music(low),
              names=("Flauti 1, 2", "Corno 1 in Fa", "Corno 2 in Fa", "Vc. e Cb.")),
        "a.xml").canonical  # fmt: skip
    readings = reader.read(canonical).parts
    for pitch in ("written", "sounding"):
        whole, told, read = (
            prepare(canonical, View(staves=choice, pitch=pitch, bars=bars), known)  # type: ignore[arg-type]
            for bars, known in ((None, ()), ((7, 9), readings), ((7, 9), ()))
        )
        assert told.staves == read.staves == whole.staves
        assert sounds(told.xml, 7) == sounds(read.xml, 7) == sounds(whole.xml, 7)


def sounds(xml: bytes, first: int) -> list[list[tuple[str | None, ...]]]:
    """Id, pitch and accidental of each note from a bar on, by staff; rests with their length."""
    root = etree.fromstring(xml)
    start = int(next(root.iter("measure")).get("id", "")[1:])
    paths = ("pitch/step", "pitch/alter", "pitch/octave", "duration", "accidental")
    return [
        [(n.get("id"), *map(n.findtext, paths))
         for bar in list(part)[first - start:] for n in bar.iterchildren("note")]
        for part in root.findall("part")
    ]  # fmt: skip
