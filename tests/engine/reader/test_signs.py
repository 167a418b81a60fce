"""Dynamics, techniques, articulations, spans."""

from __future__ import annotations

from analysis.engine.model import TICKS, Articulation, NoteFlag, Technique, with_strokes
from analysis.engine.reader.force import technique_changes
from tests.engine.reader.reading import rows, table


def test_dynamics_are_the_last_printed_mark_of_the_part():
    t = table("dynamics")
    # nothing yet, p, sf sets nothing, fp leaves p; ff, a playback value near p; pp in words;
    # the hairpin sets nothing, f
    assert rows(t, "Flauto")["dynamic"].tolist() == [0, 3, 3, 3, 7, 3, 2, 2, 6]
    assert rows(t, "Oboe")["dynamic"].tolist() == [0, 0, 0, 0]


def test_hairpins_are_spans():
    (wedge,) = (m for m in table("dynamics").marks if m.kind == "wedge")
    assert (wedge.text, wedge.onset, wedge.end) == ("crescendo", 12 * TICKS, 14 * TICKS)


def test_techniques_last_until_they_are_cancelled():
    got = rows(table("techniques"), "Violino I")["technique"].tolist()
    pizz, sord = int(Technique.PIZZICATO), int(Technique.CON_SORDINO)
    legno, pont = int(Technique.COL_LEGNO), int(Technique.SUL_PONTICELLO)
    assert got == [0, pizz, 0, sord, 0, legno, pizz, 0, pont, 0, int(Technique.HARMONIC)]


def test_words_that_are_no_techniques():
    for text in ("dolce", "cresc.", "Tasto solo", "con fuoco", "a tempo"):
        assert technique_changes(text) == (0, 0), text


def test_articulations():
    got = rows(table("signs-on-notes"), "Violino I")["articulation"].tolist()
    assert got[:4] == [
        Articulation.STACCATO,
        Articulation.ACCENT,
        Articulation.TENUTO,
        Articulation.MARCATO,
    ]
    # slurred: inside, but not its last note
    assert [bool(a & Articulation.SLURRED) for a in got[4:8]] == [True, True, False, False]
    assert got[7] & Articulation.FERMATA


def test_a_slur_is_a_span_too():
    (slur,) = (m for m in table("signs-on-notes").marks if m.kind == "slur")
    assert (slur.onset, slur.end) == (4 * TICKS, 7 * TICKS)


def test_tremolos_and_trills():
    flags = rows(table("signs-on-notes"), "Violino I")["flags"][8:].tolist()
    assert flags == [
        NoteFlag.TREMOLO | with_strokes(3),
        NoteFlag.TRILL,
        NoteFlag.TREMOLO_PAIR | with_strokes(3),
        NoteFlag.TREMOLO_PAIR | with_strokes(3),
    ]


def test_tempo_rehearsal_key_clef_and_metre():
    found = {(m.kind, m.bar, m.text): m.number for m in table("marks").marks}
    assert found["tempo", 0, "quarter. = 60"] == 90  # quarters a minute
    assert ("rehearsal", 1, "B") in found
    assert found["key", 0, "-3"] == -3
    assert found["key", 2, "2"] == 2
    assert ("clef", 2, "F4") in found
    assert ("time", 2, "3/4") in found
