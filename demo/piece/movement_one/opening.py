"""Bars 0-16: the theme, the oboe, the first tutti."""

from __future__ import annotations

from ..notation import Score, octaves
from ..orchestra import ALL, HORNS, STRINGS


def theme(s: Score) -> None:
    """0-8: the theme, for strings; then with flute, bassoon and horns."""
    s.write("V1", "0", "a4:8( d5)")
    s.write(
        "V1",
        "1",
        """
        f#5:4.( e5:8 d5:4') a4:8( d5) | g5:4.( f#5:8 e5:4') a4:8( e5)
        | f#5:8( g5 f#5 e5) d5:4( c#5:8 b4) | a4:2 r:4 a4:8( d5)""",
    )
    s.write(
        "V2",
        "1",
        """
        d4:8( f#4 a4 f#4) d4( f#4 a4 f#4) | e4( g4 b4 g4) e4( a4 g4 a4)
        | f#4( a4 e4 a4) f#4( d4 e4 d4) | c#4:4 r r:2""",
    )
    s.write(
        "Va",
        "1",
        """
        r:4 a3' r a3' | r b3' r e3' | a3:4( a3) b3( b3) | e3 r e3:8( f#3 g3 e3)""",
    )
    bass = """d3:4' r a2' r | e3' r c#3' r | d3:4( c#3) b2( g#2) | a2 r r:2
        | d3:4' r a2' r | e3' r g3' r | e3:4( g3) a3 a2 | d3' a2' d3' r"""
    s.write("Vc", "1", bass)
    s.write("Cb", "1", octaves(bass, -1))
    tune = """f#5:4.( e5:8 d5:4') a4:8( d5) | g5:4.( f#5:8 e5:4') b4:8( e5)
        | g5:4( f#5:8 e5) d5:4( c#5) | d5:2 r"""
    s.write("V1", "5", tune)
    s.write(
        "V2",
        "5",
        """
        d4:8( f#4 a4 f#4) d4( f#4 a4 f#4) | e4( g4 b4 g4) e4( b4 g4 b4)
        | b4:4( g4) f#4( g4) | f#4' a4' f#4' r""",
    )
    s.write("Va", "5", "r:4 a3' r a3' | r b3' r b3' | b3:4( b3) d4( e4) | d4' d4' d4' r")
    s.write("Fl1", "5", octaves(tune, 1))
    s.write("Fg1", "5", octaves(tune, -2))
    s.write("Co1", "5", "f#4:1( | e4) | e4:2 f#4:4( e4) | d4:2 r")
    s.write("Co2", "5", "a3:1 | R | r:2 a3:2 | f#3:2 r")
    s.dyn("p", "0:1", "V1")
    s.dyn("p", "1:1", "V2 Va Vc Cb")
    s.dyn("p", "5:1", "Fl1 Fg1 Co1 Co2")
    s.text("dolce", "0:1", "V1")
    s.hair("<", "7:1", "7:3", "V1 V2 Va Vc Cb Fl1 Fg1")
    s.hair(">", "7:3", "7:4.75", "V1 V2 Va Vc Cb Fl1 Fg1")


def oboe_sequence(s: Score) -> None:
    """9-12: a model of one bar, three times, a step lower each time; clarinet in thirds."""
    oboe = """b5:4.( a5:8 g#5 b5) a5:4 | a5:4.( g#5:8 f#5 a5) g#5:4
        | g5:4.( f#5:8 e5 g5) f#5:4 | f#5:8( e5 d5 f#5) e5:4( d5)"""
    s.write("Ob1", "9", oboe)
    s.write(
        "Cl1",
        "9",
        """g#5:4.( f#5:8 e#5 g#5) f#5:4 | f#5:4.( e5:8 d#5 f#5) e5:4
        | e5:4.( d5:8 c#5 e5) d5:4 | d5:8( c#5 b4 d5) c#5:4( b4)""",
    )
    s.write(
        "V1",
        "9",
        """
        r:8 c#5' r c#5' r c#5' c#5:4 | r:8 b4' r b4' r b4' b4:4
        | r:8 a4' r a4' r a4' a4:4 | r:8 f#4' r f#4' e4:16( f#4 g#4 a4 b4 c#5 d5 e5)""",
    )
    s.write(
        "V2",
        "9",
        """
        r:8 g#4' r g#4' r g#4' f#4:4 | r:8 f#4' r f#4' r f#4' e4:4
        | r:8 e4' r e4' r e4' d4:4 | r:8 d4' r d4' c#4:4( b3)""",
    )
    s.write(
        "Va",
        "9",
        """
        r:8 g#3' r g#3' r g#3' a3:4 | r:8 f#3' r f#3' r f#3' g#3:4
        | r:8 e3' r e3' r e3' f#3:4 | r:8 f#3' r f#3' a3:4( g#3)""",
    )
    bass = "e#3:4 r e#3 f#3 | d#3 r d#3 e3 | c#3 r c#3 d3 | d3 b2 e3 g#2"
    s.write("Vc", "9", bass)
    s.write("Cb", "9", octaves(bass, -1))
    s.write("Fg2", "12", "r:2 e3:4( g#2)")
    s.write("Co1", "12", "r:2 e4:4 e4")
    s.dyn("p", "9:1", "Ob1 Cl1")
    s.dyn("pp", "9:1", STRINGS)
    s.dyn("p", "12:3", "Fg2")
    s.dyn("p", "12:3", "Co1")
    s.text("Solo", "9:1", "Ob1")
    s.hair("<", "12:1", "12:4.75", f"{STRINGS} Ob1 Cl1")


def first_tutti(s: Score) -> None:
    """13-16: closing group in A major; two endings."""
    s.write(
        "V1",
        "13",
        """
        a5:4> c#6:8' b5' a5:4' e5' | f#5:4> a5:8( g#5) f#5:4' d5'
        | c#5:8( d5 e5 f#5) e5:4 d5:8( b4) | a4:4 r r a4:8( d5) | a4:4 r r:2""",
    )
    s.write(
        "Fl1",
        "13",
        """
        a5:4> c#6:8' b5' a5:4' e5' | f#5:4> a5:8( g#5) f#5:4' d5'
        | c#5:8( d5 e5 f#5) e5:4 d5:8( b4) | a4:4 r r:2 | a5:4 r r:2""",
    )
    second = """c#5:4> e5:8' d5' c#5:4' a4' | d5:4> f#5:8( e5) d5:4' a4'
        | a4:8( b4 c#5 d5) c#5:4"""
    s.write("V2", "13", second + " g#4 | a4:4 r e4:8( f#4 g4 e4) | a4:4 r r:2")
    s.write("Fl2", "13", second + " g#4 | a4:4 r r:2 | e5:4 r r:2")
    s.write(
        "Va",
        "13",
        """
        e4:4> e4:8' e4' e4:4' a4' | f#4:4> f#4:8' f#4' f#4:4' f#4'
        | e4:4 a4 a4 e4 | c#4 r r:2 | e4:4 r r:2""",
    )
    bass = """a2:4> e3:8' e3' a2:4' c#3' | d3:4> a2:8' a2' d3:4' f#3' | c#3 a2 e3 e2
        | a2 r r:2 | a2:4 r r"""
    s.write("Vc", "13", bass + " r")
    s.write("Fg2", "13", bass + " r")
    s.write("Fg1", "13", bass + " f#3:8( b3)")
    s.write("Cb", "13", octaves(bass, -1) + " r")
    s.write("Ob1", "13", "e5:1 | f#5:1 | e5:2 e5:4 e5 | e5 r r:2 | c#5:4 r r:2")
    s.write("Ob2", "13", "c#5:2. a4:4 | d5:1 | a4:2 c#5:4( b4) | c#5 r r:2 | a4:4 r r:2")
    s.write("Cl1", "13", "a4:1 | a4:1 | a4:2 a4:4 g#4 | a4 r r:2 | a4:4 r r:2")
    s.write("Cl2", "13", "e4:1 | f#4:1 | e4:2 e4:4 e4 | e4 r r:2 | e4:4 r r:2")
    s.write(
        "Co1",
        "13",
        """
        e4:4> e4:8' e4' e4:4' e4' | f#4:4> f#4:8' f#4' f#4:4' f#4' | e4:2 e4:4 e4 | a3:1""",
    )
    s.write(
        "Co2",
        "13",
        """
        a3:4> a3:8' a3' a3:4' a3' | d4:4> d4:8' d4' d4:4' d4' | a3:2 a3:4 e4 | a3:1""",
    )
    s.write(
        "Tr",
        "13",
        """
        [a4,e5]:4> [a4,e5]:8' [a4,e5]' [a4,e5]:4' [a4,e5]'
        | [a4,d5]:4> [a4,d5]:8' [a4,d5]' [f#4,d5]:4' [f#4,d5]'
        | [a4,e5]:4 r [a4,e5] e5 | [a4,e5] r r:2 | [a4,e5]:4 r r:2""",
    )
    s.write(
        "Ti",
        "13",
        """
        a2:4> a2:8 a2 a2:4 a2 | d3:4> d3:8 d3 d3:4 d3 | a2:4 r a2 r
        | a2 r r:2 | a2:4 r r:2""",
    )
    s.text("a 2", "15:4", "Tr")
    s.dyn("f", "13:1", ALL)
    s.hair(">", "16a:1", "16a:4", HORNS)
    s.dyn("p", "16a:3", "V2")
    s.dyn("p", "16a:4", "V1")
