"""Bars 41-74: B minor, the winds alone, the cellos above a bassoon, the build-up."""

from __future__ import annotations

from ..notation import Score, octaves, repeat
from ..orchestra import HORNS, STRINGS
from .figures import long, off


def chain(s: Score) -> None:
    """41-48: fourths up and fifths down in the bass; violins I a step lower every two bars."""
    s.write(
        "V1",
        "41",
        """
        b5:8.( a5:16 f#5:8 d5) | e5:4( g5) | a5:8.( g5:16 e5:8 c#5) | d5:4( f#5)
        | g5:8.( f#5:16 d5:8 b4) | c#5:4( e5) | c#5:8( e5 d5 c#5) | b4:4 r""",
    )
    bass = long("b2", "e3", "a2", "d3", "g2", "c#3", "f#2", "b2")
    s.write("Vc", "41", bass)
    s.write("Cb", "41", octaves(bass, -1))
    upper = ["f#4", "g4", "e4", "f#4", "d4", "e4", "c#4", "d4"]
    lower = ["d4", "b3", "c#4", "a3", "b3", "g3", "a#3", "b3"]
    # the strings break off with the tune, in 47
    for key, pitches in (("V2", [*upper[:6], "e4", "d4"]), ("Va", [*lower[:6], "c#4", "b3"])):
        s.write(key, "41", " | ".join(f"r:8 {p} {p} {p}" for p in pitches))
    s.write("Cl1", "41", long(*upper))
    s.write("Ob2", "41", octaves(long(*upper), 1))
    s.write("Cl2", "41", long(*lower))
    s.dyn("mf", "41:1", "V1 Vc Cb")
    s.dyn("p", "41:1", "Ob2 Cl1 Cl2 V2 Va")


def dialogue(s: Score) -> None:
    """49-52: violins I and oboe 1 in turn; B minor is confirmed."""
    s.write("V1", "49", "b4:16( c#5 d5 e5) f#5:4 | R | d5:16( e5 f#5 g5) a#5:4 | b5 r")
    s.write("Ob1", "50", "c#5:16( d5 e5 f#5) g5:4 | R | d5 r")
    s.write("V2", "49", off("f#4", "e4") + " | f#4:4( e4) | d4 r")
    s.write("Va", "49", off("d4", "a#3") + " | d4:4( c#4) | b3 r")
    bass = "b2:4 r | f#3 r | f#3 f#3 | b2 r"
    s.write("Vc", "49", bass)
    s.write("Cb", "49", octaves(bass, -1))
    s.write("Cl1", "51", "f#4:4( e4) | d4 r")
    s.write("Cl2", "51", "d4:4( c#4) | b3 r")
    s.write("Fg1", "51", "b3:4( a#3) | b3 r")
    s.write("Fg2", "51", "f#3:4 f#3 | b2 r")
    s.write("Co1", "51", "r:4 f#4 | f#4 r")
    s.write("Co2", "52", "b3:4 r")
    s.dyn("mf", "49:1", "V1")
    s.dyn("mf", "50:1", "Ob1")
    s.dyn("mf", "51:1", "Cl1 Cl2 Fg1 Fg2 V2 Va")
    s.dyn("mf", "51:2", "Co1")
    s.dyn("mf", "52:1", "Co2")


def chorale(s: Score) -> None:
    """53-58: the winds in one rhythm; they hold G major, the horns with what they have of it."""
    soprano = "b5:4 a5 | g5 e5 | f#5 g5 | a5 f#5 | g5:2~ | g5"
    alto = "d5:4 d5 | b4 a4 | a4 b4 | c5 c5 | b4:2~ | b4"
    s.write("Fl1 Ob1", "53", soprano)
    s.write("Fl2 Ob2", "53", alto)
    s.write("Cl1", "53", "g4:4 f#4 | e4 e4 | d4 d4 | e4 d4 | d4:2~ | d4")
    tenor = "d4:4 d4 | g3 c#4 | d4 b3 | a3 a3"
    s.write("Cl2", "53", tenor + " | d4:2~ | d4")
    s.write("Fg1", "53", tenor + " | b3:2~ | b3")
    s.write("Fg2", "53", "g3:4 d3 | e3 a2 | d3 g2 | c3 d3 | g2:2~ | g2")
    s.write("Co1", "57", "d4:2~ | d4")
    s.write("Co2", "57", "b3:2~ | b3")
    s.dyn("p", "53:1", "Fl1 Fl2 Ob1 Ob2 Cl1 Cl2 Fg1 Fg2")
    s.dyn("p", "57:1", HORNS)
    s.text("Sol muta in La", "53:1", "Ti")
    s.hair(">", "57:1", "58:2.5", "Fl1 Ob1")


def cellos(s: Score) -> None:
    """59-66: the cellos above bassoon 2; E minor, F sharp minor, G major are touched."""
    s.clef("tenor", "59", "Vc")
    s.clef("bass", "67", "Vc")
    s.write(
        "Vc",
        "59",
        """
        f#4:8.( e4:16 d#4:8 b3) | e4:4( b3) | g#4:8.( f#4:16 e#4:8 c#4) | f#4:4( c#4)
        | a4:8.( g4:16 f#4:8 d4) | g4:4( d4) | d4:8( f#4) d4( b3) | c#4:4 r""",
    )
    s.write("Fg2", "59", long("d#3", "e3", "e#3", "f#3", "f#3", "g3", "b2") + " | a2:4 r")
    s.write("Fg1", "59", long("a3", "g3", "b3", "a3", "c4", "b3", "f#3") + " | a3:4 r")
    s.write("V1", "59", off("b4", "b4", "c#5", "c#5", "d5", "d5", "f#5") + " | e5:4 r")
    s.write("V2", "59", off("f#4", "e4", "g#4", "f#4", "a4", "g4", "d5") + " | c#5:4 r")
    s.write("Va", "59", off("a3", "g3", "b3", "a3", "c4", "b3", "b3") + " | e4:4 r")
    s.text("espressivo", "59:1", "Vc")
    s.dyn("mf", "59:1", "Vc")
    s.dyn("p", "59:1", "Fg1 Fg2 V1 V2 Va")


def build_up(s: Score) -> None:
    """67-74: A in the bass, one layer after the other; no mark but piano."""
    s.write("Vc", "67", " | ".join([repeat("a2:8", 4)] * 8))
    s.write("Cb", "67", " | ".join(["a1:4 a1"] * 8))

    def broken(a: str, b: str, c: str) -> str:
        return f"{a}:16 {b} {c} {b} {a} {b} {c} {b}"

    s.write(
        "Va",
        "67",
        " | ".join(
            (
                broken("a3", "c#4", "e4"), broken("a3", "d4", "f#4"), broken("a3", "c#4", "g4"),
                broken("a3", "d4", "f#4"), broken("b3", "d4", "g4"), broken("a3", "d4", "f#4"),
                broken("b3", "d4", "g#4"), broken("a3", "c#4", "g4"),
            )
        ),
    )  # fmt: skip
    syncopes = ["f#4", "g4", "a4", "b4", "d5", "d5", "c#5"]
    s.write("V2", "68", " | ".join(f"{p}:8 {p}:4 {p}:8" for p in syncopes))
    s.write(
        "V1",
        "69",
        """
        e5:8. e5:16 e5:8 g5 | f#5:8. f#5:16 f#5:8 a5 | g5:8. g5:16 g5:8 b5
        | a5:8. a5:16 a5:8 d6 | b5:8. b5:16 b5:8 e6 | c#6:8. c#6:16 c#6:8 g6""",
    )
    s.write("Cl1", "70", off("d5", "d5", "d5", "e5", "e5"))
    s.write("Cl2", "70", off("f#4", "g4", "f#4", "g#4", "g4"))
    s.write("Fg1", "71", long("d4", "d4", "d4", "c#4"))
    s.write("Fg2", "71", long("g3", "f#3", "e3", "e3"))
    s.write("Ob1", "72", long("a5", "b5", "a5"))
    s.write("Ob2", "72", long("f#5", "e5", "e5"))
    s.write("Fl1", "73", "e6:2 | a6")
    s.write("Fl2", "73", "d6:2 | c#6")
    s.write("Co1", "73", "e4:8 e4 e4 e4 | e4 e4 e4 e4")
    s.write("Co2", "73", "b3:4 b3 | r:2")
    s.write("Ti", "72", "a2:4 r | a2 r | a2:8 a2 a2 a2")
    s.dyn("p", "67:1", "Vc Cb Va")
    for key, bar in (
        ("V2", "68"), ("V1", "69"), ("Cl1 Cl2", "70"), ("Fg1 Fg2", "71"), ("Ob1 Ob2 Ti", "72"),
        ("Fl1 Fl2 Co1 Co2", "73"),
    ):  # fmt: skip
        s.dyn("p", f"{bar}:1", key)
    s.text("sempre piano", "67:1", STRINGS)
