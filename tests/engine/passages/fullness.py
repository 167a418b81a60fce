"""How fully: full, simplified, partial, contact."""

from __future__ import annotations

from tests.engine.passages.writing import FL_VL, QUAVERS, TUNE, Passage, flute, says, violin
from tests.engine.written import Part

PASSAGES: tuple[Passage, ...] = (
    Passage(
        ".95",
        "19 of 20 attacks of either line: full",
        (violin(TUNE + " | D5 q C5 B4 G4"), flute(TUNE.replace("F#4", "A4") + " | D5 q C5 B4 G4")),
        {FL_VL: "full 0 b. 1-5"},
    ),
    Passage(
        ".85",
        "17 of 20, the misses apart: full, told with a note",
        (
            violin(TUNE + " | D5 q C5 B4 G4"),
            flute("G4 q A4 E5 C5 | D5 q C5 B4 A4 | G4 q A4 E4 D4 | G4 q B4 A4 E4 | D5 q C5 B4 G4"),
        ),
        {FL_VL: "full 0 b. 1-5"},
        ((says("Flauto", "Violino I", 0, "1 5"), "agrees 17 of 20"),),
    ),
    Passage(
        ".6",
        "12 of 20, spread over all bars: partial",
        (
            violin(TUNE + " | D5 q C5 B4 G4"),
            flute("G4 q A4 E5 C6 | D5 q C5 D5 F5 | G4 q A4 E4 B4 | G4 q B4 C5 E4 | D5 q E5 B4 G4"),
        ),
        {FL_VL: "partial 0 b. 1-5"},
        (
            (says("Flauto", "Violino I", 0, "1 5"), "partly"),
            (says("Flauto", "Violino I", 0, "1 5", coverage="partial"), "agrees"),
        ),
    ),
    Passage(
        "simplified",
        "the basses play the cellos' strong notes in longer values: 8 of 8, and 8 of 16",
        (
            Part("Violoncello", QUAVERS, clef="F4"),
            Part("Contrabbasso", "C3 q D3 E3 F3 | C3 q D3 C3 C3", clef="F4", transpose=(-12, -7)),
        ),
        {("Contrabbasso", "Violoncello"): "simplified -1 b. 1-2"},
        (
            (says("Contrabbasso", "Violoncello", -1, "1 2", coverage="simplified"), "agrees"),
            (says("Contrabbasso", "Violoncello", -1, "1 2"), "partly"),  # near to full
        ),
    ),
    Passage(
        "heterophonic",
        "plain in the clarinet, decorated by neighbours in the violin, agreeing on every beat",
        (
            violin("C5 e D5 E5 D5 F5 E5 G5 F5 | E5 e F5 D5 E5 C5 D5 C5 D5"),
            Part("Clarinetto in C", "C5 q E5 F5 G5 | E5 q D5 C5 C5"),
        ),
        {("Clarinetto in C", "Violino I"): "heterophonic 0 b. 1-2"},
        ((says("Clarinetto", "Violino I", 0, "1 2", coverage="heterophonic"), "agrees"),),
    ),
    Passage(
        "only the first note of each bar",
        "4 of 28 attacks: a reinforcement (job 6, example 5)",
        (
            violin(" | ".join(f"{p}5 e C5 D5 E5 F5 E5 D5 r" for p in "CGAE")),
            Part("Oboe", "C5 q r h. | G5 q r h. | A5 q r h. | E5 q r h."),
        ),
        {("Oboe", "Violino I"): "reinforcement 0 b. 1-4"},
        ((says("Oboe", "Violino I", 0), "conflicts"),),
    ),
    Passage(
        "drums under the bass",
        "the drums strike four of the bass's sixteen notes: its tonics and dominants",
        (
            Part("Timpani in C-G", "C3 q r h. | G2 q r h. | C3 q r h. | G2 q r h.", clef="F4"),
            Part(
                "Violoncello",
                "C3 q D3 E3 F3 | G2 q A2 B2 D3 | C3 q E3 F3 A3 | G2 q F2 E2 D2",
                clef="F4",
            ),
        ),
        {("Timpani in C-G", "Violoncello"): "reinforcement 0 b. 1-4"},
    ),
    Passage(
        "they only meet",
        "two notes in common in four bars: contact, not a doubling",
        (
            violin(TUNE),
            Part(
                "Viola", "B3 q C4 B4 E4 | F4 q G4 B4 F4 | E4 q C4 G4 B3 | C4 q D4 F4 B3", clef="C3"
            ),
        ),
        {("Viola", "Violino I"): ""},
        ((says("Viola", "Violino I", 0), "conflicts contact"),),
    ),
    Passage(
        "three notes within a bar",
        "three quavers met, and each goes its way before and after: less than a bar",
        (
            violin("D5 e G5 A5 B5 C6 D6 E6 F6 | E6 w"),
            flute("C5 e G5 A5 B5 G5 A5 B5 A5 | G5 w"),
        ),
        {FL_VL: ""},
        ((says("Flauto", "Violino I", 0, "1 1"), "conflicts"),),
    ),
)
