"""Bars 33-56: the theme comes back, the wind band, one line for all, the end."""

from __future__ import annotations

from ..notation import Score, octaves, repeat
from ..orchestra import ALL, BRASS, HORNS, STRINGS, WOOD


def theme_returns(s: Score) -> None:
    """33-40: the theme in three octave levels, then in a quiet version."""
    tune = """f#5:4.>( e5:8 d5:4') a4:8( d5) | g5:4.>( f#5:8 e5:4') a4:8( e5)
        | f#5:8( g5 f#5 e5) d5:4( c#5:8 b4) | a4:4"""
    s.write("V1", "33", tune + " r r a4:8( d5)")
    s.write("Ob1", "33", tune + " r r:2")
    s.write("Fl2", "33", tune + " r r:2")
    s.write("Fl1", "33", octaves(tune, 1) + " r r:2")
    s.write("V2", "33", octaves(tune, -1) + " r r:2")
    s.write("Cl1", "33", octaves(tune, -1) + " r r:2")
    bass = """d3:4 d3:8' f#3' a3:4' a2' | e3 g3:8' e3' c#3:4' a2'
        | d3:4( c#3) b2( g#2) | a2:4 r a2:8( b2 c#3 a2)"""
    for key in ("Vc", "Fg1", "Fg2"):
        s.write(key, "33", bass)
    s.write("Cb", "33", octaves(bass, -1))
    s.write(
        "Va",
        "33",
        f"""
        {repeat("[f#3,a3]:8", 8)} | {repeat("[g3,b3]:8", 4)} {repeat("[e3,g3]:8", 4)}
        | a3:4 a3 d4( b3) | c#4 r r:2""",
    )
    s.write("Ob2", "33", "d5:1 | b4:2 c#5 | d5:4( e5) d5:2 | c#5:4 r r:2")
    s.write("Cl2", "33", "a4:1 | e4:1 | f#4:4( e4) f#4( e4) | e4 r r:2")
    s.write(
        "Co1",
        "33",
        """
        f#4:4> f#4:8' f#4' f#4:4' f#4' | e4:4> e4:8' e4' e4:4' e4' | f#4:4( e4) f#4( e4)
        | e4 r r:2""",
    )
    s.write(
        "Co2",
        "33",
        """
        d4:4> d4:8' d4' d4:4' d4' | r:2 a3:4' a3' | a3 a3 f#3 e4 | a3 r r:2""",
    )
    s.write(
        "Tr",
        "33",
        """
        [a4,d5]:4> [a4,d5]:8' [a4,d5]' [a4,d5]:4' [a4,d5]' | r:2 [a4,e5]:4' [a4,e5]'
        | [a4,d5] [a4,e5] r:2 | [a4,e5]:4 r r:2""",
    )
    s.write("Ti", "33", "d3:4> d3:8 d3 d3:4 d3 | r:2 a2:4 a2 | d3 a2 r:2 | a2:4 r r:2")
    s.dyn("ff", "33:1", ALL)
    s.text("div.", "33:1", "Va")
    s.text("unis.", "35:1", "Va")
    s.dyn("p", "36:3", "Vc Cb Fg1 Fg2")
    s.dyn("p", "36:4", "V1")
    # 37-40: piano; the oboes only touch the first note of each bar
    s.write(
        "V1",
        "37",
        """
        f#5:4.( e5:8 d5:4') a4:8( d5) | g5:4.( f#5:8 e5:4') b4:8( e5)
        | g5:8( a5 g5 f#5) e5:4( c#5) | d5:4' f#5:8' e5' d5:4 r""",
    )
    s.write(
        "Ob1", "37", "f#5:4 r r:2 | g5:4 r r:2 | g5:4 r r:2 | f#5:4' a5:8' g5' f#5:4 f#5:8( g5)"
    )
    s.write("Ob2", "37", "d5:4 r r:2 | b4:4 r r:2 | e5:4 r r:2 | d5:4' f#5:8' e5' d5:4 r")
    s.write(
        "V2",
        "37",
        """
        a4:8( f#4 a4 e4) f#4( d4 f#4 d4) | b4( g4 d4 g4) g4( e4 b4 g4)
        | e4( a4 f#4 a4) g4:4 g4 | f#4' a4:8' g4' f#4:4 r""",
    )
    s.write("Va", "37", "a3:2( f#3) | g3:2( b3) | a3:2 a3:4( e4) | a3' a3:8' a3' a3:4 r")
    bass = "d3:4( c#3) b2( a2) | g2( b2) e3( d3) | c#3( d3) a2 a2 | d3' d3:8' a2' d3:4 r"
    s.write("Vc", "37", bass)
    s.write("Cb", "37", octaves(bass, -1))
    s.write("Cl1", "38", "r:2 g4:4( e4) | e4( f#4) e4( g4) | f#4' d5:8' c#5' d5:4 r")
    s.write("Cl2", "38", "r:2 e4:4( b3) | a3:2 c#4 | a3:4' f#4:8' e4' f#4:4 r")
    s.write("Fg1", "39", "a3:4( f#3) g3( e3) | f#3' f#3:8' g3' a3:4 r")
    s.write("Fg2", "39", "c#3:4( d3) a2 a2 | d3' d3:8' a2' d3:4 r")
    s.write("Fl1", "40", "d6:4' f#6:8' e6' d6:4 r")
    s.write("Fl2", "40", "a5:4' d6:8' c#6' a5:4 r")
    s.write("Co1", "40", "d4:4' d4:8' e4' f#4:4 r")
    s.write("Co2", "40", "a3:4' a3:8' a3' d4:4 r")
    s.write("Tr", "40", "[a4,d5]:4' [a4,d5]:8' [a4,e5]' [a4,d5]:4 r")
    s.write("Ti", "40", "d3:4 d3:8 a2 d3:4 r")
    s.dyn("p", "37:1", "Ob1 Ob2 V2 Va")
    s.dyn("p", "38:3", "Cl1 Cl2")
    s.dyn("p", "39:1", "Fg1 Fg2")
    s.hair("<", "39:1", "39:4.75", f"{STRINGS} Cl1 Cl2 Fg1 Fg2")
    s.dyn("f", "40:1", ALL)
    s.dyn("p", "40:4", "Ob1")


def coda(s: Score) -> None:
    """41-44: oboe 1 hands its line to clarinet 1 over held strings."""
    s.text("Solo", "40:4", "Ob1")
    s.write("Ob1", "41", "a5:4.( g5:8 f#5:4') d5:8( f#5) | a5( g5 f#5 a5) g5:4( f#5) | e5 r r:2")
    s.write("Cl1", "43", "e5:4( f#5:8 g5) f#5:4( e5:8 c#5) | d5:2. r:4")
    s.text("Solo", "43:1", "Cl1")
    s.write("V1", "41", "f#4:1 | f#4:2( g4) | g4( f#4:4 g4) | f#4:2. r:4")
    s.write("V2", "41", "d4:1 | d4:1 | c#4:2( d4:4 c#4) | d4:2. r:4")
    s.write("Va", "41", "a3:1 | a3:2( b3) | e3( f#3:4 e3) | f#3:2. r:4")
    bass = "d3:4 r r:2 | d3:4 r g2 r | a2 r a2 r | d3 r r:2"
    s.write("Vc", "41", bass)
    s.write("Cb", "41", octaves(bass, -1))
    s.dyn("pp", "41:1", STRINGS)
    s.text("pizz.", "41:1", "Vc Cb")
    s.dyn("p", "43:1", "Cl1")


def wind_band(s: Score) -> None:
    """44 (upbeat)-48: winds alone; horn fifths, with bassoon 2 as the bass."""
    s.write("Co1", "44", "r:2 r:4 d4:8( e4) | f#4:4.( e4:8 d4:4') r | f#4:2 d4:4 d4:8( e4)")
    s.write("Co2", "44", "r:2 r:4 f#3:8( a3) | d4:4.( a3:8 f#3:4') r | d4:2 f#3:4 f#3:8( a3)")
    s.write("Co1", "47", "e4:2( a4:4 e4) | d4( f#4) e4 e4")
    s.write("Co2", "47", "r:2 a3:4( a3) | f#3( d4) a3 a3")
    s.write("Fg2", "45", "d3:2.( f#3:4) | d3:1 | c#3:1( | a2:1)")
    s.write("Fg1", "45", "a3:1~ | a3:1~ | a3:1~ | a3:2( g3)")
    s.write(
        "Fl1",
        "45",
        """r:2 r:4 d6:8( e6) | f#6:4.( e6:8 d6:4') r | g6:4.( f#6:8 e6:4') c#6
        | d6( f#6) e6( c#6)""",
    )
    s.write(
        "Fl2",
        "45",
        """r:2 r:4 f#5:8( a5) | d6:4.( a5:8 f#5:4') r | e6:4.( d6:8 c#6:4') a5
        | a5( d6) c#6( a5)""",
    )
    s.write(
        "Ob1",
        "45",
        """r:2 r:4 d5:8( e5) | f#5:4.( e5:8 d5:4') r | g5:4.( f#5:8 e5:4') c#5
        | d5( f#5) e5( c#5)""",
    )
    s.write(
        "Ob2",
        "45",
        """r:2 r:4 f#4:8( a4) | d5:4.( a4:8 f#4:4') r | e5:4.( d5:8 c#5:4') a4
        | a4( d5) c#5( a4)""",
    )
    s.write("Cl1", "45", "r:2 r:4 a4 | a4:1( | g4:1 | f#4:2 e4)")
    s.write("Cl2", "45", "r:2 r:4 f#4 | f#4:1( | e4:1 | d4:2 c#4)")
    s.dyn("mf", "44:4", HORNS)
    s.dyn("p", "45:1", "Fg1 Fg2")
    s.dyn("p", "45:4", "Fl1 Fl2 Ob1 Ob2 Cl1 Cl2")
    s.dyn("p", "46:1", HORNS)
    s.hair("<", "48:1", "48:4.75", f"{WOOD} {HORNS}")


def one_line(s: Score) -> None:
    """49-50: all play one line, in five octave levels; every note is open in D."""
    line = "d5:4> f#5:8' e5' d5:4' a4' | d5:4> f#5:8' e5' f#5:4' a5'"
    for key, level in (
        ("Fl1", 1),
        ("Fl2", 1),
        ("Ob1", 0),
        ("Ob2", 0),
        ("V1", 0),
        ("Tr", 0),
        ("V2", -1),
        ("Cl1", -1),
        ("Cl2", -1),
        ("Va", -1),
        ("Co1", -1),
        ("Fg1", -2),
        ("Fg2", -2),
        ("Vc", -2),
        ("Cb", -3),
    ):
        s.write(key, "49", octaves(line, level))
    s.write("Co2", "49", "d4:4> f#4:8' e4' d4:4' a3' | d4:4> f#4:8' e4' f#4:4' a3'")
    s.write("Ti", "49", "d3:4> r d3 a2 | d3> r r a2")
    s.text("a 2", "49:1", "Tr")
    s.text("arco", "49:1", "Vc Cb")
    s.dyn("ff", "49:1", ALL)


def close(s: Score) -> None:
    """51-56: a last shadow of G minor, then the end."""
    s.write("V1", "51", "bb5:4.( a5:8 g5:4') d5:8( g5) | f#5:4.( g5:8) e5:2")
    s.write("V2", "51", "d5:2( bb4) | a4:2( g4)")
    s.write("Va", "51", "g4:2( d4) | d4:2( c#4)")
    s.write("Vc", "51", "g3:2 g2 | a2 a2")
    s.write("Fl1", "52", "r:2 r:4 g5:8( e5)")
    s.write("Cl1", "52", "r:2 e4:4( g4)")
    s.write("Fg1", "52", "r:2 c#4:4( a3)")
    s.write(
        "V1",
        "53",
        """
        d5:4> f#5:8' a5' a5:4' f#5' | g5:4> b5:8' g5' e5:4' c#5' | d5:8 f#5 a5 f#5 d5:4' a4'
        | [d4,a4,d5]:2 r""",
    )
    s.write(
        "Fl1",
        "53",
        """
        d6:4> f#6:8' a6' a6:4' f#6' | g6:4> g6:8' g6' e6:4' c#6' | d6:8 f#6 a6 f#6 d6:4' a5'
        | d6:2 r""",
    )
    s.write(
        "Fl2",
        "53",
        """
        a5:4> d6:8' d6' d6:4' d6' | e6:4> e6:8' e6' c#6:4' a5' | f#5:8 a5 d6 a5 f#5:4' f#5'
        | f#5:2 r""",
    )
    s.write(
        "Ob1", "53", "d5:4> f#5:8' f#5' f#5:4' d5' | g5:4> g5:8' e5' e5:4' c#5' | d5:2 f#5 | d5 r"
    )
    s.write("Ob2", "53", "a4:4> a4:8' d5' d5:4' d5' | b4:4> b4:8' b4' g4:4' g4' | f#4:2 a4 | a4 r")
    s.write(
        "V2",
        "53",
        """
        f#4:4> a4:8' d5' d5:4' f#4' | b4:4> g4:8' b4' g4:4' g4' | f#4:8 a4 d5 a4 f#4:4' f#4'
        | [d4,f#4]:2 r""",
    )
    s.write(
        "Va",
        "53",
        """
        a3:8 a3 d4 d4 d4 d4 f#4 f#4 | e4 e4 e4 e4 c#4 c#4 e4 e4 | d4 d4 d4 d4 d4:4' d4'
        | [d3,a3]:2 r""",
    )
    bass = "d3:4> d3:8' f#3' d3:4' a2' | e3> e3:8' g3' a3:4' a2' | d3:8 d3 f#3 d3 a2:4' f#2' | "
    for key in ("Vc", "Fg1", "Fg2"):
        s.write(key, "53", bass + "d3:2 r")
    s.write("Cb", "53", octaves(bass, -1) + "d2:2 r")
    s.write("Cl1", "53", "a4:4> d5:8' d5' d5:4' d5' | b4:4> b4:8' b4' a4:4' e4' | f#4:2 a4 | a4 r")
    s.write(
        "Cl2", "53", "f#4:4> f#4:8' a4' a4:4' f#4' | g4:4> g4:8' g4' c#4:4' g4' | f#4:2 d4 | f#4 r"
    )
    s.write(
        "Co1",
        "53",
        """
        f#4:4> f#4:8' f#4' f#4:4' f#4' | e4:4> e4:8' e4' e4:4' e4' | d4:4 f#4 f#4 d4 | d4:2 r""",
    )
    s.write(
        "Co2",
        "53",
        """
        d4:4> d4:8' d4' d4:4' a3' | r:2 a3:4' a3' | d4 d4 d4 a3 | d4:2 r""",
    )
    s.write(
        "Tr",
        "53",
        """
        [a4,d5]:4> [a4,d5]:8' [a4,d5]' [a4,d5]:4' [a4,d5]' | e5:4> e5:8' e5' [a4,e5]:4' [a4,e5]'
        | [a4,d5]:4 r [f#4,d5] [f#4,d5] | [d4,d5]:2 r""",
    )
    s.write("Ti", "53", "d3:4> d3:8 d3 d3:4 d3 | r:2 a2:4 a2 | d3:8 d3 d3 d3 d3:4 a2 | d3:2 r")
    s.text("a 2", "54:1", "Tr")
    s.dyn("p", "51:1", "V1 V2 Va Vc")
    s.dyn("p", "52:3", "Cl1 Fg1")
    s.dyn("p", "52:4", "Fl1")
    s.hair(">", "52:1", "52:4", "V1 V2 Va Vc")
    s.dyn("f", "53:1", f"{WOOD} {BRASS} Ti {STRINGS}")
