"""Sounding pitch on the page is the sounding pitch of the table, and reads as such."""

from __future__ import annotations

from collections import Counter

import pytest
from lxml import etree

from analysis.engine import reader
from analysis.engine.engrave.prepare import prepare
from analysis.engine.engrave.sounding import (
    Shift,
    key_alteration,
    make_sounding,
    moved_key,
    transposed,
)
from analysis.engine.engrave.view import View
from analysis.engine.gate import admit
from analysis.engine.model import PartReading
from tests.corpora import require_corpora
from tests.engine.gate.small import bar, note, score

SOUNDING = View(pitch="sounding")
SCORES = ("Bach_BWV.232_07b", "Beethoven_Op.21_3", "Brahms_Op.90_3", "Brahms_Op.68_2")


@pytest.mark.parametrize(
    ("shift", "written", "sounding"),
    # Written C5 on transposing instruments; the intervals are those of the instruments' names
    [
        (Shift(-2, -1), (0, 0, 5), (6, -1, 4)),  # clarinet in B flat: B flat 4
        (Shift(-3, -2), (0, 0, 5), (5, 0, 4)),  # in A: A4
        (Shift(-7, -4), (0, 0, 5), (3, 0, 4)),  # horn in F: F4
        (Shift(-9, -5), (0, 0, 5), (2, -1, 4)),  # horn in E flat: E flat 4
        (Shift(3, 2), (0, 0, 5), (2, -1, 5)),  # clarinet in E flat: E flat 5
        (Shift(-12, -7), (0, 0, 5), (0, 0, 4)),  # double bass
        (Shift(-3, -2), (3, 1, 4), (1, 1, 4)),  # F sharp on the clarinet in A: D sharp
    ],
)
def test_intervals(shift: Shift, written: tuple[int, int, int], sounding: tuple[int, int, int]):
    assert transposed(*written, shift) == sounding


def test_keys_move_with_the_instrument():
    # a clarinet in B flat plays in D (2 sharps) what sounds in C; in A: E flat (-3) for C
    assert moved_key(2, Shift(-2, -1)) == 0
    assert moved_key(-3, Shift(-3, -2)) == 0
    assert moved_key(1, Shift(-7, -4)) == 0
    assert [key_alteration(3, f) for f in (-1, 0, 1, 7, -7)] == [0, 0, 1, 1, -1]
    assert [key_alteration(6, f) for f in (-1, 0, 1, 7, -7)] == [-1, 0, 0, 1, -1]


def transpose(diatonic: int, chromatic: int) -> str:
    return (
        f"<attributes><transpose><diatonic>{diatonic}</diatonic>"
        f"<chromatic>{chromatic}</chromatic></transpose></attributes>"
    )


def sounding(canonical: bytes, readings: tuple[PartReading, ...] = ()) -> list[str]:
    root = etree.fromstring(prepare(canonical, SOUNDING, readings).xml)
    return [
        f"{n.findtext('pitch/step')}{n.findtext('pitch/alter') or ''}{n.findtext('pitch/octave')}"
        for n in root.iter("note")
    ]


def test_a_change_of_instrument_within_a_bar_is_followed():
    music = note("C", 5) + transpose(-2, -3) + note("C", 5) + note("D", 5)
    canonical = admit(score(bar(transpose(-1, -2) + music)), "a.xml").canonical
    assert sounding(canonical) == ["B-14", "A4", "B4"]


def test_confirmed_readings_win_over_the_file():
    canonical = admit(score(bar(transpose(-1, -2) + note("C", 5) * 4) + bar(number=2)), "a.xml")
    first = PartReading("P1", 0, "Cl.", "clarinet", "woodwind", transposition=-3, diatonic=-2)
    second = PartReading("P1", 0, "Cl.", "clarinet", "woodwind", from_bar=1)
    assert sounding(canonical.canonical, (first, second)) == ["A4"] * 4 + ["C4"] * 4


def test_bass_clef_habits_move_by_an_octave():
    bass = "<attributes><clef><sign>F</sign><line>4</line></clef></attributes>"
    canonical = admit(score(bar(note("C", 4) + bass + note("C", 3))), "a.xml").canonical
    horn = PartReading("P1", 0, "Cor.", "horn", "brass", transposition=-7, diatonic=-4,
                       old_bass_clef=True)  # fmt: skip
    assert sounding(canonical, (horn,)) == ["F3", "F3"]
    cello = PartReading("P1", 0, "Vc.", "cello", "strings", octave_switch=True)
    assert sounding(canonical, (cello,)) == ["C3", "C3"]


def test_octave_instruments_keep_their_place_on_the_staff():
    change = (
        "<attributes><transpose><diatonic>0</diatonic><chromatic>0</chromatic>"
        "<octave-change>-1</octave-change></transpose></attributes>"
    )
    canonical = admit(score(bar(change + note("C", 4))), "a.xml").canonical
    xml = prepare(canonical, SOUNDING).xml
    root = etree.fromstring(xml)
    assert root.findtext(".//pitch/octave") == "3"
    # The clef stands before the transposition in this bar: the file states them apart.
    assert b"<transpose>" not in xml


def test_a_flute_that_takes_the_piccolo_gets_a_small_eight():
    canonical = admit(score(bar(note("C", 5)) + bar(note("C", 5), 2)), "a.xml").canonical
    flute = PartReading("P1", 0, "Fl.", "flute", "woodwind")
    piccolo = PartReading("P1", 0, "Fl.", "piccolo", "woodwind", transposition=12, diatonic=7,
                          from_bar=1)  # fmt: skip
    root = etree.fromstring(prepare(canonical, SOUNDING, (flute, piccolo)).xml)
    assert [o.text for o in root.iter("octave")] == ["5", "6"]
    assert [o.text for o in root.iter("clef-octave-change")] == ["1"]


def pages_accidentals(part: etree._Element) -> list[tuple[str, str | None]]:
    return [(n.get("id"), n.findtext("accidental")) for n in part.iter("note")]


@pytest.mark.corpora
@pytest.mark.parametrize("trust_labels", [False, True])
@pytest.mark.parametrize("name", SCORES)
def test_pitches_are_those_of_the_table(name: str, trust_labels: bool):
    """The table's own pitches are checked against music21 elsewhere."""
    data = (require_corpora() / "scores" / f"{name}.mxl").read_bytes()
    canonical = admit(data, name + ".mxl").canonical
    table = reader.read(canonical, trust_labels=trust_labels)
    wanted: dict[str, set[tuple[int, int, int]]] = {}
    for row in table.notes:
        spelled = (int(row["step"]), int(row["alter"]), int(row["octave"]))
        wanted.setdefault(table.ids[row["src"]], set()).add(spelled)
    readings = table.parts if trust_labels else ()
    root = etree.fromstring(prepare(canonical, SOUNDING, readings).xml)
    seen = 0
    for element in root.iter("note"):
        pitch = element.find("pitch")
        spelled_here = wanted.get(element.get("id", ""))
        if pitch is None or spelled_here is None:
            continue
        here = (
            "CDEFGAB".index(pitch.findtext("step") or ""),
            int(pitch.findtext("alter") or 0),
            int(pitch.findtext("octave") or 0),
        )
        assert here in spelled_here, element.get("id")
        seen += 1
    assert seen > 500


@pytest.mark.corpora
def test_accidentals_are_those_a_notation_program_prints():
    """With nothing to transpose, our accidentals must be the ones in the files.

    The files' own come from the notation program that wrote them, which is an
    oracle that knows nothing of us. Cautionary signs are kept as they are, so
    only signs that a reader needs are compared.
    """
    counts: Counter[str] = Counter()
    for name in SCORES:
        data = (require_corpora() / "scores" / f"{name}.mxl").read_bytes()
        root = etree.fromstring(admit(data, name + ".mxl").canonical)
        for part in root.findall("part"):
            for old in part.findall("measure/attributes/transpose"):
                old.getparent().remove(old)
            before = dict(pages_accidentals(part))
            make_sounding(part, [])
            for id_, after in pages_accidentals(part):
                if before[id_] is None and after is None:
                    counts["none"] += 1
                elif before[id_] == after:
                    counts["same"] += 1
                else:
                    counts["missing" if after is None else "more"] += 1
    assert counts["same"] > 1000
    # a missing sign makes the page lie; one too many is only clumsy
    assert counts["missing"] <= 0.01 * counts["same"], counts
    assert counts["more"] <= 0.01 * counts["same"], counts
