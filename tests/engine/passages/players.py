"""Players and staves: a 2, divisi, chords, shared staves, several at once."""

from __future__ import annotations

from tests.engine.passages.writing import (
    LONG,
    QUAVERS,
    THIRD_BELOW,
    TUNE,
    Passage,
    flute,
    moved,
    says,
    violin,
)
from tests.engine.written import Part

PASSAGES: tuple[Passage, ...] = (
    Passage(
        "a 2 with the violins",
        "both oboes play the one printed line",
        (Part("2 Oboi", "'a 2' " + TUNE), violin()),
        {("Oboe 1", "Violino I"): "full 0 b. 1-4"},
        (
            (says("Oboi", "Violino I", 0), "agrees"),
            (says("Violino I", "Oboi", 0), "agrees"),
            ({**says("x", "Violino I", 0), "parts": [{"part": "Oboi", "player": 2}]}, "agrees"),
        ),
    ),
    Passage(
        "a 2 is no doubling by others",
        "two players of one staff in unison leave their line undoubled (contract 3)",
        (Part("2 Oboi", "'a 2' " + TUNE), Part("Viola", LONG, clef="C3")),
        {("Oboe 1", "Viola"): ""},
        ((says("Oboi", "", None, coverage="none"), "agrees two players"),),
    ),
    Passage(
        "only the first oboe",
        "'1.' rests the second player",
        (Part("2 Oboi", "'1.' " + TUNE), violin()),
        {("Oboe 1", "Violino I"): "full 0 b. 1-4", ("Oboe 2", "Violino I"): ""},
        (
            ({**says("x", "Violino I", 0), "parts": [{"part": "Oboi", "player": 1}]}, "agrees"),
            # the contract's reading "player" would make it "partly": said in either way
            (
                {**says("x", "Violino I", 0), "parts": [{"part": "Oboi", "player": 2}]},
                "partly|conflicts",
            ),
        ),
    ),
    Passage(
        "two stems: the first with the tune, the second in thirds",
        "first player = upper stems; thirds are no doubling",
        (
            Part(
                "2 Oboi",
                " | ".join(
                    f"{a} / {b}"
                    for a, b in zip(TUNE.split(" | "), THIRD_BELOW.split(" | "), strict=True)
                ),
            ),
            violin(),
        ),
        {
            ("Oboe 1", "Violino I"): "full 0 b. 1-4",
            ("Oboe 2", "Oboe 1"): "parallel third b. 1-4",
        },
        (
            (
                {**says("x", "Violino I", 0), "parts": [{"part": "Oboi", "player": 2}]},
                "partly|conflicts",
            ),
            (says("Violino I", "Oboi", 0), "agrees"),
        ),
    ),
    Passage(
        "chords on the oboes' staff",
        "upper notes are the first's, lower notes the second's: each goes with its violin",
        (
            Part("2 Oboi", "C5+E5 q D5+F5 E5+G5 F5+A5 | E5+G5 h D5+F5"),
            violin("E5 q F5 G5 A5 | G5 h F5"),
            Part("Violino II", "C5 q D5 E5 F5 | E5 h D5"),
        ),
        {
            ("Oboe 1", "Violino I"): "full 0 b. 1-2",
            ("Oboe 2", "Violino II"): "full 0 b. 1-2",
            ("Oboe 1", "Oboe 2"): "parallel third b. 1-2",
        },
    ),
    Passage(
        "double stops",
        "not divided: one line of chords, of which the best single line counts",
        (
            Part("Viola", "'non div.' E4+C5 q F4+A4 D4+B4 E4+C5 | F4+D5 h E4+C5", clef="C3"),
            Part("Oboe", "C5 q A4 B4 C5 | D5 h C5"),
        ),
        {("Oboe", "Viola"): "full 0 b. 1-2"},
        ((says("Oboe", "Viola", 0, "1 2"), "agrees"),),
    ),
    Passage(
        "violins divided in octaves",
        "the flute has the upper half; the lower half is an octave below it",
        (
            Part(
                "Violino I",
                " | ".join(
                    ("'div.' " if i == 0 else "") + f"{a} / {b}"
                    for i, (a, b) in enumerate(
                        zip(moved(TUNE, 1).split(" | "), TUNE.split(" | "), strict=True)
                    )
                ),
            ),
            flute(moved(TUNE, 1)),
        ),
        {("Flauto", "Violino I"): "full 0 b. 1-4"},
        (
            (says("Flauto", "Violino I", 0), "agrees"),
            (says("Flauto", "Violino I", 1), "agrees"),  # `with` is the union of its lines
            (says("Flauto", "Violino I", 2), "partly"),
        ),
    ),
    Passage(
        "divided, then together",
        "'unis.' brings the second half back: from there one line",
        (
            Part(
                "Viole", "'div.' C5 q A4 B4 C5 / E4 q F4 G4 A4 | 'unis.' D5 q C5 B4 A4", clef="C3"
            ),
            Part("Oboe", "C5 q A4 B4 C5 | D5 q C5 B4 A4"),
        ),
        {("Oboe", "Viole"): "full 0 b. 1-2"},
    ),
    Passage(
        "cello and bass on one staff",
        "one printed line, two sounding ones an octave apart (trade facts 7.2)",
        (Part("Violoncello e Contrabbasso", QUAVERS, clef="F4"), violin("G4 w | G4")),
        {("Double bass", "Cello"): "full -1 b. 1-2"},
        ((says("basses", "cellos", -1, "1 2"), "agrees"),),
    ),
    Passage(
        "the cellos alone in the second bar",
        "'Vc.' rests the basses",
        (
            Part("Violoncello e Contrabbasso", QUAVERS.replace(" | ", " | 'Vc.' "), clef="F4"),
            violin("G4 w | G4"),
        ),
        {("Double bass", "Cello"): "full -1 b. 1-1"},
        ((says("basses", "cellos", -1, "2 2"), "partly bar-offset"),),
    ),
    Passage(
        "left hand crosses to the upper staff",
        "staves are paper: the cello's line is in the chords of the keyboard throughout",
        (
            Part(
                "Pianoforte",
                "G5 w / staff:2 C3 q E3 G3 C4 | G5 w / staff:2 E3 q G3 staff:1 C4 E4",
                staves=2,
            ),
            Part("Violoncello", "C3 q E3 G3 C4 | E3 q G3 C4 E4", clef="F4"),
        ),
        {("Violoncello", "Pianoforte"): "full 0 b. 1-2"},
        ((says("Violoncello", "Pianoforte", 0, "1 2"), "agrees"),),
    ),
    Passage(
        "mutes and plucking",
        "marks change the colour, not the notes",
        (
            Part("Viola", "'con sord.' " + moved(TUNE, -1), clef="C3"),
            Part("Violoncello", "'pizz.' " + moved(TUNE, -2), clef="F4"),
        ),
        {("Violoncello", "Viola"): "full -1 b. 1-4"},
    ),
    Passage(
        "three octave levels",
        "one line over two octaves from end to end: three levels (contract, octave words)",
        (flute(moved(TUNE, 1)), violin(), Part("Viola", moved(TUNE, -1), clef="C3")),
        {},
        (
            (
                {
                    "kind": "doubling",
                    "parts": ["Flauto", "Violino I", "Viola"],
                    "levels": 3,
                    "bars": ["1", "4"],
                },
                "agrees",
            ),
            (
                {
                    "kind": "doubling",
                    "parts": ["Flauto", "Violino I", "Viola"],
                    "levels": 2,
                    "bars": ["1", "4"],
                },
                "partly",
            ),
            (says("Flauto", "Viola", 2), "agrees"),
        ),
    ),
    Passage(
        "nobody with the violas",
        "the others have the tune; the violas' line is their own",
        (flute(moved(TUNE, 1)), violin(), Part("Viola", LONG, clef="C3")),
        {("Viola", "Violino I"): "", ("Viola", "Flauto"): ""},
        (
            (says("Viola", "", None, coverage="none"), "agrees"),
            (says("Violino I", "", None, coverage="none"), "conflicts"),
            (says("Viola", "Violino I", None, negated=True), "agrees"),
        ),
    ),
)
