"""Bars 25-54: to B minor, the build-up and the silence, the return, the horns."""

from __future__ import annotations

from ..notation import Score, octaves, repeat
from ..orchestra import ALL, HORNS, STRINGS
from .figures import TUNE, pulses


def to_b_minor(s: Score) -> None:
    """25-32: from E minor to a cadence in B minor."""
    model = "b5:8.( a5:16 g5:8 f#5:4) e5:8"
    s.write(
        "V1",
        "25",
        f"""{model} | {model} | g5:8.( f#5:16 e5:8 c#5:4) e5:8
        | d5:8.( c#5:16 d5:8 f#5:4.)""",
    )
    s.write("V2", "25", f"{pulses('g4')} | {pulses('e4')} | {pulses('e4', 'f#4')} | b4:4.( b4)")
    s.write(
        "Va",
        "25",
        f"""{pulses("b3")} | g4:8.( f#4:16 g4:8 b4:4) g4:8 | c#5:4.( a#4)
        | f#4( d4)""",
    )
    line = """g5:8.( f#5:16 e5:8 b4:4) e5:8 | f#5:8.( e5:16 d5:8 b4:4) d5:8
        | e5:8.( d5:16 c#5:8 b4:4 a#4:8) | b4:4. r"""
    s.write("V1", "29", line)
    s.write("Va", "29", octaves(line, -1))
    s.write("V2", "29", "b4:2.~ | b4:2. | g4:4.( e4) | d4 r")
    bass = "e3:4. e3 | e3 b2 | e3( f#3) | b2( d3) | e3( g3) | d3( f#3) | c#3 f#3 | b2 r"
    s.write("Vc", "25", bass)
    s.write("Cb", "25", octaves(bass, -1))
    s.write("Fg2", "25", bass)
    s.write(
        "Fg1", "25", "g3:2. | g3:2. | g3:4.( f#3) | f#3:2. | g3:2. | f#3:2. | g3:4.( a#3) | b3 r"
    )
    s.write("Cl1", "25", "e5:2. | e5:2. | e5:2. | d5:2. | e5:2. | d5:2. | e5:2. | d5:4. r")
    s.write(
        "Cl2", "25", "g4:2. | g4:2. | c#5:4.( a#4) | b4:2. | b4:2. | b4:2. | g4:4.( c#5) | b4 r"
    )
    s.write("Ob1", "27", f"g5:4.( f#5) | f#5:2. | {line}")
    s.write("Ob2", "27", "e5:4.( c#5) | b4:2. | b4:2.~ | b4:2. | g4:4.( c#5) | b4 r")
    s.write(
        "Co1", "25", "b3:2. | b3:2. | e4:4.( f#4) | f#4:2. | e4:2. | f#4:2. | e4:4.( f#4) | b3 r"
    )
    s.write("Co2", "25", "g3:2. | g3:2. | r | d4:2. | b3:2. | d4:2. | r | d4:4. r")
    s.write("Fl1", "29", "r:4. r:4 g5:8 | f#5:4. r:4 f#5:8 | e5:4. e5 | d5 r")
    s.write("Fl2", "29", "r:4. r:4 e5:8 | d5:4. r:4 d5:8 | c#5:4. c#5 | b4 r")
    s.text("arco", "25:1", "Cb")
    s.dyn("f", "25:1", f"{STRINGS.replace('V1 ', '')} Fg1 Fg2 Cl1 Cl2 {HORNS}")
    s.dyn("mf", "27:1", "Ob1 Ob2")
    s.dyn("p", "29:1", f"{STRINGS} Ob1 Ob2 Fg1 Fg2 Cl1 Cl2 {HORNS}")
    s.dyn("p", "29:6", "Fl1 Fl2")
    s.hair(">", "31:1", "31:6.5", f"{STRINGS} Ob1")


def build_up(s: Score) -> None:
    """33-40: B in the bass; all rises to one chord; silence."""
    s.write(
        "V1",
        "33",
        """
        b4:8.( c5:16 b4:8 d#5:4) b4:8 | b4:8.( c5:16 b4:8 e5:4) b4:8
        | c5:8.( b4:16 c5:8 f#5:4) c5:8 | e5:8.( f#5:16 e5:8 g5:4) e5:8
        | g5:8.( a5:16 g5:8 a#5:4) g5:8 | b5:8' a5' f#5' a5' f#5' d#5' | b5:4.> r""",
    )
    s.write(
        "V2",
        "33",
        " | ".join(repeat(f"{p}:8", 6) for p in ("f#4", "g4", "a4", "b4", "c#5"))
        + " | d#5:8 d#5 d#5 d#5 d#5 d#5 | d#5:4.> r",
    )
    s.write(
        "Va",
        "33",
        " | ".join(repeat(f"{p}:8", 6) for p in ("d#4", "e4", "e4", "g4", "e4"))
        + " | f#4:8 f#4 f#4 f#4 f#4 f#4 | f#4:4.> r",
    )
    s.write("Vc", "33", " | ".join([repeat("b2:8", 6)] * 6) + " | b2:4.> r")
    s.write("Cb", "33", " | ".join(["b1:4. b1"] * 6) + " | b1> r")
    s.write("Fg2", "34", " | ".join(["b2:2."] * 5) + " | b2:4.> r")
    s.write("Fg1", "34", "g3:2. | a3:2. | b3:2. | c#4:2. | d#4:2. | d#4:4.> r")
    s.write("Cl1", "35", "c5:2.( | b4) | e5:2. | f#5:2. | f#5:4.> r")
    s.write("Cl2", "35", "f#4:2.( | g4) | c#5:2. | a4:2. | a4:4.> r")
    s.write("Ob1", "36", "e5:4.( g5) | g5( a#5) | b5:4. a5 | b5> r")
    s.write("Ob2", "35", "a4:2.( | g4:2.) | a#4:4.( e5) | d#5:2. | d#5:4.> r")
    s.write("Co1", "36", "e4:2. | e4:2. | f#4:8 f#4 f#4 b3:4 b3:8 | b3:4.> r")
    s.write("Co2", "36", "b3:2. | g3:2. | b3:8 b3 b3 b3:4 b3:8 | b3:4.> r")
    s.write("Fl1", "36", "r:4. g5:4.~ | g5:4.( a#5) | b5:8( d#6 f#6 a6 f#6 d#6) | f#6:4.> r")
    s.write("Fl2", "36", "r:4. e5:4.~ | e5:4.( g5) | f#5:8( b5 d#6 f#6 d#6 b5) | d#6:4.> r")
    s.write("Tr", "38", "[b4,f#5]:8 [b4,f#5] [b4,f#5] [b4,f#5]:4 [b4,f#5]:8 | [b4,f#5]:4.> r")
    s.write("Ti", "38", "b2:2.=3 | b2:4.> r")
    s.dyn("p", "33:1", STRINGS)
    s.text("cresc.", "34:1", STRINGS)
    s.dyn("p", "34:1", "Fg1 Fg2")
    s.dyn("mf", "35:1", "Cl1 Cl2 Ob2")
    s.dyn("mf", "36:4", "Fl1 Fl2")
    s.dyn("mf", "36:1", f"Ob1 {HORNS} {STRINGS} Fg1 Fg2")
    s.dyn("f", "37:1", f"Fl1 Fl2 Ob1 Ob2 Cl1 Cl2 {STRINGS}")
    s.dyn("ff", "38:1", ALL)


def decorated_return(s: Score) -> None:
    """41-44: clarinet 1 plain, violins I with flowers, at the same height."""
    s.write("Cl1", "41", TUNE)
    s.write(
        "V1",
        "41",
        """
        b4:16( a4 b4 c5 b4 d#5) e5( d#5 e5 g5 f#5 a5)
        | g5( a5 g5 f#5 e5 f#5) d#5( e5 d#5 c#5 b4 a4)
        | c5( b4 c5 d5 e5 c5) a4( b4 a4 g#4 c5 d5)
        | b4( a#4 b4 c#5 d#5 b4) f#4( e4 f#4 a4 b4 a4)""",
    )
    s.write(
        "V2", "41", f"{pulses('g4')} | {pulses('g4', 'f#4')} | {pulses('e4')} | {pulses('d#4')}"
    )
    s.write("Va", "41", f"{pulses('e4')} | {pulses('e4', 'b3')} | {pulses('c4')} | {pulses('b3')}")
    bass = "e3:4. b2 | e3 b2 | a2 a2 | b2 b2"
    s.write("Vc", "41", bass)
    s.write("Cb", "41", octaves(bass, -1))
    s.write("Cl2", "41", "g4:2. | g4:4.( a4) | e4:2. | d#4:4. r")
    s.write("Co1", "41", "e4:2. | e4:4.( b3) | e4:2. | b3:4. r")
    s.write("Co2", "41", "g3:2. | g3:4.( b3) | R | b3:4. r")
    s.dyn("p", "41:1", f"{STRINGS} Cl1")
    s.dyn("pp", "41:1", f"Cl2 {HORNS}")
    s.text("pizz.", "41:1", "Vc Cb")
    s.text("leggiero", "41:1.5", "V1")


def last_tutti(s: Score) -> None:
    """45-48: the second half of the tune, forte; the cadence turns to C."""
    tune = "b4:8.( c5:16 b4:8 e5:4) g5:8 | a5:8.( g5:16 f#5:8 e5:4) c5:8 | b4:4( e5:8 f#5:4 d#5:8)"
    s.write("V1", "45", tune + " | e5:4.> r")
    s.write("Ob1", "45", tune + " | e5:4.> r")
    s.write("Fl1", "45", octaves(tune, 1) + " | e6:4.> r")
    s.write("V2", "45", "g4:8 g4 g4 g4 g4 b4 | a4 a4 a4 a4 a4 a4 | g4 g4 g4 a4 a4 a4 | g4:4.> r")
    s.write("Va", "45", "b3:8 b3 e4 b3 b3 e4 | e4 e4 e4 c4 c4 e4 | e4 e4 e4 b3 b3 b3 | c4:4.> r")
    bass = "e3:4. d3 | c3 a2 | b2 b2 | c3> r"
    s.write("Vc", "45", bass)
    s.write("Cb", "45", octaves(bass, -1))
    s.write("Fg1", "45", bass)
    s.write("Fg2", "45", bass)
    s.write("Fl2", "45", "e5:4. b5 | e5:4. e5 | e5 a5 | g5> r")
    s.write("Ob2", "45", "g4:4. b4 | a4 c5 | b4 a4 | g4> r")
    s.write("Cl1", "45", "e5:4. e5 | e5 c5 | b4 d#5 | e5> r")
    s.write("Cl2", "45", "g4:4. g4 | a4 a4 | g4 f#4 | e4> r")
    s.write("Co1", "45", "e4:8. e4:16 e4:8 e4:4 e4:8 | e4:4. e4 | e4 f#4 | e4> r")
    s.write("Co2", "45", "g3:8. g3:16 g3:8 b3:4 b3:8 | R | g3:4. b3 | g3> r")
    s.write(
        "Tr",
        "45",
        "[b3,e4]:8. [b3,e4]:16 [b3,e4]:8 [b3,e4]:4 [b3,e4]:8 | e4:4. e4 | [b3,e4] b3 | e4> r",
    )
    s.write("Ti", "45", "e3:8. e3:16 e3:8 e3:4 b2:8 | e3:4. r | b2 b2 | e3> r")
    s.text("arco", "45:1", "Vc Cb")
    s.text("a 2", "46:1", "Tr")
    s.text("a 2", "47:4", "Tr")
    s.dyn("f", "45:1", ALL)
    s.dyn("fp", "48:1", STRINGS)


def coda(s: Score) -> None:
    """49-54: the horns, each poor alone, have the whole chord of E minor together."""
    s.write("V1", "49", "c5:8.( d5:16 c5:8 e5:4) c5:8 | b4:4( g4:8 f#4:4 d#4:8) | e4:2. | r")
    s.write("V2", "49", "e4:2. | e4:4.( b3) | b3:2. | r")
    s.write(
        "Va",
        "49",
        "a3:8( c4 e4) a3( c4 e4) | g3( b3 e4) a3( b3 f#3) | g3( b3 e4) g3( b3 e4) | r:2.",
    )
    s.write("Vc", "49", "a2:2. | b2:4.( b2) | e3:2. | r")
    s.write("Cb", "49", "a1:4. a1 | b1 b1 | e2 r | r:2.")
    s.write(
        "Cl1",
        "49",
        "r:2. | r:2. | r:4. r:4 b4:8 | b4:8.( c5:16 b4:8 e5:4) b4:8 | g4:4.( b4) | b4:2.@",
    )
    s.write("Cl2", "52", "g4:2. | e4:2. | g4:2.@")
    s.write("Co1", "50", "b3:2. | e4:8. e4:16 e4:8 b3:4 b3:8 | e4:2. | b3:4.( e4) | e4:2.@")
    s.write("Co2", "50", "g3:4.( b3) | g3:8. g3:16 g3:8 b3:4 b3:8 | g3:2. | g3:4.( b3) | g3:2.@")
    s.write("Ti", "51", "e3:4. r | r:4. e3:8 b2 b2 | e3:4. r | e3:2.=3@")
    s.write("Fg1", "52", "r:4. r:4 b3:8 | b3:8.( c4:16 b3:8 e4:4) b3:8 | e4:2.@")
    s.write("Fg2", "52", "e3:2. | e3:2. | e3:2.@")
    s.write("Ob1", "53", "r:4. e5:4.( | b4:2.@)")
    s.write("Ob2", "52", "r:4. g4:4.( | b4:2. | g4:2.@)")
    s.write("Fl1", "53", "r:4. b5:4.( | g5:2.@)")
    s.write("Fl2", "53", "r:4. g5:4.( | e5:2.@)")
    s.write("V1", "53", "r:4. g4:4 g4:8 | g4:4. r")
    s.write("V2", "53", "r:4. e4:4 e4:8 | e4:4. r")
    s.write("Va", "53", "r:4. b3:4 b3:8 | b3:4. r")
    s.write("Vc", "53", "r:4. e3:4 e3:8 | e2:4. r")
    s.write("Cb", "53", "r:4. e2:4 e2:8 | e1:4. r")
    s.dyn("p", "49:1", STRINGS)
    s.hair(">", "50:1", "50:6.5", STRINGS)
    s.dyn("p", "50:1", HORNS)
    s.dyn("pp", "51:1", "Ti")
    s.dyn("p", "51:6", "Cl1")
    s.dyn("pp", "52:1", "Cl2 Fg2")
    s.dyn("p", "52:6", "Fg1")
    s.dyn("pp", "52:4", "Ob2")
    s.dyn("pp", "53:4", f"Fl1 Fl2 Ob1 {STRINGS}")
    s.text("pizz.", "49:1", "Cb")
    s.text("pizz.", "53:4", "V1 V2 Va Vc")
    s.dyn("pp", "54:1", f"{HORNS} Fg1 Fg2 Cl1 Cl2 Ti")
