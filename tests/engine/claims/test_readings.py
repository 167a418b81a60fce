"""Charitable readings by their codes: where one is offered, and false friends where it is not.

What is right follows from the notes written here. Sources: the contract's table of readings; clefs
and octave habits, trade-facts 2.4 and 7.3; endings and players are common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

from analysis.engine.model import Finding, ScoreTable, Sentence
from analysis.engine.settings import Settings
from tests.engine.claims.asking import ask, region, role
from tests.engine.written import Part
from tests.engine.written import table as written

from ..tables import table


def got(value: dict[str, Any]) -> tuple[str, str | None]:
    return value["flag"], value["cause"]


# --- the other ending, the other time -----------------------------------------

OB_TUNE = "E5 q F5 G5 A5 | G5 E5 F5 D5"


@cache
def repeated() -> ScoreTable:
    """Bars 1-2 repeated; 3-4 under the first bracket, 5-6 under the second; 7-8 after it.

    The horn rests in 1-2, plays in 3, rests in 4 to 8. The oboe doubles the violins in 1-2, in 5-6
    and in 7; in 3-4 it has notes of its own. The flute rests in 1-4 and plays from 5.
    """
    own = "B4 q A4 B4 A4"
    made = written(
        Part("Flauto", "r | r | r | r | G5 w | G5 w | G5 w | G5 w"),
        Part("Oboe", f"repeat:forward {OB_TUNE} | ending:1 {own} | {own} repeat:backward | "
             f"ending:2 {OB_TUNE} | {OB_TUNE}"),
        Part("Corno in F", "r | r | G4 w | r | r | r | r | r", transpose=(-7, -4)),
        Part("Violino I", f"repeat:forward {OB_TUNE} | ending:1 C5 h D5 | C5 w repeat:backward | "
             f"ending:2 {OB_TUNE} | {OB_TUNE}"),
        Part("Violoncello", "C3 w | C3 w | C3 w | C3 w | C3 w | C3 w | C3 w | C3 w", clef="F4"),
    )  # fmt: skip
    # the bracket ends with bar 6; such files of ours have no sign for that
    return replace(made, bars=tuple(replace(b, ending=b.ending[: b.index < 6]) for b in made.bars))


def test_the_piece_has_two_brackets():
    assert [(b.label, b.ending) for b in repeated().bars] == [
        ("1", ""), ("2", ""), ("3", "1"), ("4", "1"), ("5", "2"), ("6", "2"), ("7", ""), ("8", ""),
    ]  # fmt: skip


def test_true_of_the_other_ending():
    t = repeated()
    value = ask(t, "playing", ["3"], ["Flauto"], mode="play")
    assert got(value) == ("partly", "ending")
    assert "bar 5" in value["sentence"]
    assert value["truth"]["claim"]["bars"] == ["5"]
    value = ask(t, "doubling", ["3", "4"], ["Oboe"], with_=["Violino I"], octaves=0)
    assert got(value) == ("partly", "ending")
    assert value["truth"]["claim"]["bars"] == ["5", "6"]


def test_no_other_ending_where_the_bar_beside_is_meant():
    t = repeated()
    # bar 4 is no ending of bar 3: the horn plays in 3, under the same bracket
    assert got(ask(t, "playing", ["4"], ["Corno"], mode="play")) == ("partly", "bar-offset")
    # bar 2 stands under no bracket
    assert got(ask(t, "playing", ["2"], ["Corno"], mode="play")) == ("partly", "bar-offset")
    # neither ending has it there
    assert got(ask(t, "playing", ["6"], ["Corno"], mode="play")) == ("conflicts", None)


def test_no_other_ending_for_what_is_denied_of_this_one():
    """ "It does not double in 5": it does; that it does not in 3 is another statement."""
    value = ask(repeated(), "doubling", ["5", "6"], ["Oboe"], with_=["Violino I"], negated=True)
    assert got(value) == ("conflicts", None)


def test_brackets_of_two_repeats_are_not_each_others_endings():
    """First ending of one repeat, at once the first ending of another (no bar between)."""
    t = repeated()
    twice = replace(t, bars=tuple(replace(b, ending="1" if b.ending else "") for b in t.bars))
    assert ask(twice, "playing", ["3"], ["Flauto"], mode="play")["cause"] != "ending"


def test_true_of_the_other_time_through():
    """The oboe doubles in 1-2 and on into the second bracket, not into the first."""
    t = repeated()
    value = ask(t, "doubling", ["1", "4"], ["Oboe"], with_=["Violino I"], octaves=0)
    assert got(value) == ("partly", "pass")
    assert "second time" in value["sentence"]
    assert "bars 1–2 and bars 5–6" in value["sentence"]
    # as one writes the second time, over the first bracket, and on
    for last in ("6", "8"):
        value = ask(t, "doubling", ["1", last], ["Oboe"], with_=["Violino I"], octaves=0)
        assert got(value) == ("partly", "pass"), last


def test_no_other_time_where_neither_is_so_or_this_one_is():
    t = repeated()
    # the horn rests in 1-2, plays in 3: neither time does it play throughout
    assert ask(t, "playing", ["1", "3"], ["Corno"], mode="play")["cause"] != "pass"
    # a passage that reaches no bracket has no other time
    assert ask(t, "playing", ["1", "2"], ["Flauto"], mode="play")["cause"] != "pass"
    # true as written
    assert got(ask(t, "playing", ["1", "4"], ["Flauto"], mode="rest")) == ("agrees", None)
    # whole bars only: what is said of beats is not moved
    place = {"from": {"bar": "1", "beat": 1}, "to": {"bar": "4", "beat": 2}}
    value = ask(t, "doubling", place, ["Oboe"], with_=["Violino I"], octaves=0)
    assert value["cause"] != "pass"


# --- the other player ---------------------------------------------------------


@cache
def oboes() -> ScoreTable:
    """Two oboes on a staff: the first with the violins, the second in long notes; flutes on two
    staves, the first with the violins an octave higher."""
    return table(
        {
            "Fl A": "C6 q D6 E6 F6 | G6 E6 D6 C6", "Fl B": "G5 w | B5 w",
            "Ob 1": "C5 q D5 E5 F5 | G5 E5 D5 C5", "Ob 2": "G4 w | r",
            "Vl I": "C5 q D5 E5 F5 | G5 E5 D5 C5", "Vc": "C3 w | G3 w",
        }
    )  # fmt: skip


def test_the_other_player_of_the_staff():
    second, first = {"part": "Ob", "player": 2}, {"part": "Ob", "player": 1}
    value = ask(oboes(), "doubling", ["1", "2"], [second], with_=["Vl I"], octaves=0)
    assert got(value) == ("partly", "player")
    assert value["sentence"].startswith("Nearly: It fits Oboe 1 rather than Oboe 2")
    assert value["truth"]["claim"]["parts"] == [{"part": "P3", "player": 1}]
    value = ask(oboes(), "doubling", ["1", "2"], ["Vl I"], with_=["Oboe 2"], octaves=0)
    assert got(value) == ("partly", "player")
    assert got(ask(oboes(), "playing", ["2"], [first], mode="rest")) == ("partly", "player")
    value = ask(oboes(), "range", ["1", "2"], [second], extreme="highest", pitch="G5",
                within="passage")  # fmt: skip
    assert got(value) == ("partly", "player")


def test_no_other_player():
    t = oboes()
    # two staves: another part, not another player of the staff
    value = ask(t, "doubling", ["1", "2"], ["Fl B"], with_=["Vl I"], octaves=1)
    assert value["cause"] != "player"
    # both are named: no slip of the number
    value = ask(t, "doubling", ["1", "2"], ["Oboe 2", "Oboe 1"], with_=["Vl I"], octaves=0)
    assert value["cause"] != "player"
    value = ask(t, "doubling", ["1", "2"], ["Oboe 2"], with_=["Oboe 1"], octaves=0)
    assert value["cause"] != "player"
    # the staff is named, not a player of it
    assert ask(t, "playing", ["2"], ["Ob"], mode="rest")["cause"] != "player"
    # neither player does it
    value = ask(t, "doubling", ["1", "2"], ["Oboe 2"], with_=["Vc"], octaves=0)
    assert value["cause"] != "player"
    # what is denied of one is not said of the other
    value = ask(t, "doubling", ["1", "2"], ["Oboe 1"], with_=["Vl I"], negated=True)
    assert got(value) == ("conflicts", None)


# --- clefs --------------------------------------------------------------------

#: places on the staff that read E5 F5 G5 A5 | G5 F5 E5 D5 in the treble clef, in the alto clef
ALTO = "F4 q G4 A4 B4 | A4 G4 F4 E4"
TREBLE = "E5 q F5 G5 A5 | G5 F5 E5 D5"


@cache
def clefs() -> ScoreTable:
    """Violas in the alto clef on the very places on which the violins stand in the treble clef; a
    bassoon in the tenor clef in unison with the cellos."""
    return written(
        Part("Fagotto", "C4 q D4 E4 F4 | E4 D4 C4 B3", clef="C4"),
        Part("Violino I", TREBLE),
        Part("Viola", ALTO, clef="C3"),
        Part("Violoncello", "C4 q D4 E4 F4 | E4 D4 C4 B3", clef="F4"),
    )


def test_the_alto_clef_read_as_treble():
    value = ask(clefs(), "doubling", ["1", "2"], ["Viola"], with_=["Violino I"], octaves=0)
    assert got(value) == ("conflicts", "clef")
    assert "Viola is read in the treble clef; it stands in the alto clef" in value["sentence"]
    # its highest note, written on the place of A5 in the treble clef
    value = ask(clefs(), "range", ["1", "2"], ["Viola"], extreme="highest", pitch="A5",
                within="passage")  # fmt: skip
    assert got(value) == ("conflicts", "clef")


def test_the_tenor_clef_read_as_alto():
    """Two steps higher (trade-facts 7.3): the unison becomes thirds."""
    value = ask(clefs(), "parallel", ["1", "2"], ["Fagotto"], with_=["Violoncello"],
                interval="third")  # fmt: skip
    assert got(value) == ("conflicts", "clef")
    assert "read in the alto clef; it stands in the tenor clef" in value["sentence"]


def test_no_clef_where_the_notes_are_not_those():
    # a seventh off is the clef; a sixth off is not
    for pitch, cause in (("A5", "clef"), ("G5", None), ("C6", None)):
        value = ask(clefs(), "range", ["1", "2"], ["Viola"], extreme="highest", pitch=pitch,
                    within="passage")  # fmt: skip
        assert got(value) == ("conflicts", cause), pitch
    # nobody reads the treble clef otherwise where no other is printed
    value = ask(clefs(), "range", ["1", "2"], ["Violino I"], extreme="highest", pitch="B4",
                within="passage")  # fmt: skip
    assert value["cause"] != "clef"


def test_accidentals_stay_on_their_places_in_another_clef():
    """Two flats: B flat by the signature in the alto clef stands where A natural is in the treble.
    A printed sharp is one in every clef."""
    t = written(
        Part("Violino I", "E5 q F#5 G5 A5 | G5 F5 Eb5 D5", key=-2),
        Part("Viola", "F4 q G#4 A4 Bb4 | A4 G4 F4 Eb4", clef="C3", key=-2),
        Part("Violoncello", "Bb2 w | Bb2 w", clef="F4", key=-2),
    )
    value = ask(t, "range", ["1", "2"], ["Viola"], extreme="highest", pitch="A5", within="passage")
    assert got(value) == ("conflicts", "clef")
    value = ask(t, "range", ["1", "2"], ["Viola"], extreme="lowest", pitch="D5", within="passage")
    assert got(value) == ("conflicts", "clef")


def test_a_held_note_in_another_clef():
    """The violas' C, the middle line of the alto clef, is B in the treble clef."""
    t = written(
        Part("Violino I", "E5 w | D5 | F5 | E5"), Part("Violino II", "C5 w | B4 | A4 | C5"),
        Part("Viola", "C4~ w | C4~ | C4~ | C4", clef="C3"),
        Part("Violoncello", "A3 w | G3 | F3 | A3", clef="F4"),
    )  # fmt: skip
    assert got(ask(t, "pedal", ["1", "4"], ["Viola"], pitch="C")) == ("agrees", None)
    assert got(ask(t, "pedal", ["1", "4"], ["Viola"], pitch="B")) == ("conflicts", "clef")
    assert ask(t, "pedal", ["1", "4"], ["Viola"], pitch="D")["cause"] != "clef"


def confirmed(made: ScoreTable, label: str, **change: Any) -> ScoreTable:
    """The tutor has looked at a part, as the page of parts stores it."""
    parts = tuple(replace(p, doubt=None, **change) if p.label == label else p for p in made.parts)
    return replace(made, parts=parts)


@cache
def horn(old: bool) -> ScoreTable:
    """A horn in E flat: bars 1-2 in the bass clef, 3-4 in the treble clef; cellos below it.

    In the old bass clef written C3 and G2 sound E flat 3 and B flat 2 (trade-facts 2.4).
    """
    made = written(
        Part("Corno in Es", "C3 h G2 | C3 w | clef:G2 C5 h G4 | C5 w", clef="F4",
             transpose=(-9, -5)),
        Part("Violoncello", "Eb3 h Bb2 | Eb3 w | Eb4 h Bb3 | Eb4 w", clef="F4"),
    )  # fmt: skip
    reading = next(p for p in made.parts if p.label == "Corno in Es")
    assert reading.old_bass_clef
    if old:
        return confirmed(made, "Corno in Es")
    rows = made.notes.copy()
    low = (rows["part"] == 0) & (rows["bar"] < 2)
    rows["pitch"][low] -= 12
    rows["octave"][low] -= 1
    return replace(confirmed(made, "Corno in Es", old_bass_clef=False), notes=rows)


def test_the_old_bass_clef_read_as_the_newer_one():
    t = horn(True)
    says: dict[str, Any] = {"extreme": "lowest", "within": "passage"}
    assert got(ask(t, "range", ["1", "2"], ["Corno"], pitch="Bb2", **says)) == ("agrees", None)
    value = ask(t, "range", ["1", "2"], ["Corno"], pitch="Bb1", **says)
    assert got(value) == ("partly", "old-bass-clef")
    assert "old bass clef" in value["sentence"]
    value = ask(t, "doubling", ["1", "2"], ["Corno"], with_=["Violoncello"], octaves=-1)
    assert got(value) == ("partly", "old-bass-clef")


def test_no_old_bass_clef_in_the_treble_clef_or_in_newer_notation():
    says: dict[str, Any] = {"extreme": "lowest", "within": "passage"}
    # 3-4 stand in the treble clef: an octave off there is only another octave
    value = ask(horn(True), "range", ["3", "4"], ["Corno"], pitch="Bb2", **says)
    assert got(value) == ("partly", "octave-count")
    # two octaves off is no habit of clefs
    value = ask(horn(True), "doubling", ["1", "2"], ["Corno"], with_=["Violoncello"], octaves=-2)
    assert got(value) == ("partly", "octave-count")
    value = ask(horn(False), "range", ["1", "2"], ["Corno"], pitch="Bb0", **says)
    assert got(value) == ("partly", "octave-count")


@cache
def cello(top: str, written_as: str) -> ScoreTable:
    """A cello whose bars 3-4 stand in the treble clef, above violas (which sound what it does)."""
    made = written(
        Part("Viola", f"C4 w | C4 w | {top} | {top}", clef="C3"),
        Part("Violoncello", f"C3 w | C3 w | clef:G2 {written_as} | {written_as}", clef="F4"),
    )
    return confirmed(made, "Violoncello")


def test_the_cello_in_the_treble_clef():
    says: dict[str, Any] = {"extreme": "highest", "within": "passage"}
    # as written: the old habit is not meant; somebody who follows it reads an octave too low
    t = cello("C5 q D5 E5 F5", "C5 q D5 E5 F5")
    assert got(ask(t, "range", ["3", "4"], ["Violoncello"], pitch="F5", **says))[0] == "agrees"
    value = ask(t, "range", ["3", "4"], ["Violoncello"], pitch="F4", **says)
    assert got(value) == ("partly", "cello-treble")
    assert "too low" in value["sentence"]
    value = ask(t, "doubling", ["3", "4"], ["Violoncello"], with_=["Viola"], octaves=-1)
    assert got(value) == ("partly", "cello-treble")
    # above C6 the reader takes the old habit to be meant; as it is written is an octave too high
    t = cello("C5 q E5 G5 D5", "C6 q E6 G6 D6")
    assert t.reading_at(1, 0).octave_switch
    value = ask(t, "range", ["3", "4"], ["Violoncello"], pitch="G6", **says)
    assert got(value) == ("partly", "cello-treble")
    assert "too high" in value["sentence"]


def test_no_treble_clef_of_the_cello_elsewhere():
    says: dict[str, Any] = {"extreme": "highest", "within": "passage"}
    t = cello("C5 q D5 E5 F5", "C5 q D5 E5 F5")
    # bars 1-2 stand in the bass clef
    value = ask(t, "range", ["1", "2"], ["Violoncello"], pitch="C2", **says)
    assert got(value) == ("partly", "octave-count")
    # the other way: nobody reads it an octave higher than it is written
    value = ask(t, "range", ["3", "4"], ["Violoncello"], pitch="F6", **says)
    assert got(value) == ("partly", "octave-count")
    # violas have no such habit
    value = ask(t, "range", ["3", "4"], ["Viola"], pitch="F4", **says)
    assert got(value) == ("partly", "octave-count")


# --- the German B -------------------------------------------------------------


@cache
def in_b(label: str) -> ScoreTable:
    """A clarinet or horn "in B" over long chords of B flat."""
    shift = (-2, -1)
    return written(
        Part(label, "C5 w | G4 | E4 | C5", transpose=shift),
        Part("Violino I", "D5 q F5 Bb5 F5 | D5 F5 Bb5 F5 | D5 F5 Bb5 F5 | D5 F5 Bb5 F5", key=-2),
        Part("Violoncello", "Bb2 w | F3 | Bb2 | Bb2", clef="F4", key=-2),
    )


def test_the_german_b_of_a_transposition():
    t = in_b("Clarinetto in B")
    assert got(ask(t, "layout", ["1"], ["Clarinetto"], transposition=-2)) == ("agrees", None)
    value = ask(t, "layout", ["1"], ["Clarinetto"], transposition=-1)
    assert got(value) == ("conflicts", "german-b")
    assert "B flat" in value["sentence"]
    value = ask(t, "range", ["1", "4"], ["Violino I"], extreme="highest", pitch="B5",
                within="passage")  # fmt: skip
    assert got(value) == ("conflicts", "german-b")


def test_no_german_b_where_the_page_names_none():
    for label in ("Clarinetto in Bb", "Clarinet in B♭", "Clarinetto in Si♭"):
        t = in_b(label)
        assert ask(t, "layout", ["1"], ["Clarinetto"], transposition=-1)["cause"] != "german-b"
        value = ask(t, "range", ["1", "4"], ["Violino I"], extreme="highest", pitch="B5",
                    within="passage")  # fmt: skip
        assert value["cause"] != "german-b", label
    t = in_b("Clarinetto in B")
    # H is B natural for everybody, another semitone is no B
    assert ask(t, "layout", ["1"], ["Clarinetto"], transposition=-3)["cause"] != "german-b"
    value = ask(t, "range", ["1", "4"], ["Violino I"], extreme="lowest", pitch="Db5",
                within="passage")  # fmt: skip
    assert value["cause"] != "german-b"
    # the violins are not "in B"
    assert ask(t, "layout", ["1"], ["Violino I"], transposition=-1)["cause"] != "german-b"


def test_the_german_b_of_open_tones():
    """Horn in B (flat): B flat, D and F are open; reckoned from B natural: B, D sharp, F sharp."""
    t = written(
        Part("Corno in B basso", "C5 w | G4 | E4 | C5", transpose=(-14, -8)),
        Part("Violoncello", "Bb2 w | F3 | Bb2 | Bb2", clef="F4", key=-2),
    )
    bars = ["1", "4"]
    assert ask(t, "open-tones", bars, ["Corno"], pitches=["Bb4", "D4"])["flag"] == "agrees"
    value = ask(t, "open-tones", bars, ["Corno"], pitches=["B3", "D#4", "F#4"])
    assert got(value) == ("conflicts", "german-b")
    value = ask(t, "open-tones", bars, ["Corno"], pitches=["E3"])
    assert value["cause"] != "german-b"


# --- roles and keys: named where the flag is what it would be, or for the ear --


@cache
def low_tune() -> ScoreTable:
    """The bassoon has the tune, all others one note a bar."""
    return table(
        {
            "Fl": "G5 w | G5 | G5 | G5", "Ob": "E5 w | E5 | E5 | E5",
            "Fg": "C4 q D4 E4 G4 | A4 G4 E4 D4 | E4 F4 G4 B4 | C5 h G4",
            "Vl I": "C5 w | C5 | B4 | C5", "Vc": "C2 w | C2 | G2 | C2",
        }
    )  # fmt: skip


def tune_below(last: int = 3) -> list[Finding]:
    t = low_tune()
    held = [role(t, line, 0, 3, "held harmony", 0.9) for line in (0, 1, 3)]
    return [*held, role(t, 2, 0, last, "melody", 0.9), role(t, 4, 0, 3, "bass line", 0.9)]


#: in these few notes the flute's class is unlikely, but below the usual .9
CLEAR = Settings(conflict_confidence=0.8)


def test_the_tune_sought_in_the_top_staff():
    t, found = low_tune(), tune_below()
    value = ask(t, "role", ["1", "4"], ["Fl"], role="melody", findings=found, settings=CLEAR)
    assert got(value) == ("conflicts", "top-staff")
    assert "lower on the page, in Fg" in value["sentence"]
    assert value["truth"]["claim"]["parts"] == ["P3"]


def test_no_top_staff():
    t = low_tune()
    # an oboe under a flute is no top staff
    value = ask(t, "role", ["1", "4"], ["Ob"], role="melody", findings=tune_below(), settings=CLEAR)
    assert got(value) == ("conflicts", None)
    # the violins are the first of the strings, but the bassoon stands above them
    value = ask(t, "role", ["1", "4"], ["Vl I"], role="melody", findings=tune_below(),
                settings=CLEAR)  # fmt: skip
    assert got(value) == ("conflicts", None)
    # nobody below has the tune throughout
    value = ask(t, "role", ["1", "4"], ["Fl"], role="melody", findings=tune_below(1),
                settings=CLEAR)  # fmt: skip
    assert value["cause"] != "top-staff"
    # not clear: the ear, and no cause
    value = ask(t, "role", ["1", "4"], ["Fl"], role="melody", findings=tune_below())
    assert got(value) == ("ear", None)
    # another job than the tune
    value = ask(t, "role", ["1", "4"], ["Fl"], role="bass line", findings=tune_below(),
                settings=CLEAR)  # fmt: skip
    assert value["cause"] != "top-staff"


def test_filling_called_a_second_tune():
    value = ask(low_tune(), "role", ["1", "4"], ["Vl I"], role="countermelody",
                findings=tune_below())  # fmt: skip
    assert got(value) == ("ear", "filler")
    assert "Can you sing it" in value["sentence"]


def test_no_filling():
    t = low_tune()
    # very sure: it conflicts (what students get wrong, and the checker knows)
    value = ask(t, "role", ["1", "4"], ["Vl I"], role="countermelody", findings=tune_below(),
                settings=CLEAR)  # fmt: skip
    assert got(value) == ("conflicts", None)
    # the bass is no filling; the tune is nearly a second tune
    value = ask(t, "role", ["1", "4"], ["Vc"], role="countermelody", findings=tune_below())
    assert value["cause"] != "filler"
    value = ask(t, "role", ["1", "4"], ["Fg"], role="countermelody", findings=tune_below())
    assert value["cause"] != "filler"
    # filling in half of the bars only
    half = [role(t, 3, 0, 1, "held harmony", 0.9), role(t, 3, 2, 3, "answer", 0.9)]
    value = ask(t, "role", ["1", "4"], ["Vl I"], role="countermelody", findings=half)
    assert value["cause"] != "filler"


def touching(key: str, first: int, last: int, template: str = "tonicisation.one") -> Finding:
    value = {"kind": "key-route", "parts": [], "keys": [key], "touched": True}
    return Finding("key-route", 0, first, last, 0, 1, (), value, 0.8, (), Sentence(template, {}))


def test_a_key_only_touched_is_for_the_ear():
    t = low_tune()
    found = [region(t, 0, 3, "c major", 0.95), touching("e minor", 1, 2)]
    for how in ("region", "arrives"):
        value = ask(t, "key", ["2", "3"], key="e minor", how=how, findings=found)
        assert got(value) == ("ear", "tonicisation"), how
        assert "E minor is touched there" in value["sentence"]


def test_no_touched_key():
    t = low_tune()
    found = [region(t, 0, 3, "c major", 0.95), touching("e minor", 1, 1)]
    # in other bars, another key, another mode, a route that is no tonicisation
    says: dict[str, Any] = {"how": "region", "findings": found}
    assert got(ask(t, "key", ["3", "4"], key="e minor", **says)) == ("conflicts", None)
    assert got(ask(t, "key", ["1", "4"], key="d minor", **says)) == ("conflicts", None)
    assert got(ask(t, "key", ["1", "4"], key="e major", **says)) == ("conflicts", None)
    says["findings"] = [found[0], touching("e minor", 1, 1, "key-route.is")]
    assert got(ask(t, "key", ["1", "4"], key="e minor", **says)) == ("conflicts", None)
    # the relative key is looked for first
    says["findings"] = [found[0], touching("a minor", 1, 1)]
    assert got(ask(t, "key", ["1", "4"], key="a minor", **says)) == ("partly", "relative-key")


def test_the_german_b_of_a_key():
    t = low_tune()
    found = [region(t, 0, 3, "bb major", 0.95)]
    value = ask(t, "key", ["1", "4"], key="b major", how="region", findings=found)
    assert got(value) == ("conflicts", "german-b")
    assert "The B of German names is B flat" in value["sentence"]
    # B-Dur is B flat major for everybody; another mode, another semitone is no German B
    for key, cause in (("B-Dur", None), ("b minor", None), ("a major", None)):
        value = ask(t, "key", ["1", "4"], key=key, how="region", findings=found)
        assert value["cause"] == cause, key
    # not sure enough to say that it conflicts
    found = [region(t, 0, 3, "bb major", 0.75)]
    assert ask(t, "key", ["1", "4"], key="b major", how="region", findings=found)["flag"] == "ear"


def test_the_german_b_called_h():
    t = low_tune()
    asked: dict[str, Any] = {"how": "region", "findings": [region(t, 0, 3, "bb major", 0.95)]}
    for said in ("H-Dur", "H major", "h dur"):
        value = ask(t, "key", ["1", "4"], key=said, **asked)
        assert got(value) == ("conflicts", "german-b"), said
        assert "H is the German name of B natural" in value["sentence"]
    # nobody who says si, or C flat, has the German letters in mind
    for said in ("si maggiore", "Cb major", "Ces-Dur"):
        assert ask(t, "key", ["1", "4"], key=said, **asked)["cause"] is None, said
    # where it is in B, H is right and nothing is said of names
    asked["findings"] = [region(t, 0, 3, "b major", 0.95)]
    value = ask(t, "key", ["1", "4"], key="H-Dur", **asked)
    assert got(value) == ("agrees", None)
    assert "German" not in value["sentence"] + value["note"]


# --- one divided part, and what neighbours have printed -----------------------


def test_the_two_lines_of_one_part_are_partners():
    """Two oboes of a staff in thirds, said of the oboes and the oboes."""
    t = table(
        {
            "Ob 1": "E5 q F5 G5 A5 | G5 F5 E5 D5", "Ob 2": "C5 q D5 E5 F5 | E5 D5 C5 B4",
            "Vc": "C3 w | G3 w",
        }
    )  # fmt: skip
    asked: dict[str, Any] = {"bars": ["1", "2"], "parts": ["Ob"], "with_": ["Ob"]}
    assert got(ask(t, "parallel", **asked, interval="third")) == ("agrees", None)
    value = ask(t, "parallel", **asked, interval="sixth")
    assert value["flag"] == "conflicts"
    assert "thirds" in value["sentence"]
    # one line is no pair
    value = ask(t, "parallel", ["1", "2"], ["Vc"], with_=["Vc"], interval="third")
    assert got(value) == ("ear", "not-understood")


def muted(*over: str) -> ScoreTable:
    """Strings of which those named have "con sord." over their first bar, the rest no word."""

    def text(label: str, notes: str) -> str:
        return f"'con sord.' {notes}" if label in over else notes

    return written(
        Part("Flauto", text("Flauto", "G5 w | G5")),
        Part("Violino I", text("Violino I", "E5 w | D5")),
        Part("Violino II", text("Violino II", "C5 w | B4")),
        Part("Viola", "G4 w | G4", clef="C3"),
    )


def test_a_mute_printed_over_the_neighbours_and_not_here():
    asked: dict[str, Any] = {"bars": ["1", "2"], "parts": ["Viola"], "mark": "con sord."}
    t = muted("Violino I", "Violino II")
    assert got(ask(t, "marking", **asked)) == ("conflicts", None)
    assert ask(t, "marking", **asked, negated=True)["flag"] == "agrees"
    # over the first staff alone it may be meant for all strings; winds tell nothing of strings
    assert ask(muted("Violino I"), "marking", **asked)["flag"] == "ear"
    assert ask(muted("Violino I", "Flauto"), "marking", **asked)["flag"] == "ear"
    assert ask(muted(), "marking", **asked)["flag"] == "ear"


# --- further meanings of a collective -----------------------------------------


def test_another_meaning_of_a_collective_wherever_it_stands():
    """Low strings are cellos and basses, or the violas as well: common practice, no source."""
    tune = " | ".join(["C4 q D4 E4 F4", "G4 q F4 E4 D4"] * 2)
    t = table({"Fg": tune, "Vl I": "G5 w | r | G5 w | r", "Vla": tune,
               "Vc": "C3 w | D3 w | C3 w | D3 w", "Cb": "r | r | r | r"})  # fmt: skip
    value = ask(t, "doubling", ["1", "4"], ["Fg"], octaves=0, **{"with": ["low strings"]})
    assert value["flag"] == "agrees"
    assert "Taken as Vla" in value["note"] or "Vla" in value["note"]
    assert value["truth"]["claim"]["with"] != ["low strings"]
    other = ask(t, "doubling", ["1", "4"], ["Fg"], octaves=0, **{"with": ["high strings"]})
    assert other["flag"] == "agrees", "high strings may take in the violas, too"
    none = ask(t, "doubling", ["1", "4"], ["Fg"], octaves=0, **{"with": ["the firsts"]})
    assert none["flag"] == "conflicts"
