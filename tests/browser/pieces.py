"""A little score of our own for browser stories: flute over violin, horn in E flat, bass."""

from __future__ import annotations

from pathlib import Path

_STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


def _note(pitch: str | None, duration: int, kind: str) -> str:
    if pitch is None:
        return f"<note><rest/><duration>{duration}</duration><type>{kind}</type></note>"
    alter = {"b": "<alter>-1</alter>", "#": "<alter>1</alter>"}.get(pitch[1:2], "")
    return (
        f"<note><pitch><step>{pitch[0]}</step>{alter}<octave>{pitch[-1]}</octave></pitch>"
        f"<duration>{duration}</duration><type>{kind}</type></note>"
    )


TUNE = ["E4 G4 B4 G4", "A4 C5 B4 A4", "G4 B4 A4 F4", "E4 F4 G4 E4"] * 2
OCTAVE_DOWN = (
    "<transpose><diatonic>0</diatonic><chromatic>0</chromatic>"
    "<octave-change>-1</octave-change></transpose>"
)
PARTS = {
    "P1": ("Flauto", "", "G2", [" ".join(f"{n[:-1]}{int(n[-1]) + 1}" for n in b.split())
                                for b in TUNE[:4]] + ["-"] * 4),
    "P2": ("Corno in Mi♭",
           "<transpose><diatonic>-5</diatonic><chromatic>-9</chromatic></transpose>", "G2",
           ["C5 - G4 -"] * 8),
    "P3": ("Violino I", "", "G2", TUNE),
    "P4": ("Violoncello", "", "F4", ["E3 B2 E3 B2"] * 8),
    "P5": ("Contrabbasso",
           OCTAVE_DOWN, "F4", ["E3 B2 E3 B2"] * 8),
}  # fmt: skip


def serenade() -> bytes:
    """Eight bars in 4/4; the flute doubles the violins an octave above in bars 1-4."""
    listed, bodies = "", ""
    for key, (name, transpose, clef, bars) in PARTS.items():
        listed += f'<score-part id="{key}"><part-name>{name}</part-name></score-part>'
        measures = ""
        for number, bar in enumerate(bars, 1):
            head = ""
            if number == 1:
                head = (
                    "<attributes><divisions>1</divisions><key><fifths>0</fifths></key>"
                    "<time><beats>4</beats><beat-type>4</beat-type></time>"
                    f"<clef><sign>{clef[0]}</sign><line>{clef[1]}</line></clef>{transpose}"
                    "</attributes>"
                )
            notes = (
                _note(None, 4, "whole")
                if bar == "-"
                else "".join(_note(None if n == "-" else n, 1, "quarter") for n in bar.split())
            )
            measures += f'<measure number="{number}">{head}{notes}</measure>'
        bodies += f'<part id="{key}">{measures}</part>'
    return (
        '<?xml version="1.0" encoding="UTF-8"?><score-partwise version="4.0">'
        "<movement-title>A little serenade</movement-title>"
        f"<part-list>{listed}</part-list>{bodies}</score-partwise>"
    ).encode()


def write(folder: Path) -> Path:
    path = folder / "little-serenade.musicxml"
    path.write_bytes(serenade())
    return path


#: Twenty parts with no doubt about any: no crooks, no shared staves.
ORCHESTRA = [
    ("Piccolo", "G2", "E6 G6"), ("Flute I", "G2", "E5 G5"), ("Flute II", "G2", "C5 E5"),
    ("Oboe I", "G2", "E5 G5"), ("Oboe II", "G2", "C5 E5"), ("Cor anglais", "G2", "G4 B4"),
    ("Bassoon I", "F4", "C3 E3"), ("Bassoon II", "F4", "C3 G2"), ("Contrabassoon", "F4", "C3 G2"),
    ("Trombone I", "F4", "G3 C4"), ("Trombone II", "F4", "E3 G3"), ("Bass trombone", "F4", "C3 E3"),
    ("Tuba", "F4", "C2 G2"), ("Timpani", "F4", "C3 G2"), ("Harp", "G2", "C5 G4"),
    ("Violin I", "G2", "E5 G5"), ("Violin II", "G2", "C5 E5"), ("Viola", "C3", "G4 E4"),
    ("Violoncello", "F4", "C3 E3"), ("Double bass", "F4", "C3 G2"),
]  # fmt: skip
_OCTAVES = {"Piccolo": 1, "Contrabassoon": -1, "Double bass": -1}


def orchestra(bars: int = 40) -> bytes:
    """Twenty parts, `bars` bars of 4/4; each part rests in a bar of its own every five."""
    listed, bodies = "", ""
    for index, (name, clef, pair) in enumerate(ORCHESTRA):
        key = f"P{index + 1}"
        listed += f'<score-part id="{key}"><part-name>{name}</part-name></score-part>'
        transpose = ""
        if name in _OCTAVES:
            transpose = OCTAVE_DOWN.replace(">-1<", f">{_OCTAVES[name]}<")
        elif name == "Cor anglais":
            transpose = "<transpose><diatonic>-4</diatonic><chromatic>-7</chromatic></transpose>"
        measures = ""
        for number in range(1, bars + 1):
            head = ""
            if number == 1:
                head = (
                    "<attributes><divisions>1</divisions><key><fifths>0</fifths></key>"
                    "<time><beats>4</beats><beat-type>4</beat-type></time>"
                    f"<clef><sign>{clef[0]}</sign><line>{clef[1]}</line></clef>{transpose}"
                    "</attributes>"
                )
            one, two = pair.split() if number % 2 else reversed(pair.split())
            notes = (
                _note(None, 4, "whole")
                if (number + index) % 5 == 0
                else _note(one, 1, "quarter") * 2 + _note(two, 2, "half")
            )
            measures += f'<measure number="{number}">{head}{notes}</measure>'
        bodies += f'<part id="{key}">{measures}</part>'
    return (
        '<?xml version="1.0" encoding="UTF-8"?><score-partwise version="4.0">'
        "<movement-title>Twenty desks</movement-title>"
        f"<part-list>{listed}</part-list>{bodies}</score-partwise>"
    ).encode()
