"""Signs over a note as events: which pitches, how many, how long; and measured in the mixed sound.

Figures from C. P. E. Bach's Versuch (1753), chapter II, as `ornaments` names them.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from analysis.engine.model import TICKS, ScoreTable
from analysis.engine.sound import perform, timeline
from analysis.engine.sound.performance import Stroke
from analysis.engine.sound.programs import MUTED_TRUMPET, PIZZICATO, TREMOLO
from analysis.engine.sound.render import RATE, mix
from tests.engine.sound.scores import note, score, words
from tests.engine.sound.test_render import bank

G_MAJOR = "<attributes><key><fifths>1</fifths></key></attributes>"
SLOW = '<direction><direction-type><words>Adagio</words></direction-type><sound tempo="60"/></direction>'  # noqa: E501
QUICK = '<direction><direction-type><words>Presto</words></direction-type><sound tempo="160"/></direction>'  # noqa: E501


def ornament(name: str, text: str = "", **more: str) -> str:
    attributes = "".join(f' {key}="{value}"' for key, value in more.items())
    return f"<ornaments><{name}{attributes}>{text}</{name}></ornaments>"


def strokes(*bars: str, label: str = "Flauto") -> list[Stroke]:
    return list(perform(score((label, "", list(bars)))).strokes)


def pitches(bar: str, label: str = "Flauto") -> list[int]:
    return [s.pitch for s in strokes(bar, label=label)]


def test_a_trill_begins_above_and_ends_on_its_note_within_its_length() -> None:
    found = strokes(G_MAJOR + note("E", 5, notations=ornament("trill-mark")), note("C", 5))
    trill = [s for s in found if s.on < 4 * TICKS]
    assert [s.pitch for s in trill[:4]] == [78, 76, 78, 76], "F sharp, for the key has it"
    assert trill[-1].pitch == 76
    assert len(trill) > 20, "two and a half seconds of it"
    assert all(a.off <= b.on for a, b in pairwise(trill)), "one voice"
    assert trill[0].on == 0
    assert trill[-1].off <= 4 * TICKS
    assert [s.again for s in trill] == [False] + [True] * (len(trill) - 1)


@pytest.mark.parametrize(
    ("name", "wanted"),
    [("turn", [74, 72, 71, 72]), ("inverted-turn", [71, 72, 74, 72]),
     ("mordent", [72, 71, 72]), ("inverted-mordent", [72, 74, 72])],
)  # fmt: skip
def test_figures_of_a_few_notes_and_the_last_stays(name: str, wanted: list[int]) -> None:
    found = strokes(note("C", 5, notations=ornament(name)))
    assert [s.pitch for s in found] == wanted
    quick = [s.off - s.on for s in found[:-1]]
    assert found[-1].off - found[-1].on > 5 * max(quick)


def test_an_ornament_on_a_short_note_stays_within_it() -> None:
    for name in ("trill-mark", "turn", "mordent"):
        found = strokes(QUICK + note("C", 5, 1, notations=ornament(name)) + note("D", 5, 7))
        own = [s for s in found if s.row == found[0].row]
        assert all(s.off <= TICKS // 2 for s in own), name
        assert all(s.on < s.off for s in own), name


@pytest.mark.parametrize(("number", "length", "times"), [("1", 8, 8), ("2", 8, 16), ("1", 1, 2)])
def test_a_measured_tremolo_has_as_many_strokes_as_are_written(
    number: str, length: int, times: int
) -> None:
    """One stroke: quavers; two: semiquavers; on a quaver its own flag counts too."""
    tremolo = ornament("tremolo", number, type="single")
    rest = f"<note><rest/><duration>{8 - length}</duration></note>" if length < 8 else ""
    found = strokes(note("C", 4, length, notations=tremolo) + rest, label="Viola")
    assert [s.pitch for s in found] == [60] * times
    steps = {b.on - a.on for a, b in pairwise(found)}
    assert steps == {length * TICKS // 2 // times}
    assert {s.program for s in found} != {TREMOLO}, "bowed one by one"


def test_an_unmeasured_tremolo_is_the_sound_of_strings_and_strokes_of_others() -> None:
    tremolo = ornament("tremolo", "3", type="single")
    quick = strokes(QUICK + note("C", 4, notations=tremolo), label="Viola")
    assert [s.program for s in quick] == [TREMOLO]
    slow = strokes(SLOW + note("C", 4, notations=tremolo), label="Viola")
    assert len(slow) == 32, "so slow that one counts them"
    flute = strokes(QUICK + note("C", 5, notations=tremolo))
    assert len(flute) == pytest.approx(1.5 / 0.065, abs=1)
    drum = strokes(QUICK + note("C", 3, notations=ornament("trill-mark")), label="Timpani")
    assert len(drum) == pytest.approx(1.5 / 0.065, abs=1), "a roll"
    assert {s.pitch for s in drum} == {48}


def test_a_tremolo_between_two_notes_goes_to_and_fro_through_both_lengths() -> None:
    first = note("C", 4, 4, notations=ornament("tremolo", "2", type="start"))
    second = note("E", 4, 4, notations=ornament("tremolo", "2", type="stop"))
    found = strokes(first + second, label="Viola")
    assert [s.pitch for s in found] == [60, 64] * 8
    assert [s.on for s in found] == [n * TICKS // 4 for n in range(16)]
    assert all(a.off <= b.on for a, b in pairwise(found))


def test_a_broken_chord_is_struck_from_below_and_ends_together() -> None:
    chord = "".join(
        note(step, 4, extra="<chord/>" if n else "", notations="<arpeggiate/>")
        for n, step in enumerate("GCE")
    )
    found = strokes(chord, label="Arpa")
    assert [s.pitch for s in found] == [60, 64, 67]
    assert found[0].on == 0 < found[1].on < found[2].on < TICKS // 4
    assert len({s.off for s in found}) == 1


def test_the_page_has_one_row_a_note() -> None:
    table = score(("Flauto", "", [note("C", 5, notations=ornament("trill-mark")), note("D", 5)]))
    rows = timeline(perform(table), table)["notes"]
    assert len(rows) == 2


# --- lengths and levels ---------------------------------------------------------------------


def loudness(table: ScoreTable) -> float:
    sound = mix(perform(table), table, bank())[: 2 * RATE]
    return float(20 * np.log10(np.sqrt((sound**2).mean())))


@pytest.mark.parametrize("label", ["Violino I", "Viola", "Violoncello"])
def test_a_plucked_note_is_at_most_three_tenths_of_a_bowed_one(label: str) -> None:
    def length(technique: str, signs: str = "") -> float:
        table = score((label, "", [words(technique) + note("C", 4, 4, notations=signs)]))
        (stroke,) = perform(table).strokes
        assert (stroke.program == PIZZICATO) == (technique == "pizz.")
        return stroke.off - stroke.on

    assert length("pizz.") <= 0.3 * length("arco")
    dots = "<articulations><staccato/></articulations>"
    assert length("pizz.", dots) <= length("pizz."), "a dot makes it no longer"


@pytest.mark.parametrize(("label", "octave"), [("Violino I", 4), ("Viola", 4), ("Violoncello", 3)])
def test_it_is_so_in_the_mixed_sound_too(label: str, octave: int) -> None:
    """From the first to the last moment within 20 dB of the loudest; a minim."""

    def rings(technique: str) -> float:
        table = score((label, "", [words(technique) + note("C", octave, 4)]))
        power = mix(perform(table), table, bank()).max(axis=1) ** 2
        level = np.convolve(power, np.ones(640) / 640, "same")
        heard = np.flatnonzero(level > level.max() / 100)
        return float(heard[-1] - heard[0])

    assert rings("pizz.") <= 0.3 * rings("arco")


@pytest.mark.parametrize("label", ["Violino I", "Viola", "Corno in C", "Trombone"])
def test_a_mute_is_heard_in_the_level(label: str) -> None:
    octave = 3 if label == "Trombone" else 4
    open_, mute = (
        loudness(score((label, "", [words(text) + note("A", octave)])))
        for text in ("dolce", "con sordino")
    )
    assert mute < open_ - 2


def test_muted_brass_has_the_sound_of_a_mute() -> None:
    for label in ("Tromba in C", "Corno in C", "Trombone"):
        found = strokes(
            words("con sordino") + note("G", 4), words("senza sordino") + note("G", 4), label=label
        )
        assert [s.program == MUTED_TRUMPET for s in found] == [True, False], label
