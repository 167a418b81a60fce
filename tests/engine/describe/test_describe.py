"""Passages in words: hand-written bars whose description is argued from the notes.

The template is that of the project's job description (11, Access); the grouping of names is
common practice, no source. Findings here are facts written by hand where a judgement is meant,
so that a test of words is no test of the role model.
"""

from __future__ import annotations

import pytest

from analysis.engine.analyses import doubling, parallel
from analysis.engine.claims.speech import render
from analysis.engine.describe import MOST_BARS, describe, grid
from analysis.engine.describe.who import who
from analysis.engine.errors import EngineError
from analysis.engine.model import Finding, Mark, Sentence
from analysis.engine.settings import Settings

from ..tables import table

S = Settings()
TUNE = "C5 q D5 E5 F5 | G5 F5 E5 D5 | E5 F5 G5 A5 | G5 E5 C5 h"
LOW = "C4 q D4 E4 F4 | G4 F4 E4 D4 | E4 F4 G4 A4 | G4 E4 C4 h"
HIGH = "C6 q D6 E6 F6 | G6 F6 E6 D6 | E6 F6 G6 A6 | G6 E6 C6 h"
THIRD = "A4 q B4 C5 D5 | E5 D5 C5 B4 | C5 D5 E5 F5 | E5 C5 A4 h"
HELD = "E4 w | D4 w | E4 w | E4 w"
BASS = "C3 h G2 | B2 h G2 | C3 h F2 | G2 h C3"
DEEP = "C2 h G1 | B1 h G1 | C2 h F1 | G1 h C2"
REST = "r | r | r | r"


def judged(t, value, lines, first=0, last=3, confidence=0.9, params=None):
    """A judgement, as an analysis or the tutor would give it."""
    return Finding(
        kind=value["kind"], movement=t.bars[first].movement, first=first, last=last,
        start=t.bars[first].start, end=t.bars[last].end, lines=lines, value=value,
        confidence=confidence, evidence=(), sentence=Sentence("", params or {}),
    )  # fmt: skip


def role(t, line, word, first=0, last=3, confidence=0.9):
    value = {"kind": "role", "parts": [], "role": word}
    return judged(t, value, (line,), first, last, confidence)


def key(t, name, first=0, last=3, confidence=0.9, second="G major"):
    value = {"kind": "key", "key": name, "how": "region"}
    return judged(t, value, (), first, last, confidence, {"second": second})


def told(t, findings=None, first=0, last=3):
    return [render(s) for s in describe(t, first, last, findings).sentences]


def orchestra():
    lines = {
        "Fl": HIGH, "Ob 1": THIRD, "Ob 2": REST, "Fg 1": BASS, "Fg 2": REST, "Cor in Eb 1": REST,
        "Cor in Eb 2": REST, "Vl I": TUNE, "Vl II": LOW, "Vla": HELD, "Vc": BASS, "Cb": DEEP,
    }  # fmt: skip
    t = table(lines)
    n = {line.name: line.index for line in t.lines}
    found = doubling.find_doublings(t, S) + parallel.find_parallels(t, S)
    found.append(role(t, n["Vl I"], "melody"))
    found += [role(t, n[name], "bass line") for name in ("Vc", "Cb", "Fg 1")]
    found += [role(t, n["Vla"], "held harmony"), key(t, "c major")]
    return t, found


def test_the_full_form_tells_what_a_tutor_would():
    t, found = orchestra()
    said = told(t, found)
    assert said[0] == "Movement 1, bars 1 to 4: C major, four-four."
    assert said[1] == "Playing: flute, oboe 1, bassoon 1, strings."
    assert said[2].startswith("Melody: violins 1, doubled an octave higher by flute, an octave")
    assert "an octave lower by violins 2" in said[2]
    assert "in thirds with oboe 1" in said[2]
    assert said[3] in (
        "Bass: bassoon 1, doubled in unison by cellos, an octave lower by double basses.",
        "Bass: cellos, doubled in unison by bassoon 1, an octave lower by double basses.",
    )
    assert said[4] == "Held harmony: violas."
    assert said[5] == "Silent: oboe 2, bassoon 2, horns."
    assert len(said) == 6


def test_the_neutral_form_has_no_relation_role_or_key():
    t, _ = orchestra()
    said = told(t)
    assert said == [
        "Movement 1, bars 1 to 4: four-four.",
        "Playing: flute, oboe 1, bassoon 1, strings.",
        "Silent: oboe 2, bassoon 2, horns.",
        "Staves on the page: 9.",
    ]


def test_the_neutral_form_is_the_same_whatever_the_findings_would_say():
    """It is made of the page alone: nothing hidden can be in it."""
    t, found = orchestra()
    full = " ".join(told(t, found))
    neutral = " ".join(told(t))
    for word in ("major", "Melody", "Bass", "octave", "unison", "thirds", "harmony"):
        assert word in full
        assert word not in neutral


def test_a_key_that_is_not_sure_is_said_to_be_so():
    t, _ = orchestra()
    low = [key(t, "c major", confidence=0.5)]
    assert "key not clear, C major or G major" in told(t, low)[0]
    assert "key not clear," in told(t, [])[0]
    two = [key(t, "c major", 0, 1), key(t, "eb major", 2, 3)]
    assert told(t, two)[0].endswith("C major, E flat major from bar 3, four-four.")


def test_a_melody_that_is_not_sure_is_probable_and_one_that_is_not_known_not_clear():
    t, _ = orchestra()
    n = {line.name: line.index for line in t.lines}
    assert "Melody: not clear." in told(t, [])
    probable = told(t, [role(t, n["Vl I"], "melody", confidence=0.6)])
    assert "Melody: probably violins 1." in probable
    unsaid = told(t, [role(t, n["Vl I"], "melody", confidence=0.4)])
    assert "Melody: not clear." in unsaid


def test_the_tutors_word_on_the_melody_wins():
    t, found = orchestra()
    n = {line.name: line.index for line in t.lines}
    said = told(t, [*found, role(t, n["Vla"], "melody", confidence=1.0)])
    assert any(s.startswith("Melody: violas") for s in said)


def test_a_melody_that_is_handed_over_is_told_by_bars():
    t = table({"Ob 1": "C5 q D5 E5 F5 | G5 F5 E5 D5 | r | r", "Ob 2": REST,
               "Cl": "r | r | C5 q D5 E5 F5 | G5 F5 E5 D5", "Vc": BASS})  # fmt: skip
    found = [role(t, 0, "melody", 0, 1), role(t, 2, "melody", 2, 3)]
    assert "Melody: in bars 1 to 2 oboe 1; in bars 3 to 4 clarinet." in told(t, found)


def test_who_plays_for_a_time_is_told_with_bars():
    t = table({"Fl": TUNE, "Cor in Eb 1": "r | r | r | C4 w", "Cor in Eb 2": "r | r | r | E4 w",
               "Vc": BASS})  # fmt: skip
    assert "Playing: flute, cellos; for a time also two horns (bar 4)." in told(t)


@pytest.mark.parametrize(
    ("names", "wanted"),
    [
        ("Fl", "flute"),
        ("Ob 1,Ob 2", "two oboes"),
        ("Ob 2", "oboe 2"),
        ("Cor in Eb 1,Cor in Eb 2", "horns 1 and 2"),
        ("Vl I", "violins 1"),
        ("Vl I,Vl II", "violins"),
        ("Vl I,Vl II,Vla,Vc,Cb", "strings"),
        ("Vl I,Vl II,Vla,Vc", "strings without double basses"),
        ("Vla,Vc", "violas, cellos"),
        ("Fl,Ob 1,Ob 2,Vc", "woodwind, cellos"),
        ("Timp", "timpani"),
    ],
)
def test_names_of_groups(names, wanted):
    every = ("Fl", "Ob 1", "Ob 2", "Cor in Eb 1", "Cor in Eb 2", "Cor in Eb 3", "Cor in Eb 4",
             "Timp", "Vl I", "Vl II", "Vla", "Vc", "Cb")  # fmt: skip
    t = table({name: "C4 w" for name in every})
    lines = [line.index for line in t.lines if line.name in names.split(",")]
    assert ", ".join(who(t, 0).words(lines)) == wanted


def test_loudness_and_hairpins_of_the_page():
    t = table({"Fl": TUNE, "Vc": BASS})
    t.notes["dynamic"] = 3
    t.notes["dynamic"][t.notes["bar"] >= 2] = 6
    assert told(t)[0].endswith("four-four, piano, forte from bar 3.")
    wedges = tuple(
        Mark("wedge", part, 1, 1, t.bars[1].start, t.bars[1].end, "crescendo") for part in (0, 1)
    )
    object.__setattr__(t, "marks", wedges)
    assert "crescendo in bar 2" in told(t)[0]


def test_a_passage_is_told_in_eight_sentences_at_most():
    t, found = orchestra()
    n = {line.name: line.index for line in t.lines}
    jobs = ("countermelody", "answer", "moving harmony", "pulse", "figuration", "punctuation")
    found += [role(t, n["Ob 1"], word) for word in jobs]
    assert len(told(t, found)) <= 8


def test_the_table_of_parts_by_bars():
    t, found = orchestra()
    full, plain = grid(t, 0, 3, found), grid(t, 0, 3)
    assert full.bars == ("1", "2", "3", "4")
    cells = {row.label: [render(s) for _, s in row.cells] for row in full.rows}
    assert cells["Vl I"] == ["melody"] * 4
    assert cells["Fl"] == ["an octave above violins 1"] * 4
    assert cells["Vl II"] == ["an octave below violins 1"] * 4
    assert cells["Cb"][0] in ("an octave below cellos", "an octave below bassoon 1")
    bare = {render(s) for row in plain.rows for _, s in row.cells}
    assert bare == {"plays", "rests"}
    assert [[plays for plays, _ in row.cells] for row in plain.rows] == [
        [plays for plays, _ in row.cells] for row in full.rows
    ]


def test_bars_that_make_no_passage_get_a_sentence():
    t = table({"Fl": f"{TUNE} || {TUNE}"})
    with pytest.raises(EngineError, match="one movement"):
        describe(t, 2, 5)
    for first, last in ((-1, 2), (3, 2), (0, 99)):
        with pytest.raises(EngineError, match="not in the score"):
            describe(t, first, last)
    long = table({"Fl": " | ".join(["C5 w"] * (MOST_BARS + 1))})
    with pytest.raises(EngineError, match="choose fewer"):
        grid(long, 0, MOST_BARS)


def test_many_doublings_of_a_bar_or_two_are_told_in_one_breath():
    """Four players join for a bar each, at three distances: nobody would list the bars."""
    bars = TUNE.split(" | ")
    lines = {"Vl I": TUNE, "Vc": BASS}
    for n, name in enumerate(("Ob 1", "Ob 2", "Cl", "Tr")):
        lines[name] = " | ".join(bar if k == n else "r" for k, bar in enumerate(bars))
    t = table(lines)
    whole = {"kind": "doubling", "octaves": 0, "coverage": "full"}
    found = [role(t, 0, "melody")]
    found += [judged(t, whole, (line, 0), line - 2, line - 2) for line in range(2, 6)]
    said = next(s for s in told(t, found) if s.startswith("Melody"))
    assert said == "Melody: violins 1, doubled at times by woodwind, trumpet."
