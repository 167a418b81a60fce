"""Attacks: held against repeated, rests, graces, ties, tremolo."""

from __future__ import annotations

from tests.engine.passages.writing import FL_VL, LONG, TUNE, Passage, flute, moved, says, violin
from tests.engine.written import Part

PASSAGES: tuple[Passage, ...] = (
    Passage(
        "tied over the bar",
        "ties make one note: both lines attack at the same moments",
        (
            violin("G4 h A4~ | A4 h B4~ | B4 q C5 D5 h"),
            flute("G5 h A5~ | A5~ q A5 B5~ h | B5 q C6 D6~ D6"),
        ),
        {FL_VL: "full 1 b. 1-3"},
    ),
    Passage(
        "struck again once where the violin ties",
        "the violin's 11 attacks all met, 11 of the flute's 12 (.92): full",
        (
            violin("G4 q A4 B4 C5~ | C5 q D5 C5 B4 | A4 q B4 G4 E4"),
            flute("G4 q A4 B4 C5 | C5 q D5 C5 B4 | A4 q B4 G4 E4"),
        ),
        {FL_VL: "full 0 b. 1-3"},
    ),
    Passage(
        "held against repeated notes",
        "one attack a bar against eight: a pedal or pulse, not a doubling (contract 3)",
        (
            Part("Corno in C", moved(LONG, 1), transpose=(-12, -7)),
            Part("Viola", " | ".join(f"{p}4 e " + f"{p}4 " * 7 for p in "CDEC"), clef="C3"),
        ),
        {("Corno in C", "Viola"): ""},
        ((says("Corno", "Viola", 0), "conflicts"),),
    ),
    Passage(
        "repeated notes of both",
        "the same attacks: a doubling",
        (
            Part("Fagotto", " | ".join(f"{p}3 e " + f"{p}3 " * 7 for p in "CDEC"), clef="F4"),
            Part("Viola", " | ".join(f"{p}4 e " + f"{p}4 " * 7 for p in "CDEC"), clef="C3"),
        ),
        {("Fagotto", "Viola"): "full -1 b. 1-4"},
    ),
    Passage(
        "tremolo against held notes",
        "one written attack each at the same moment on the same pitch",
        (
            Part(
                "Violino II",
                "C5% h D5% E5% | F5% h G5% E5%",
            ),
            flute("C5 h D5 E5 | F5 h G5 E5"),
        ),
        {("Flauto", "Violino II"): "full 0 b. 1-2"},
        time="6/4",
    ),
    Passage(
        "one rest inside",
        "15 of 16 met (.94), and all 15 of the flute's own: full",
        (violin(), flute(TUNE.replace("B4 A4 |", "r A4 |", 1))),
        {FL_VL: "full 0 b. 1-4"},
        ((says("Flauto", "Violino I", 0), "agrees"),),
    ),
    Passage(
        "grace notes in one line",
        "ornaments take no time and are no attacks of the line (trade facts 5.1)",
        (violin(TUNE.replace("B4 C5", "(C5) B4 (D5) C5").replace("E4", "(F#4) E4")), flute(TUNE)),
        {FL_VL: "full 0 b. 1-4"},
    ),
    Passage(
        "bars of rest between",
        "both rest for two bars: two doublings",
        (
            violin("G4 q A4 B4 C5 | r | r | D5 q C5 B4 A4"),
            flute("G4 q A4 B4 C5 | r | r | D5 q C5 B4 A4"),
        ),
        {FL_VL: "full 0 b. 1-1, full 0 b. 4-4"},
        ((says("Flauto", "Violino I", 0, "2 3"), "conflicts"),),
    ),
    Passage(
        "from the upbeat on",
        "the doubling begins in the pickup, printed 0",
        (violin("D4 e E4 | " + TUNE), flute("D5 e E5 | " + moved(TUNE, 1))),
        {FL_VL: "full 1 b. 0-4"},
        (
            (says("Flauto", "Violino I", 1, "1 4"), "agrees"),
            (says("Flauto", "Violino I", 1, "0 4"), "agrees"),
        ),
        pickup=1,
    ),
    Passage(
        "from the middle of a bar",
        "beat 3 of bar 1 to the end: the bar it begins in counts (contract 3)",
        (violin(), flute(TUNE.replace("G4 q A4", "E4 q C5", 1))),
        {FL_VL: "full 0 b. 1-4"},
        ((says("Flauto", "Violino I", 0, "1 4"), "agrees"),),
    ),
    Passage(
        "dotted against even",
        "of 8 attacks in each bar only the 4 on the beats meet: half of either line",
        (
            violin(
                "C5 e. D5 s E5 e. F5 s G5 e. F5 s E5 e. D5 s | "
                "C5 e. D5 s E5 e. F5 s G5 e. F5 s E5 e. D5 s"
            ),
            flute("C5 e D5 E5 F5 G5 F5 E5 D5 | C5 e D5 E5 F5 G5 F5 E5 D5"),
        ),
        {FL_VL: "partial 0 b. 1-2"},
        ((says("Flauto", "Violino I", 0, "1 2"), "partly in part"),),
    ),
    Passage(
        "the tune a bar later",
        "imitation: the same notes, but never at the same moment",
        (violin(TUNE + " | r"), flute("r | " + TUNE)),
        {FL_VL: ""},
    ),
    Passage(
        "cue notes",
        "printed for orientation and not played",
        (
            violin(),
            flute(
                " | ".join(
                    "c:" + " c:".join(b.split()).replace("c:q", "q") for b in TUNE.split(" | ")
                )
            ),
        ),
        {FL_VL: ""},
        ((says("Flauto", "Violino I", 0), "conflicts"),),
    ),
)
