"""I. Marcia, E flat major."""

from __future__ import annotations

from tests.engine.written import Part
from tests.observations.pieces import BASS, CLARINET, HORN, TRUMPET, Excerpt, excerpt, then_rest


@excerpt
def opening() -> Excerpt:
    """1-4: all twelve staves, chords of E flat and B flat; 5-8: strings alone.

    Horns and trumpets (written C and G) and drums have E flat and B flat and nothing else.
    """
    return Excerpt((
        Part("Flauto", then_rest("Eb6 q Eb6 D6 Eb6 | F6 h D6 | Eb6 q G6 F6 Eb6 | D6 h D6", 4),
             key=-3),
        Part("Oboi", then_rest("G5+Bb5 h G5+Bb5 | F5+Bb5 w | G5+Bb5 h G5+Bb5 | F5+Bb5 w", 4),
             key=-3),
        Part("Clarinetti in B", then_rest("A4+F5 h A4+F5 | G4+E5 w | A4+F5 h A4+F5 | G4+E5 w", 4),
             transpose=CLARINET, key=-1),
        Part("Fagotti", then_rest("'a 2' Eb3 h Eb3 | Bb2 w | Eb3 h Eb3 | Bb2 w", 4), clef="F4",
             key=-3),
        Part("Corni in Es", then_rest("G4+C5 h G4+C5 | 'a 2' G4 w | G4+C5 h G4+C5 | 'a 2' G4 w", 4),
             transpose=HORN),
        Part("Trombe in Es", then_rest("'a 2' C5 h C5 | G4 w | C5 h C5 | G4 w", 4),
             transpose=TRUMPET),
        Part("Timpani in Es-B", then_rest("Eb3 h Eb3 | Bb2 w | Eb3 h Eb3 | Bb2 w", 4), clef="F4"),
        Part("Violino I", "Eb5 q Eb5 D5 Eb5 | F5 h D5 | Eb5 q G5 F5 Eb5 | D5 h D5 | "
             "Bb4 q C5 D5 Eb5 | F5 h Bb4 | Eb5 q D5 C5 Bb4 | Bb4 w", key=-3),
        Part("Violino II", "G4 e Bb4 G4 Bb4 G4 Bb4 G4 Bb4 | F4 Bb4 F4 Bb4 F4 Bb4 F4 Bb4 | "
             "G4 Bb4 G4 Bb4 G4 Bb4 G4 Bb4 | F4 Bb4 F4 Bb4 F4 Bb4 F4 Bb4 | "
             "G4 h G4 | F4 w | G4 h Eb4 | D4 w", key=-3),
        Part("Viola", "Eb4 h Eb4 | D4 w | Eb4 h Eb4 | D4 w | Eb4 h Eb4 | D4 w | Bb3 h C4 | F3 w",
             clef="C3", key=-3),
        Part("Violoncello", "Eb3 h Eb3 | Bb2 w | Eb3 h Eb3 | Bb2 w | Eb3 h C3 | Bb2 w | Eb3 h F3 | "
             "Bb2 w", clef="F4", key=-3),
        Part("Contrabbasso", "Eb3 h Eb3 | Bb2 w | Eb3 h Eb3 | Bb2 w | r | r | r | r", clef="F4",
             transpose=BASS, key=-3),
    ))  # fmt: skip


@excerpt
def downward() -> Excerpt:
    """1-3: violins II and violas have one bar three times, each a step lower; 4 breaks it.

    Violins I have the same bar three times, at the same height.
    """
    same = "Bb5 h G5 q Ab5"
    return Excerpt((
        Part("Violino I", f"{same} | {same} | {same} | G5 h F5 | Eb5 w", key=-3),
        Part("Violino II", "Eb5 e D5 C5 D5 Eb5 q Bb4 | D5 e C5 Bb4 C5 D5 q Ab4 | "
             "C5 e Bb4 Ab4 Bb4 C5 q G4 | Bb4 h D5 | Bb4 w", key=-3),
        Part("Viola", "G4 e F4 Eb4 F4 G4 q D4 | F4 e Eb4 D4 Eb4 F4 q C4 | "
             "Eb4 e D4 C4 D4 Eb4 q Bb3 | D4 h F4 | G4 w", clef="C3", key=-3),
        Part("Violoncello", "Eb3 w | Bb2 w | C3 w | Bb2 w | Eb3 w", clef="F4", key=-3),
    ))  # fmt: skip


@excerpt
def to_the_dominant() -> Excerpt:
    """1-4 E flat major with a cadence; 5-7 C minor's and F's chords, which both keys may have;
    B flat major by the cadence in 8 (F7 in 7), confirmed in 9-12."""
    return Excerpt((
        Part("Violino I", "Eb5 q F5 G5 Eb5 | C5 q Eb5 Ab5 h | G5 q F5 Eb5 D5 | Eb5 w | "
             "G5 q F5 Eb5 D5 | C5 q D5 Eb5 h | D5 q Eb5 C5 A4 | Bb4 w | "
             "D5 q F5 Bb5 F5 | G5 q F5 Eb5 C5 | D5 q Bb4 C5 A4 | Bb4 w", key=-3),
        Part("Violino II", "G4 h Bb4 | Ab4 h C5 | Bb4 h Ab4 | G4 w | Eb5 h Eb5 | G4 h G4 | "
             "F4 h F4 | F4 w | F4 h F4 | Bb4 h A4 | F4 h Eb4 | D4 w", key=-3),
        Part("Viola", "Bb3 h Eb4 | Eb4 h Eb4 | Eb4 h D4 | Bb3 w | G4 h Bb4 | Eb4 h C4 | "
             "Bb3 h Eb4 | D4 w | Bb3 h D4 | Eb4 h Eb4 | Bb3 h C4 | F3 w", clef="C3", key=-3),
        Part("Violoncello", "Eb3 h G3 | Ab3 h Ab2 | Bb2 h Bb2 | Eb3 w | Eb3 h G3 | C3 h Eb3 | "
             "F3 h F2 | Bb2 w | Bb2 h D3 | Eb3 h F3 | F2 h F2 | Bb2 w", clef="F4", key=-3),
    ))  # fmt: skip


#: chords of the build-up over B flat, from the bass up: triads on B flat, E flat, C, F
_OVER = ("Bb D F", "Bb Eb G", "Bb C Eb", "Bb D F", "Bb Eb G", "A C F", "Bb Eb G", "Ab D F")


def _tone(bar: int, at: int, octave: int) -> str:
    return f"{_OVER[bar].split()[at]}{octave}"


@excerpt
def rising() -> Excerpt:
    """1-2 three parts, p; 3-10 a build-up over B flat, a part or two more in each bar, louder, the
    top from B flat 4 to E flat 6; 11-12 the goal, all twelve, ff; 13-16 it thins out, p."""

    def line(enters: int, pitches: list[str], goal: str, tail: str = "r") -> str:
        bars = ["r", "r"] if enters > 0 else [f"dyn:p {pitches[0]} w", f"{pitches[0]} w"]
        for bar in range(8):
            said = {2: "dyn:mf ", 4: "dyn:f ", 6: "dyn:ff "}.get(bar, "")
            first = {0: "dyn:p ", 1: "dyn:p ", 2: "", 3: "dyn:mf ", 5: "dyn:f ", 7: "dyn:ff "}
            if bar < enters:
                bars.append("r")
                continue
            mark = said or (first.get(bar, "") if bar == enters else "")
            bars.append(f"{mark}{pitches[bar]} h {pitches[bar]} h")
        bars += [f"{goal} h {goal} h", f"{goal} w", *[tail] * 4]
        return " | ".join(bars)

    def up(start: int, at: int) -> list[str]:
        return [_tone(b, at, start + (b >= 4)) for b in range(8)]

    top = ["Bb4", "C5", "Eb5", "F5", "G5", "A5", "Bb5", "D6"]
    low = ["Bb2"] * 8
    return Excerpt((
        Part("Flauto", line(5, top, "Eb6"), key=-3),
        Part("Oboe", line(4, up(4, 2), "G5"), key=-3),
        Part("Clarinetto in B", line(3, ["C5", "F5", "D5", "C5", "F5", "D5", "F5", "E5"], "F5"),
             transpose=CLARINET, key=-1),
        Part("Fagotto", line(2, ["Bb2"] * 8, "Eb3"), clef="F4", key=-3),
        Part("Corno in Es", line(5, ["G4"] * 8, "C5"), transpose=HORN),
        Part("Tromba in Es", line(6, ["G4"] * 8, "C5"), transpose=TRUMPET),
        Part("Timpani in Es-B", line(6, low, "Eb3"), clef="F4"),
        Part("Violino I", line(0, top, "Eb6", "dyn:p Bb4 w"), key=-3),
        Part("Violino II", line(0, [_tone(b, 1, 4) for b in range(8)], "Bb4", "G4 w"), key=-3),
        Part("Viola", line(1, [_tone(b, 2, 4) for b in range(8)], "G4"), clef="C3", key=-3),
        Part("Violoncello", line(1, low, "Eb3"), clef="F4", key=-3),
        Part("Contrabbasso", line(0, low, "Eb3", "Eb3 w"), clef="F4", transpose=BASS, key=-3),
    ))  # fmt: skip
