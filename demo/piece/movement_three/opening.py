"""Bars 1-40: the theme, its variation, the forte, the clarinets in G, held chords."""

from __future__ import annotations

from ..notation import Score, octaves, steps
from ..orchestra import ALL, HORNS, STRINGS, WOOD
from .figures import BASS, THEME, long, off


def theme(s: Score) -> None:
    """1-8: strings alone."""
    s.write("V1", "1", THEME)
    s.write("V2", "1", off("a4", "a4", "a4") + " | c#5:4 r")
    s.write("V2", "5", off("a4", "b4") + " | a4:4( g4) | f#4 r")
    s.write("Va", "1", off("f#4", "e4", "f#4 d4") + " | e4:4 r")
    s.write("Va", "5", off("f#4", "d4") + " | d4:4( e4) | d4 r")
    s.write("Vc", "1", BASS)
    s.write("Cb", "1", octaves(BASS, -1))
    s.dyn("p", "1:1", STRINGS)
    s.text("grazioso", "1:1", "V1")


def varied(s: Score) -> None:
    """9-16: clarinet 1 plain, violins I in semiquavers; horn 2 has what its crook gives."""
    s.write("Cl1", "9", octaves(THEME, -1))
    s.write(
        "V1",
        "9",
        """
        d5:16( c#5 d5 e5) f#5( g5 a5 f#5) | g5( a5 f#5 g5) e5( f#5 e5 c#5)
        | f#5( e5 f#5 g5) a5( g5 f#5 d5) | e5( f#5 e5 d5) c#5( d5 e5 c#5)
        | d5( a4 d5 e5) f#5( e5 a5 g5) | b5( c#6 a5 b5) g5( f#5 g5 b5)
        | f#5( g5 d5 f#5) e5( f#5 c#5 e5) | d5:4 r""",
    )
    s.write("V2", "9", long("f#4", "g4", "f#4") + " | e4:4( g4) | f#4:2 | g4 | a4:4( g4) | f#4 r")
    s.write(
        "Va",
        "9",
        """
        a3:8 d4 a3 d4 | a3 c#4 a3 c#4 | a3 d4 a3 d4 | a3 c#4 e4 c#4
        | a3 d4 a3 d4 | b3 d4 b3 d4 | d4:4( e4) | d4 r""",
    )
    bass = "d3:4 d3 | c#3 a2 | d3 f#3 | a2 c#3 | d3 f#3 | g2 b2 | a2 a2 | b2 r"
    for key in ("Vc", "Fg1", "Fg2"):
        s.write(key, "9", bass)
    s.write("Cb", "9", octaves(bass, -1))
    s.write("Co1", "13", "f#4:2 | d4 | f#4:4( e4) | d4 r")
    s.write("Co2", "13", "d4:8. r:16 r:8 a4 | b4:8( a4) g4:4 | r:8 d4 r:4 | d4 r")
    s.write("Cl2", "13", "a3:2( | b3) | a3 | f#3:4 r")
    s.dyn("p", "9:1", f"{STRINGS} Cl1 Fg1 Fg2")
    s.dyn("pp", "13:1", f"Cl2 {HORNS}")
    s.text("leggiero", "9:1", "V1")


def forte(s: Score) -> None:
    """17-24: oboes and horns strike; what looks like a sequence in violins I is none."""
    tune = """f#5:8. g5:16 a5:8 d6 | c#6:8( b5) a5:4 | g5:8. e5:16 b5:8 e6 | d6:8( c#6) b5:4
        | a5:8. a5:16 c#6:8 e6 | f#6:8( e6) d6:4 | b5:8( g5) e5( c#5) | d5:4 r"""
    s.write("V1", "17", tune)
    s.write("Fg1", "17", octaves(tune, -2))
    s.write(
        "V2",
        "17",
        """a4:8 a4 a4 a4 | a4 a4 a4 a4 | g4 g4 g4 g4 | g4 g4 g4 g4 | a4 a4 a4 a4
        | a4 a4 a4 a4 | g4 g4 g4 g4 | f#4:4 r""",
    )
    s.write(
        "Va",
        "17",
        """d4:8 d4 d4 d4 | e4 e4 e4 e4 | b3 b3 b3 b3 | d4 d4 d4 d4 | e4 e4 e4 e4
        | d4 d4 d4 d4 | e4 e4 e4 e4 | d4:4 r""",
    )
    bass = "d3:4 d3 | c#3 a2 | e3 e3 | g3 g2 | a2 c#3 | d3 f#3 | g2 a2 | d3 r"
    s.write("Vc", "17", bass)
    s.write("Fg2", "17", bass)
    s.write("Cb", "17", octaves(bass, -1))

    def strokes(key: str, pitches: str, end: str) -> None:
        bars = " | ".join(f"{p}:8> r r:4" for p in pitches.split())
        s.write(key, "17", f"{bars} | {end}")

    strokes("Ob1", "a5 e5 b5 g5 e5 a5", "e5:8 e5 e5:4 | f#5 r")
    strokes("Ob2", "d5 a4 e5 b4 c#5 d5", "b4:8 b4 c#5:4 | d5 r")
    strokes("Co1", "d4 e4 e4 d4 e4 a4", "e4:8 e4 e4:4 | d4 r")
    strokes("Co2", "d4 a4 b3 g4 a4 d4", "b3:8 b3 a4:4 | d4 r")
    s.write("Fl1", "17", long("a5", "a5", "b5", "b5", "a5", "a5") + " | g5:4( e5) | f#5 r")
    s.write("Fl2", "17", long("d5", "e5", "e5", "d5", "e5", "d5") + " | e5:4( c#5) | d5 r")
    s.write("Cl1", "17", long("f#4", "e4", "e4", "g4", "g4", "f#4") + " | g4:4( e4) | f#4 r")
    s.write("Cl2", "17", long("d4", "c#4", "b3", "b3", "c#4", "d4") + " | b3:4( c#4) | d4 r")
    s.write(
        "Tr",
        "17",
        """
        [a4,d5]:8' [a4,d5]' r:4 | [a4,e5]:8' [a4,e5]' r:4 | e5:8' e5' r:4 | d5:8' d5' r:4
        | [a4,e5]:8' [a4,e5]' r:4 | [a4,d5]:8' [a4,d5]' r:4 | r [a4,e5] | [f#4,d5] r""",
    )
    s.write(
        "Ti",
        "17",
        """d3:8 d3 r:4 | a2:8 a2 r:4 | R | d3:8 d3 r:4 | a2:8 a2 r:4 | d3:8 d3 r:4 | r a2
        | d3 r""",
    )
    s.text("a 2", "19:1", "Tr")
    s.dyn("f", "17:1", ALL)


def clarinets(s: Score) -> None:
    """25-36: G major; the clarinets, scraps of flute 1, plucked strings."""
    first = "b4:8( c5) d5:4 | e5:8( d5) c5:4 | b4:8( d5) c5( a4) | b4:4 g4:8( a4)"
    second = "b4:8( c5) d5( b4) | e5:4( d5:8 c5) | b4:8( d5) g5( e5) | d5:4 r"
    third = "g5:8( f#5) e5:4 | c5:8( e5) d5( c5) | b4:8( g4) a4( f#4) | g4:4 r"
    s.write("Cl1 Cl2", "25", first)
    s.write("Cl1", "29", second)
    s.write("Cl2", "29", steps(second, -2, "f"))
    s.write("Cl1 Cl2", "33", third)
    s.write(
        "Fl1",
        "25",
        """
        r:4 d6:16( b5) g5:8 | r:4 e6:16( c6) g5:8 | r:4 c6:16( a5) f#5:8 | r:4 d6:16( b5) g5:8
        | r:4 g5:16( b5) d6:8 | r:4 c6:16( e6) g6:8 | r:4 e6:16( c6) g5:8 | r:4 b5:16( d6) g6:8
        | r:4 g6:16( e6) b5:8 | r:4 a5:16( c6) f#6:8 | r:4 c6:16( a5) f#5:8
        | r:4 b5:16( d6) g6:8""",
    )
    tops = ("g4", "g4", "g4 f#4", "g4", "g4", "g4", "g4", "g4", "g4", "a4 f#4", "g4 f#4")
    s.write("V1", "25", off(*tops) + " | g4:4 r")
    mids = ("d4", "e4", "d4", "d4", "d4", "e4", "d4 e4", "d4", "e4", "e4 d4", "d4")
    s.write("V2", "25", off(*mids) + " | d4:4 r")
    lows = ("b3", "c4", "b3 c4", "b3", "b3", "c4", "b3 c4", "b3", "b3", "c4", "b3 c4")
    s.write("Va", "25", off(*lows) + " | b3:4 r")
    bass = """g2:4 d3 | c3 e3 | d3 d3 | g2 b2 | g2 d3 | c3 e3 | b2 c3 | g2 r
        | e3 b2 | a2 d3 | d3 d3 | g2 r"""
    s.write("Vc", "25", bass)
    s.write("Cb", "25", octaves(bass, -1))
    s.write("Fg1", "34", "a3:8( c4) d4:4 | d4:8( b3) c4( d4) | b3:4 r")
    s.write("Co2", "25", "d4:2 | g3 | d4 | d4:4( g3) | d4:2 | g3 | g3 | d4:4 r | b3:2")
    s.write("Co2", "36", "g3:4 r")
    s.write("Co1", "34", "r:4 d4 | d4:2 | d4:4 r")
    s.write("Ti", "32", "g2:4 r")
    s.write("Ti", "35", "d3:4 d3 | g2 r")
    s.dyn("p", "25:1", f"Cl1 Cl2 Fl1 {STRINGS} Co2")
    s.text("pizz.", "25:1", STRINGS)
    s.text("La muta in Sol", "25:1", "Ti")
    s.dyn("p", "32:1", "Ti")
    s.dyn("p", "34:1", "Co1 Fg1")


def held(s: Score) -> None:
    """37-40: one chord a bar, to the dominant of B minor."""
    chords = {
        "V1": "b4 b4 b4 a#4", "V2": "g4 g4 f#4 f#4", "Va": "e4 c#4 d4 c#4",
        "Vc": "e3 e3 f#3 f#2", "Cb": "e2 e2 f#2 f#1", "Ob1": "e5 e5 d5 c#5",
        "Ob2": "b4 b4 b4 a#4", "Cl1": "g4 g4 f#4 f#4", "Cl2": "e4 e4 d4 c#4",
        "Fg1": "b3 b3 b3 a#3", "Fg2": "e3 e3 f#3 f#2", "Fl2": "g5 g5 f#5 f#5",
    }  # fmt: skip
    for key, pitches in chords.items():
        *most, last = pitches.split()
        s.write(key, "37", f"{long(*most)} | {last}:4 r")
    s.write("Co2", "37", "b3:2 | b3 | b3 | r")
    s.write("Co1", "39", "f#4:2 | f#4:4 r")
    s.text("arco", "37:1", STRINGS)
    s.dyn("pp", "37:1", f"{STRINGS} {WOOD.removeprefix('Fl1 ')} Co2")
    s.dyn("pp", "39:1", HORNS.split()[0])
