"""How far apart: in sounding pitch, with octave flips, in thirds, sixths and tenths."""

from __future__ import annotations

from tests.engine.passages.writing import (
    FL_VL,
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
        "unison",
        "same pitches at the same moments: no octave between",
        (violin(), Part("Violino II", TUNE)),
        {("Violino II", "Violino I"): "full 0 b. 1-4"},
        (
            (says("Violino II", "Violino I", 0), "agrees"),
            (
                says("Violino II", "Violino I", -1),
                "partly octave-count",
            ),  # right pair, other octave count
            (says("Violino I", "", None, coverage="none"), "conflicts"),
        ),
    ),
    Passage(
        "octave",
        "every note twelve semitones below",
        (violin(), Part("Violino II", moved(TUNE, -1))),
        {("Violino II", "Violino I"): "full -1 b. 1-4"},
        (
            (says("Violino II", "Violino I", -1), "agrees"),
            (says("Violino I", "Violino II", -1), "partly"),  # the other way up
            (says("Violino II", "Violino I", 1, direction=False), "agrees"),
            (says("Violino II", "Violino I", 0), "partly"),
        ),
    ),
    Passage(
        "cello and bass written alike",
        "the double bass sounds an octave below what is written (trade facts 12.15)",
        (
            Part("Violoncello", QUAVERS, clef="F4"),
            Part("Contrabbasso", QUAVERS, clef="F4", transpose=(-12, -7)),
        ),
        {("Contrabbasso", "Violoncello"): "full -1 b. 1-2"},
        (
            (says("Contrabbasso", "Violoncello", -1, "1 2"), "agrees"),
            (says("Contrabbasso", "Violoncello", 0, "1 2"), "partly bass-written"),
        ),
    ),
    Passage(
        "violin over the bass, written two octaves",
        "two written octaves and the bass's own make three (trade facts 12.14)",
        (violin(), Part("Contrabbasso", moved(TUNE, -2), clef="F4", transpose=(-12, -7))),
        {("Contrabbasso", "Violino I"): "full -3 b. 1-4"},
        ((says("Contrabbasso", "Violino I", -2), "partly bass-written"),),
    ),
    Passage(
        "clarinet in B flat a tone above the oboe on paper",
        "written D5 sounds C5 (trade facts 12.17)",
        (
            Part("Oboe", "C5 q D5 E5 F5 | G5 h E5"),
            Part("Clarinetto in B", "D5 q E5 F#5 G5 | A5 h F#5", transpose=(-2, -1), key=2),
        ),
        {("Clarinetto in B", "Oboe"): "full 0 b. 1-2"},
        ((says("Clarinetto in B", "Oboe", 0, "1 2"), "agrees"),),
    ),
    Passage(
        "clarinet in B flat written as the oboe",
        "on paper a unison, in sound parallel seconds (trade facts 12.18)",
        (
            Part("Oboe", "C5 q D5 E5 F5 | G5 h E5"),
            Part("Clarinetto in B", "C5 q D5 E5 F5 | G5 h E5", transpose=(-2, -1)),
        ),
        {("Clarinetto in B", "Oboe"): ""},
        ((says("Clarinetto in B", "Oboe", 0, "1 2"), "conflicts untransposed"),),
    ),
    Passage(
        "horn in E flat with the violin",
        "written C5 sounds E flat 4 (trade facts 12.1)",
        (
            violin("Eb4 q F4 G4 Bb4 | Eb5 h Bb4"),
            Part("Corno in Es", "C5 q D5 E5 G5 | C6 h G5", transpose=(-9, -5)),
        ),
        {("Corno in Es", "Violino I"): "full 0 b. 1-2"},
        ((says("Corno in Es", "Violino I", 0, "1 2"), "agrees"),),
    ),
    Passage(
        "horn in low C an octave above the viola on paper",
        "it sounds an octave lower than written (trade facts 12.19)",
        (
            Part("Corno in C basso", "C5 q E5 G5 E5 | C5 w", transpose=(-12, -7)),
            Part("Viola", "C4 q E4 G4 E4 | C4 w", clef="C3"),
        ),
        {("Corno in C basso", "Viola"): "full 0 b. 1-2"},
        ((says("Corno in C basso", "Viola", 0, "1 2"), "agrees"),),
    ),
    Passage(
        "trumpet in F and horn in F written alike",
        "the trumpet sounds a fourth higher, the horn a fifth lower: an octave (trade facts 2.3)",
        (
            Part("Corno in F", "C5 q E5 G5 E5 | C5 h G4", transpose=(-7, -4)),
            Part("Tromba in F", "C5 q E5 G5 E5 | C5 h G4", transpose=(5, 3)),
        ),
        {("Tromba in F", "Corno in F"): "full 1 b. 1-2"},
        ((says("Tromba in F", "Corno in F", 0, "1 2"), "partly octave-count"),),
    ),
    Passage(
        "piccolo written as the flute",
        "the piccolo sounds an octave above its notes (trade facts 12.10)",
        (Part("Flauto piccolo", TUNE, transpose=(12, 7)), flute(TUNE)),
        {("Flauto piccolo", "Flauto"): "full 1 b. 1-4"},
    ),
    Passage(
        "glockenspiel two octaves over",
        "it sounds two octaves above its notes (trade facts 12.12)",
        (flute(TUNE), Part("Glockenspiel", TUNE, transpose=(24, 14))),
        {("Glockenspiel", "Flauto"): "full 2 b. 1-4"},
    ),
    Passage(
        "contrabassoon under the bassoon",
        "written alike, an octave apart (trade facts 12.11)",
        (
            Part("Fagotto", QUAVERS, clef="F4"),
            Part("Contrafagotto", QUAVERS, clef="F4", transpose=(-12, -7)),
        ),
        {("Contrafagotto", "Fagotto"): "full -1 b. 1-2"},
    ),
    Passage(
        "bassoon in the tenor clef, cello in the bass clef",
        "clefs change the look, not the pitch (trade facts 7.3)",
        (
            Part("Fagotto", "E4 q F4 G4 E4 | C4 h D4", clef="C4"),
            Part("Violoncello", "E4 q F4 G4 E4 | C4 h D4", clef="F4"),
        ),
        {("Fagotto", "Violoncello"): "full 0 b. 1-2"},
    ),
    Passage(
        "tenor under an octave clef",
        "the file's pitch is what sounds; the octave clef is on paper only (MusicXML)",
        (Part("Tenore", moved(TUNE, -1), clef="G28vb"), violin()),
        {("Tenore", "Violino I"): "full -1 b. 1-4"},
    ),
    Passage(
        "spelled otherwise",
        "G sharp and A flat are one key of the piano: compared by sound (contract 1)",
        (violin("G#4 q A4 G#4 C#5 | D#5 h G#4"), flute("Ab4 q A4 Ab4 Db5 | Eb5 h Ab4")),
        {FL_VL: "full 0 b. 1-2"},
    ),
    Passage(
        "clarinet changes from B flat to A",
        "each written note moved by what is in force: a unison through the change",
        (
            Part(
                "Clarinetto in B",
                "D5 q E5 F#5 D5 | G5 w | 'in A' transpose:-3/-2 Eb5 q F5 G5 Eb5 | Ab5 w",
                transpose=(-2, -1),
            ),
            Part("Oboe", "C5 q D5 E5 C5 | F5 w | C5 q D5 E5 C5 | F5 w"),
        ),
        {("Clarinetto in B", "Oboe"): "full 0 b. 1-4"},
    ),
    Passage(
        "an octave higher from bar 3",
        "two distances, two doublings; as a pitch class one (octaves null)",
        (
            violin(),
            flute(TUNE[: TUNE.index("G4 q F#4")] + moved(TUNE[TUNE.index("G4 q F#4") :], 1)),
        ),
        {FL_VL: "full 0 b. 1-2, full 1 b. 3-4"},
        (
            (says("Flauto", "Violino I", None), "agrees distance changes"),
            (says("Flauto", "Violino I", 0), "partly"),  # half of the bars
            (says("Flauto", "Violino I", 1, "3 4"), "agrees"),
        ),
    ),
    Passage(
        "an octave lower for one bar",
        "where the tune leaves the flute's compass; the distance is not one, the tune is",
        (violin(), flute("G5 q A5 B5 C6 | D5 q C5 B4 A4 | G5 q F#5 E5 D5 | G5 q B5 A5 G5")),
        {},
        ((says("Flauto", "Violino I", None), "agrees distance changes"),),
    ),
    Passage(
        "thirds",
        "major and minor as the scale gives them: one generic distance, no doubling",
        (violin(), Part("Violino II", THIRD_BELOW)),
        {("Violino II", "Violino I"): "parallel third b. 1-4"},
        ((says("Violino II", "Violino I", None), "conflicts third-as-octave"),),
    ),
    Passage(
        "sixths",
        "a third above, put an octave lower",
        (violin(moved(THIRD_BELOW, 1)), Part("Violino II", TUNE)),
        {("Violino II", "Violino I"): "parallel sixth b. 1-4"},
        ((says("Violino II", "Violino I", -1), "conflicts sixth-as-octave"),),
    ),
    Passage(
        "tenths between violin and cello",
        "a third and an octave",
        (violin(), Part("Violoncello", moved(THIRD_BELOW, -1), clef="F4")),
        {("Violoncello", "Violino I"): "parallel tenth b. 1-4"},
        ((says("Violoncello", "Violino I", -1), "conflicts"),),
    ),
    Passage(
        "fifths",
        "parallel fifths are neither a doubling nor one of the three parallels",
        (
            violin("G4 q A4 B4 C5 | D5 q C5 B4 A4"),
            Part("Violino II", "C4 q D4 E4 F4 | G4 q F4 E4 D4"),
        ),
        {("Violino II", "Violino I"): ""},
    ),
)
