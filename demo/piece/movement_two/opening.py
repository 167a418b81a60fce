"""Bars 1-24: the muted tune, oboe and flute, the cellos, the winds alone."""

from __future__ import annotations

from ..notation import Score, octaves
from ..orchestra import HORNS, STRINGS
from .figures import TUNE, pulses


def muted_tune(s: Score) -> None:
    """1-8: muted violins, plucked basses."""
    s.write("V1", "1", TUNE)
    s.write("V2", "1", "g4:2. | g4:4.( a4) | e4:2. | d#4:2.")
    s.write(
        "Va",
        "1",
        """
        g3:8( b3 e4) g3( b3 e4) | g3( b3 e4) f#3( b3 f#4) | a3( c4 e4) c4( e4 c4)
        | f#3( b3 d#4) a3( b3 d#4)""",
    )
    s.write("Vc", "1", "e3:2. | e3:4.( b2) | a2:2. | b2:2.")
    s.write("Cb", "1", "e2:4. r | e2 b1 | a1 a1 | b1 r")
    s.write(
        "V1",
        "5",
        """
        b4:8.( c5:16 b4:8 e5:4) g5:8 | a5:8.( g5:16 f#5:8 e5:4) c5:8
        | b4:4( e5:8 f#5:4 d#5:8) | e5:4. r:4.""",
    )
    s.write("V2", "5", "g4:2. | e4:4.( a4) | g4( a4) | g4 r")
    s.write(
        "Va",
        "5",
        """
        g3:8( b3 e4) g3( b3 e4) | a3( c4 e4) c4( e4 a4) | b3( g3 e4) f#3( a3 b3)
        | g3( b3 e4) b3( g3 e3)""",
    )
    s.write("Vc", "5", "e3:4.( d3) | c3( a2) | b2:2. | e3:4. r")
    s.write("Cb", "5", "e2:4. d2 | c2 a1 | b1 r | e2 r")
    s.write("Cl1", "5", "b3:2. | c4:2. | b3:4.( a3) | b3 r")
    s.write("Cl2", "5", "g3:2. | a3:2. | g3:4.( f#3) | g3 r")
    s.write("Co1", "7", "b3:2.( | e4:4.) r")
    s.write("Co2", "7", "g3:4.( b3 | g3) r")
    s.text("con sord.", "1:1", "V1 V2")
    s.text("pizz.", "1:1", "Cb")
    s.dyn("p", "1:1", "V1")
    s.dyn("pp", "1:1", "V2 Va Vc Cb")
    s.dyn("pp", "5:1", "Cl1 Cl2")
    s.dyn("pp", "7:1", HORNS)
    s.hair("<", "5:4", "5:6.5", "V1 V2 Va Vc")
    s.hair(">", "6:1", "6:6.5", "V1 V2 Va Vc")


def oboe_and_flute(s: Score) -> None:
    """9-16: oboe (bassoon an octave below), then flute (clarinet in sixths), into G major."""
    oboe = """e5:8.( f#5:16 g5:8 e5:4) g5:8 | a5:8.( g5:16 f#5:8 d#5:4) f#5:8
        | g5:8.( f#5:16 e5:8 c5:4) e5:8 | d#5:8.( e5:16 f#5:8 b4:4.)"""
    s.write("Ob1", "9", oboe + " | b4:4. r")
    s.write("Fg1", "9", octaves(oboe, -1) + " | r:2.")
    s.write("V1", "9", " | ".join([pulses("b4"), pulses("a4"), pulses("g4", "a4"), pulses("f#4")]))
    s.write("V2", "9", " | ".join([pulses("g4"), pulses("f#4"), pulses("e4"), pulses("d#4")]))
    s.write("Va", "9", " | ".join([pulses("e4"), pulses("b3"), pulses("c4"), pulses("b3")]))
    bass = "e3:4. b2 | d#3 b2 | e3 a2 | b2 r | g2 g2 | c3 e3 | d3 d3 | g2 r"
    s.write("Vc", "9", bass)
    s.write("Cb", "9", octaves(bass, -1))
    s.write("Fg2", "11", "c3:2. | b2:4. r")
    s.write("Co2", "9", "g3:2. | b3:2. | g3:2. | b3:4. r")
    s.write("Co1", "9", "e4:2. | b3:2. | e4:2. | b3:4. r")
    flute = """g5:8.( a5:16 b5:8 g5:4) b5:8 | c6:8.( b5:16 c6:8 a5:4) c6:8
        | b5:8.( a5:16 g5:8 a5:4) f#5:8 | g5:4. r"""
    s.write("Fl1", "13", flute)
    s.write(
        "Cl1",
        "13",
        """b4:8.( c5:16 d5:8 b4:4) d5:8 | e5:8.( d5:16 e5:8 c5:4) e5:8
        | d5:8.( c5:16 b4:8 c5:4) a4:8 | b4:4. r""",
    )
    s.write(
        "V1", "13", " | ".join([pulses("g4"), pulses("a4"), pulses("g4", "f#4")]) + " | g4:4. r"
    )
    s.write("V2", "13", " | ".join([pulses("d4"), pulses("e4"), pulses("d4")]) + " | d4:4. r")
    s.write(
        "Va",
        "13",
        " | ".join([pulses("b3"), pulses("c4"), pulses("b3", "c4")]) + " | b3:4.( g3:8 d3 g3)",
    )
    s.write("Cl2", "13", "g4:2.~ | g4:2. | g4:4.( f#4) | g4 r")
    s.write("Co2", "13", "d4:2. | r | d4:2. | g3:4. r")
    s.write("Co1", "13", "b3:2. | e4:2. | b3:4.( f#4) | b3 r")
    s.write("Fg2", "15", "d3:2. | g2:4. r")
    s.write("Fl2", "13", "d5:2. | e5:4.( c5) | b4:4.( c5) | b4 r")
    s.write("Ob2", "15", "d5:4.( c5) | b4 r")
    s.dyn("mf", "9:1", "Ob1 Fg1")
    s.text("Solo", "9:1", "Ob1")
    s.text("pizz.", "9:1", "Vc")
    s.dyn("p", "9:1", f"{STRINGS} {HORNS}")
    s.dyn("p", "11:1", "Fg2")
    s.dyn("mf", "13:1", "Fl1")
    s.text("Solo", "13:1", "Fl1")
    s.dyn("p", "13:1", "Cl1 Cl2")
    s.dyn("p", "13:1", "Fl2")
    s.dyn("p", "15:1", "Ob2")
    s.hair(">", "15:1", "15:6.5", "Fl1 Cl1")


def cello_tune(s: Score) -> None:
    """17-20: the cellos sing above the violas."""
    s.clef("tenor", "17", "Vc")
    s.write(
        "Vc",
        "17",
        """
        d4:8.( e4:16 d4:8 g4:4) d4:8 | e4:8.( f#4:16 g4:8 c4:4) e4:8
        | d4:8.( e4:16 f#4:8 a4:4) f#4:8 | g4:8.( f#4:16 e4:8 d4:4) b3:8""",
    )
    s.write(
        "Va",
        "17",
        """
        b3:8( g3 d3) b3( d3 g3) | g3( e3 c3) g3( e3 c3) | a3( f#3 d3) c4( f#3 a3)
        | b3( g3 d3) g3( d3 g3)""",
    )
    s.write("Cb", "17", "g1:4. g1 | c2 a1 | d2 d2 | g1 g1")
    s.write("V2", "17", "b4:2.( | g4 | a4 | g4)")
    s.write("Fg1", "17", "d4:2.( | c4:2.~ | c4 | b3:4.) b3")
    s.write("Fg2", "17", "g3:2. | g3:2. | f#3:2. | g3:2.")
    s.write("Co2", "17", "g3:2. | r | d4:4. d4 | b3:4. r")
    s.clef("bass", "24", "Vc")
    s.text("arco", "17:1", "Vc")
    s.dyn("mf", "17:1", "Vc")
    s.dyn("pp", "17:1", "V2 Va Cb")
    s.dyn("pp", "17:1", "Fg1 Fg2 Co2")
    s.dyn("p", "21:1", "Fl1 Fl2")


def winds_alone(s: Score) -> None:
    """21-24: woodwind and horns alone; G major confirmed."""
    s.write(
        "Fl1",
        "21",
        """
        b5:8.( c6:16 b5:8 d6:4) b5:8 | c6:8.( b5:16 a5:8 a5:4) c6:8
        | b5:8.( a5:16 g5:8 a5:4) f#5:8 | g5:4. r""",
    )
    s.write(
        "Fl2",
        "21",
        """
        g5:8.( a5:16 g5:8 b5:4) g5:8 | a5:8.( g5:16 f#5:8 f#5:4) a5:8
        | g5:8.( f#5:16 d5:8 f#5:4) d5:8 | d5:4. r""",
    )
    s.write("Ob1", "21", "d5:2.~ | d5:2.~ | d5:2. | d5:4. r")
    s.write("Ob2", "21", "b4:2.( | c5) | b4:4.( a4) | g4 r")
    s.write(
        "Cl1", "21", " | ".join([pulses("g4"), pulses("f#4"), pulses("g4", "f#4")]) + " | d4:4. r"
    )
    s.write(
        "Cl2", "21", " | ".join([pulses("d4"), pulses("c4"), pulses("b3", "c4")]) + " | b3:4. r"
    )
    s.write("Fg1", "21", "g3:4. b3 | a3:2. | g3:4.( c4) | b3 r")
    s.write("Fg2", "21", "g2:4. g2 | d3:2. | d3:4. d3 | g2 r")
    s.write("Co1", "21", "b3:2. | f#4:2. | b3:4.( f#4) | b3 r")
    s.write(
        "Co2", "21", "d4:8.( d4:16) d4:8 g4:4 d4:8 | d4:8. d4:16 d4:8 a4:4 d4:8 | d4:4. d4 | g3:2."
    )
    s.write("V1", "24", "r:4. r:4 b4:8")
    s.dyn("p", "21:1", f"Ob1 Ob2 Cl1 Cl2 Fg1 Fg2 {HORNS}")
    s.text("senza sord.", "24:6", "V1")
    s.text("senza sord.", "25:1", "V2")
    s.dyn("f", "24:6", "V1")
