"""Bars 16b-32: the bassoon's tune, the oboes, the entries, the build-up."""

from __future__ import annotations

from ..notation import Score, octaves, repeat, steps
from ..orchestra import ALL, HORNS, STRINGS


def bassoon_solo(s: Score) -> None:
    """17-20: B minor; the tune in the tenor register of bassoon 1."""
    s.clef("tenor", "17", "Fg1")
    s.write(
        "Fg1",
        "17",
        """
        d4:4.( c#4:8 b3:4) f#3:8( b3) | e4:4.( d4:8 c#4:4) a#3:8( c#4)
        | f#4:8( g4 f#4 e4) d4:4( c#4:8 b3) | a#3:4.( c#4:8 f#3:4) r""",
    )
    s.clef("bass", "21", "Fg1")
    s.write(
        "Cl1",
        "17",
        """
        d5:8( b4 f#4 b4) d5( f#4 b4 f#4) | c#5( a#4 f#4 a#4) c#5( a#4 f#4 a#4)
        | d5( b4 f#4 b4) d5( f#4 b4 g#4) | a#4( c#5 a#4 e4) c#4:4 r""",
    )
    s.write("Cl2", "17", "f#4:1( | e4) | d4:2. e#4:4 | f#4:2. r:4")
    bass = "b2:4 r f#2 r | a#2 r f#2 r | b2 d3 b2 c#3 | f#2 r r:2"
    s.write("Vc", "17", bass)
    s.write("Cb", "17", octaves(bass, -1))
    s.write("Va", "17", "r:4 f#3 r f#3 | r e3 r e3 | r f#3 d3 g#3 | f#3 r r:2")
    s.write("V2", "17", "r:4 d4 r d4 | r c#4 r c#4 | r d4 f#4 e#4 | c#4 r r:2")
    s.write("Fl1", "20", "r:2 r:4 b5:8( d6)")
    s.write("Fl2", "20", "r:2 r:4 g5:8( b5)")
    s.dyn("mf", "16b:4", "Fg1")
    s.text("Solo", "16b:4", "Fg1")
    s.dyn("pp", "17:1", "Cl1 Cl2")
    s.dyn("p", "17:1", "Vc Cb")
    s.dyn("p", "17:2", "V2 Va")
    s.text("pizz.", "17:1", "Vc Cb")
    s.text("pizz.", "17:2", "V2 Va")
    s.dyn("p", "20:4", "Fl1 Fl2")
    s.hair("<", "19:1", "19:3", "Fg1")
    s.hair(">", "19:3", "20:3", "Fg1")


def oboes_in_thirds(s: Score) -> None:
    """21-24: G major; cello and bass an octave apart on paper, in unison to the ear."""
    first = """b5:4.( a5:8 g5:4') a5:8( b5) | c6:4.( b5:8 a5:4') b5:8( c6)
        | d6:4( c6:8 b5) a5:4( g5)"""
    s.write("Ob1", "21", first + " | a5:4( f#5) g5:4 r")
    s.write("Ob2", "21", steps(first, -2, "f") + " | c5:2 b4:4 r")
    s.write("Fl1", "21", "d6:2 r | r:4 e6:4( d6) r | R | r:2 d6:4( d#6)")
    s.write("Fl2", "21", "b5:2 r | r:4 c6:4( a5) r | R | r:2 b5:4( b5)")
    s.write(
        "V1",
        "21",
        """
        r:8 d5' r d5' r c5' r d5' | r e5' r e5' r d5' r d5' | r d5' r c5' r c5' r b4'
        | r c5' r c5' b4:4 r""",
    )
    s.write(
        "V2",
        "21",
        """
        r:8 b4' r b4' r g4' r a4' | r c5' r c5' r c5' r c5' | r b4' r a4' r a4' r g4'
        | r a4' r a4' g4:4 r""",
    )
    s.write(
        "Va",
        "21",
        """
        r:8 g4' r g4' r g4' r f#4' | r a4' r a4' r a4' r f#4' | r g4' r e4' r f#4' r e4'
        | r f#4' r f#4' d4:4 r""",
    )
    bass = "g2:4 r e3 d3 | c3 r d3 r | g2 c3 d3 e3 | d3 d3 g2 r"
    s.write("Vc", "21", bass)
    s.write("Cb", "21", bass)
    s.write("Co1", "21", "d4:1 | r:2 d4:2 | d4:2 d4:4 r | d4:2 d4:4 r")
    s.write("Co2", "21", "d4:1 | r:2 d4:2 | d4:2 d4:4 r | d4:2 r:2")
    s.write("Fg1", "21", "R | e4:2( c4) | b3:4( c4) a3 r | d4:2 d4:4 r")
    s.write("Fg2", "21", "g3:2. f#3:4 | a3:2( f#3) | g3:4( e3) f#3 r | a3:2 g3:4 r")
    s.dyn("mf", "21:1", "Ob1 Ob2")
    s.dyn("p", "21:1", f"{HORNS} Fg1 Fg2 {STRINGS}")
    s.text("arco", "21:1", "Vc")
    s.text("arco", "21:1.5", "V2 Va")
    s.hair(">", "24:1", "24:3", "Ob1 Ob2")


def imitation(s: Score) -> None:
    """25-28: four entries, each a fifth lower: e, a, d, g."""
    subject = "b5:4.>( a5:8 g5 f#5 e5:4)"
    answer = "e5:4.>( d5:8 c5 b4 a4:4)"
    third = "a4:4.>( g4:8 f4 e4 d4:4)"
    fourth = "d4:4.>( c4:8 bb3 a3 g3:4)"
    s.write(
        "V1",
        "25",
        f"""{subject} | c6:4.( a5:8) e5( g#5) a5:4~ | a5:2. f5:4
        | g5:4( a5) bb5:2""",
    )
    s.write("V2", "26", f"{answer} | f5:4.( d5:8) a4( c#5) d5:4~ | d5:2. bb4:4")
    s.write("Va", "27", f"{third} | bb4:4.( g4:8) d4( f#4) g4:4")
    s.write("Vc", "28", fourth)
    s.write("V2", "25", "r:4 g4:8' g4' r:2")
    s.write("Va", "25", "r:4 e4:8' e4' r:2 | r:4 c4:8' c4' r:2")
    bass = "e2:4 r b1 r | a1 r e2 r | d2 r a1 r | g1 r d2 r"
    s.write("Cb", "25", bass)
    s.write("Fg2", "25", octaves(bass, 1))
    s.write("Fg1", "25", "g3:2 g3:4 r | a3:2 a3:4 r | a3:2 f3:4 r | bb3:2 g3:4 r")
    s.write("Co1", "25", "e4:2 e4:4 r | e4:2 e4:4 r | d4:2 d4:4 r | d4:2 d4:4 r")
    s.write("Co2", "26", "a3:2 a3:4 r | a3:2 a3:4 r | d4:2 d4:4 r")
    s.write("Cl1", "27", "f5:4.( d5:8) a4( c#5) d5:4~ | d5:2. bb4:4")
    s.write("Cl2", "28", "bb4:4.( g4:8) d4( f#4) g4:4")
    s.dyn("f", "25:1", "V1 Cb Fg2")
    s.text("arco", "25:1", "Cb")
    s.dyn("f", "26:1", "V2")
    s.dyn("f", "27:1", "Va")
    s.dyn("f", "28:1", "Vc")
    s.dyn("mf", "25:1", "Fg1 Co1")
    s.dyn("mf", "26:1", "Co2")
    s.dyn("mf", "27:1", "Cl1")
    s.dyn("mf", "28:1", "Cl2")
    s.dyn("p", "25:2", "V2 Va")


def build_up(s: Score) -> None:
    """29-32: A in the bass, everything rises."""
    s.write(
        "V1",
        "29",
        """
        a4:4.( g4:8 e4:4') a4:8( c#5) | d5:4.( c#5:8 a4:4') d5:8( e5)
        | f5:4.( e5:8 d5:4') f5:8( g5)
        | a4:16( b4 c#5 d5 e5 f#5 g5 a5) g5:8( e5) a4( d5)""",
    )
    s.write(
        "V2",
        "29",
        f"""
        {repeat("c#4:8", 8)} | {repeat("f#4:8", 8)} | {repeat("a4:8", 4)} {repeat("bb4:8", 4)}
        | {repeat("c#5:8", 8)}""",
    )
    s.write(
        "Va",
        "29",
        f"""
        {repeat("g3:8", 8)} | {repeat("d4:8", 8)} | {repeat("f4:8", 8)}
        | {repeat("g4:8", 8)}""",
    )
    s.write("Vc", "29", " | ".join([repeat("a2:8", 8)] * 4))
    s.write("Cb", "29", " | ".join([repeat("a1:4", 4)] * 4))
    s.write("Cl1", "30", "f#4:1 | a4:2( bb4) | g4:2 e5:4 r")
    s.write("Cl2", "30", "d4:1 | f4:1 | e4:2 c#5:4 r")
    s.write("Fg1", "30", "a3:1 | d4:1 | e4:2 g3:4 r")
    s.write("Fg2", "30", "a2:1 | a2:1 | a2:2 a2:4 r")
    s.write("Co1", "30", "a3:1 | a3:1 | e4:4 e4:8' e4' e4:4 r")
    s.write("Co2", "30", "a3:1 | a3:1 | a3:4 a3:8' a3' a3:4 r")
    s.write("Ob1", "31", "f5:1 | a5:2 g5:8( e5) a4( d5)")
    s.write("Ob2", "31", "d5:1 | c#5:2 c#5:4 r")
    s.write("Fl1", "32", "a5:16( b5 c#6 d6 e6 f#6 g6 a6) g6:8( e6) a5( d6)")
    s.write("Fl2", "32", "r:4 e5:16( f#5 g5 a5) e5:4 r")
    s.write("Tr", "32", "[a4,e5]:4 [a4,e5]:8' [a4,e5]' [a4,e5]:4 r")
    s.write("Ti", "32", "a2:2=3 a2:4 r")
    s.dyn("p", "29:1", STRINGS)
    s.text("cresc.", "30:1", STRINGS)
    s.dyn("p", "30:1", f"Cl1 Cl2 Fg1 Fg2 {HORNS}")
    s.hair("<", "30:1", "31:4.75", f"Cl1 Cl2 Fg1 Fg2 {HORNS}")
    s.dyn("mf", "31:1", f"Ob1 Ob2 {STRINGS}")
    s.dyn("f", "32:1", ALL)
    s.hair("<", "32:1", "32:4.75", f"Fl1 Ti {STRINGS}")
