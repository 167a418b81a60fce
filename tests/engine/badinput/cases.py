"""Scores nobody would hand in on purpose, as files: each goes through gate and reader.

The kinds are those of the engine's purpose ("bad input"); what is in each is ours.
"""

from __future__ import annotations

from tests.engine.written import Part, score

TUNE = "C5 q D5 E5 F5 | G5 q F5 E5 D5 | C5 q E5 G5 E5 | C5 w"
_INSTRUMENTS = ("Flauto", "Oboe", "Clarinetto in B", "Fagotto", "Corno in Es", "Tromba in D",
                "Timpani in C-G", "Violino I", "Viola", "Violoncello", "Contrabbasso",
                "Soprano")  # fmt: skip


def _bars(text: str, bars: int) -> str:
    return " | ".join([text] * bars)


def _sixty() -> bytes:
    parts = []
    for k in range(60):
        name = f"{_INSTRUMENTS[k % len(_INSTRUMENTS)]} {k // len(_INSTRUMENTS) + 1}"
        octave = 3 + k % 3
        parts.append(Part(name, TUNE.replace("5", str(octave))))
    return score(*parts)


def _repeats() -> bytes:
    """Repeats within repeats, endings without repeats, and one that is never closed."""
    nested = (
        "repeat:forward C5 w | repeat:forward D5 w | E5 w repeat:backward | F5 w repeat:backward | "
        "ending:1 G5 w repeat:backward | ending:2 A5 w | repeat:backward B5 w | repeat:forward C6 w"
    )
    return score(Part("Flauto", nested), Part("Fagotto", _bars("C3 w", 8), clef="F4"))


CASES: dict[str, bytes] = {
    "empty bars": score(Part("Flauto", "r | r | r"), Part("Viola", "r | r | r")),
    "one empty bar": score(Part("Flauto", "r")),
    "a bar without anything in it": score(Part("Flauto", "'dolce' | 'arco'")),
    "one note": score(Part("Flauto", "C5 w")),
    "one note of no length to speak of": score(Part("Flauto", "C5 0.0625")),
    "grace notes alone": score(Part("Flauto", "(C5) (D5) | (E5) r w")),
    "cue notes alone": score(Part("Flauto", "c:C5 q c:D5 c:E5 c:F5")),
    "percussion alone": score(
        Part("Tamburo", _bars("x q x x x", 4), clef="percussion"),
        Part("Gran Cassa", _bars("x h r", 4), clef="percussion"),
    ),
    "drums and a triangle": score(
        Part("Timpani in C-G", "C3 q G2 C3 G2 | C3 w", clef="F4"),
        Part("Triangolo", "x q x x x | x w", clef="percussion"),
    ),
    "one part": score(Part("Violino I", TUNE)),
    "a part without a name": score(Part("", TUNE), Part("?", TUNE)),
    "sixty parts": _sixty(),
    "no bar numbers": score(Part("Flauto", TUNE), Part("Oboe", TUNE), numbers=False),
    "everything changes in mid-bar": score(
        Part(
            "Clarinetto in B",
            "C5 q clef:F4 transpose:-3/-2 key:5 C4 q time:3/8 D4 clef:G2 E5 | "
            "time:7/16 C5 s D5 e key:-7 E5 transpose:-14/-8 F5 | time:4/4 C5 w | C5 w",
            transpose=(-2, -1),
        ),
        Part("Violino I", TUNE),
    ),
    "bars without a metre": score(
        Part("Flauto", "C5 q D5 E5 F5 G5 A5 B5 | C6 e B5 A5 | C5 w C5 C5"),
        Part("Viola", "C4 7 | C4 1.5 | C4 12"),
        time="senza",
    ),
    "a metre of one beat of a 64th, and one of 99": score(
        Part("Flauto", "time:1/64 C5 0.0625 | time:99/4 C5 w D5 w E5 w | time:4/4 C5 w")
    ),
    "quarter-tones": score(
        Part("Violino I", "C5^50 q D5^-50 E5^50 F5 | G5^25 q F5^-75 E5^50 D5^150 | C5^50 w"),
        Part("Viola", "C4^50 q D4^-50 E4^50 F4 | C4^50 h C4 | C4 w"),
    ),
    "repeats of repeats": _repeats(),
    "tempo of nothing and of a million": score(
        Part("Flauto", "tempo:0 C5 w | tempo:0.0001 D5 w | tempo:1000000 E5 w | tempo:-5 F5 w"),
        Part("Violino I", TUNE),
    ),
    "bars too short and too long": score(
        Part("Flauto", "C5 q | C5 w D5 w | r | C5 h"), Part("Oboe", "C5 w | D5 q | E5 w | r")
    ),
    "chords of twenty notes": score(
        Part(
            "Pianoforte", _bars("+".join(f"{n}{o}" for o in range(1, 5) for n in "CDEFG") + " w", 4)
        )
    ),
    "as high and as low as can be": score(
        Part("Flauto", "C9 q G9 C9 G9 | B9 w"),
        Part("Contrabbasso", "C1 q C0 C1 C0 | C0 w", clef="F4", transpose=(-12, -7)),
    ),
    "accidentals without end": score(
        Part("Violino I", "Cbbb5 q D###5 E##5 Fbb5 | B##5 q Cbb5 B##4 Cbb4")
    ),
    "ties that lead nowhere": score(
        Part("Flauto", "C5~ h D5~ | E5~ w | r | C5~ w"),
        Part("Oboe", "C5~ w | C5~ w | C5~ w | C5~ w"),
    ),
    "three hundred voices' worth of one pitch": score(
        *(Part(f"Violino {n}", _bars("A4 e A4 A4 A4 A4 A4 A4 A4", 3)) for n in range(1, 13))
    ),
    "three hundred notes in a bar": score(
        Part("Violino I", "C5 0.02 " + "D5 E5 " * 150), Part("Violoncello", "C3 w", clef="F4")
    ),
    "a hundred graces before one note": score(Part("Flauto", "(D5) " * 100 + "C5 w | C5 w")),
    "another crook in every bar": score(
        Part(
            "Corno in Es",
            "C5 w | transpose:-10/-6 C5 w | transpose:-7/-4 C5 w | transpose:-14/-8 C5 w",
            transpose=(-9, -5),
        )
    ),
    "dynamics of nobody and of everybody": score(
        Part("Flauto", "dyn:ppp dyn:fff r | dyn:sfz C5 w dyn:p"), Part("Oboe", "dyn:ff r | r")
    ),
    "one part stops early": score(Part("Flauto", TUNE), Part("Oboe", "C5 w")),
    "a horn in a crook there is not": score(
        Part("Corno in Q", "C5 w | G4 w"), Part("Tromba in H", "C5 w | G4 w", transpose=(-1, -1))
    ),
    "words that contradict each other": score(
        Part(
            "2 Oboi",
            "'a 2' '1.' 'div.' 'solo' C5 q D5 / E5 q F5 | 'unis.' '2.' C5+E5 w | 'a 3' C5 w",
        ),
        Part("Viole", "'div. a 9' C4+E4+G4 w | 'non div.' 'div.' C4 w | 'senza' C4 w", clef="C3"),
    ),
}
