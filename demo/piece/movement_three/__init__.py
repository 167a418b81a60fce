"""Third movement: Rondò, D major; horn 1 in D, horn 2 in G. All pitches sound as written."""

from __future__ import annotations

from fractions import Fraction

from ..notation import Bar, Score
from ..orchestra import in_d_and_g
from . import ending, middle, opening


def bars() -> list[Bar]:
    made = [Bar(str(n), Fraction(2)) for n in range(1, 101)]
    named = {b.label: b for b in made}
    named["1"].tempo = ("Rondò. Allegretto", 92, "quarter")
    marks = zip(
        ("9", "17", "25", "41", "53", "59", "67", "75", "83", "89"), "ABCDEFGHIK", strict=True
    )
    for label, letter in marks:
        named[label].rehearsal = letter
    named["24"].double = named["52"].double = True
    named["100"].final = True
    return made


def compose() -> Score:
    s = Score("III. Rondò", 3, 2, False, 2, 4, in_d_and_g(), bars())
    opening.theme(s)
    opening.varied(s)
    opening.forte(s)
    opening.clarinets(s)
    opening.held(s)
    middle.chain(s)
    middle.dialogue(s)
    middle.chorale(s)
    middle.cellos(s)
    middle.build_up(s)
    ending.theme_returns(s)
    ending.canon(s)
    ending.thinning(s)
    ending.close(s)
    return s
