"""Bars 75-100: the theme in the wood-wind, a canon, the line that goes down, the end."""

from __future__ import annotations

from ..notation import Score, octaves
from ..orchestra import ALL, HORNS, STRINGS, WOOD
from .figures import BASS, THEME, long, off


def theme_returns(s: Score) -> None:
    """75-82: the theme again, still piano."""
    s.write("Fl1 Ob1", "75", THEME)
    s.write("Cl1", "75", octaves(THEME, -1))
    s.write("Fl2", "75", long("d5", "e5", "d5") + " | c#5:4 r | d5:2 | d5 | d5:4( c#5) | d5 r")
    s.write("Ob2", "75", long("a4", "a4", "a4") + " | a4:4 r | a4:2 | d5 | a4:4( g4) | f#4 r")
    s.write("Cl2", "75", long("f#4", "e4", "f#4") + " | e4:4 r | f#4:2 | g4 | f#4:4( e4) | d4 r")
    s.write("Fg1", "75", long("a3", "a3", "a3") + " | a3:4 r | a3:2 | b3 | a3 | f#3:4 r")
    s.write("Fg2 Vc", "75", BASS)
    s.write("Cb", "75", octaves(BASS, -1))
    s.write("Co1", "75", long("f#4", "e4", "f#4") + " | e4:4 r | f#4:2 | d4 | f#4:4( e4) | d4 r")
    s.write("Co2", "75", "d4:2 | r | d4 | r | d4 | b3 | r | d4:4 r")
    s.write("V1", "75", off("a4", "a4", "a4") + " | a4:4 r")
    s.write("V1", "79", off("a4", "b4") + " | a4:4( g4) | f#4 r")
    s.write("V2", "75", off("f#4", "e4", "f#4") + " | e4:4 r")
    s.write("V2", "79", off("f#4", "g4") + " | f#4:4( e4) | d4 r")
    s.write("Va", "75", off("d4", "c#4", "d4") + " | c#4:4 r")
    s.write("Va", "79", off("d4", "d4") + " | d4:4( c#4) | d4 r")
    s.dyn("p", "75:1", f"{WOOD} {HORNS} {STRINGS}")


def canon(s: Score) -> None:
    """83-88: violins II follow a bar later, a fourth lower; oboe 1 holds A."""
    s.write(
        "V1",
        "83",
        """d5:4 f#5:8( e5) | d5:8( c#5) e5:4 | c#5:8( d5) e5( f#5) | e5:4 d5:8( c#5)
        | d5:8( e5) d5( b4) | c#5:4 r""",
    )
    s.write(
        "V2",
        "84",
        """a4:4 c#5:8( b4) | a4:8( g#4) b4:4 | g#4:8( a4) b4( c#5) | b4:4( g4) | e4 r""",
    )
    s.write("Va", "83", "f#4:2 | a4:4( e4) | e4:2 | e4:4( c#4) | d4( g4) | c#4 r")
    bass = "d3:2 | f#3:4 a2 | a2 e3 | a2:2 | g2 | a2:4 r"
    s.write("Vc", "83", bass)
    s.write("Cb", "83", octaves(bass, -1))
    s.write("Ob1", "83", "a5:2~ | a5~ | a5~ | a5~ | a5~ | a5:4 r")
    s.write("Co1", "83", "d4:2 | d4:4( e4) | e4:2 | e4:4 r | d4 r | e4 r")
    s.write("Co2", "83", "d4:2 | d4:4 a4 | a4:2")
    s.write("Fl2", "84", "d5:2 | e5~ | e5 | b4 | c#5:4 r")
    s.dyn("p", "83:1", f"Ob1 Co1 {STRINGS}")
    s.dyn("p", "83:1", "Co2")
    s.dyn("p", "84:1", "V2")
    s.dyn("p", "84:1", "Fl2")


def thinning(s: Score) -> None:
    """89-96: D in the bass; flute 1, oboe 1, clarinet 1: one line, fewer and fewer beneath."""
    s.write("Fl1", "89", "f#6:8.( e6:16 d6:8 f#6) | g6:8( f#6) d6:4")
    s.write("Ob1", "91", "b5:8( c#6) d6( c#6) | a5:4( f#5)")
    s.write("Cl1", "93", "g5:8.( f#5:16 e5:8 d5) | c#5:8( b4 a4 g4) | f#4:4( e4) | d4:2")
    bass = "d3:2~ | d3 | d3~ | d3 | d3~ | d3 | d3 | d3:4 a2"
    s.write("Vc", "89", bass)
    s.write("Cb", "89", octaves(bass, -1))
    s.write("Fl2", "89", "a5:2( | b5) | e5( | d5)")
    s.write("V1", "89", off("a4", "b4", "g4", "a4"))
    s.write("V2", "89", off("f#4", "g4", "e4", "f#4", "g4"))
    s.write("Va", "89", off("d4", "d4", "c#4", "d4", "d4", "e4 c#4"))
    s.write("Co1", "89", "f#4:2 | d4 | e4 | d4:4 r")
    s.write("Co2", "89", "d4:2 | b3 | r | d4:4 r")
    s.write("Cl2", "89", "f#4:2( | g4) | g4( | f#4)")
    s.write("Fg1", "89", "a3:2( | b3) | a3 | a3 | b3")
    s.write("Fg2", "89", "d3:2~ | d3 | d3~ | d3 | d3~ | d3")
    s.dyn("p", "89:1", f"Fl1 Fl2 Cl2 Fg1 Fg2 {HORNS} {STRINGS}")
    s.dyn("p", "91:1", "Ob1")
    s.dyn("p", "93:1", "Cl1")
    s.hair("<", "93:1", "95:2.5", "Cl1 Vc Cb")
    s.dyn("p", "96:1", "Cl1 Vc Cb")


def close(s: Score) -> None:
    """97-100: D major, all together."""
    s.write("V1", "97", "d5:8' f#5' a5' d6' | f#6:8. d6:16 a5:4 | f#6:8. d6:16 a5:4 | [d4,a4,d5]:2")
    s.write("V2", "97", "d4:8' f#4' a4' d5' | a5:8. f#5:16 d5:4 | a5:8. f#5:16 d5:4 | [d4,f#4]:2")
    s.write("Va", "97", "r:4 d4:8' f#4' | d4:8. d4:16 f#4:4 | d4:8. d4:16 f#4:4 | [d3,a3]:2")
    bass = "d3:4 d3 | d3:8. d3:16 d3:4 | d3:8. d3:16 d3:4 | d3:2"
    s.write("Vc", "97", bass)
    s.write("Cb", "97", octaves(bass, -1))
    s.write("Fg2", "98", "d3:8. d3:16 d3:4 | d3:8. d3:16 d3:4 | d3:2")
    s.write("Fg1", "98", "a3:8. a3:16 a3:4 | a3:8. a3:16 a3:4 | d3:2")
    for key, pitch, last in (
        ("Fl1", "d6", "d6"), ("Fl2", "a5", "a5"), ("Ob1", "f#5", "f#5"), ("Ob2", "d5", "d5"),
        ("Cl1", "a4", "a4"), ("Cl2", "f#4", "f#4"), ("Co1", "f#4", "f#4"), ("Co2", "d4", "d4"),
        ("Tr", "[a4,d5]", "[f#4,d5]"), ("Ti", "d3", "d3"),
    ):  # fmt: skip
        s.write(
            key,
            "98",
            f"{pitch}:8. {pitch}:16 {pitch}:4 | {pitch}:8. {pitch}:16 {pitch}:4 | {last}:2",
        )
    s.dyn("f", "97:1", STRINGS)
    s.dyn("f", "98:1", ALL)
