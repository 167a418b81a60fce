"""First movement: Marcia, D major. All pitches sound as written here."""

from __future__ import annotations

from fractions import Fraction

from ..notation import Bar, Score
from ..orchestra import in_d
from . import ending, middle, opening


def bars() -> list[Bar]:
    labels = ["0", *map(str, range(1, 16)), "16a", "16b", *map(str, range(17, 57))]
    made = [Bar(label, Fraction(4)) for label in labels]
    named = {b.label: b for b in made}
    named["0"].length, named["0"].implicit = Fraction(1), True
    named["0"].tempo = ("Marcia. Allegro moderato", 112, "quarter")
    named["1"].repeat_forward = True
    named["16a"].ending, named["16a"].repeat_back = "1", True
    named["16b"].ending, named["16b"].double = "2", True
    for label, letter in (("9", "A"), ("17", "B"), ("25", "C"), ("33", "D"), ("41", "E")):
        named[label].rehearsal = letter
    named["56"].final = True
    return made


def compose() -> Score:
    s = Score("I. Marcia", 1, 2, False, 4, 4, in_d(), bars())
    opening.theme(s)
    opening.oboe_sequence(s)
    opening.first_tutti(s)
    middle.bassoon_solo(s)
    middle.oboes_in_thirds(s)
    middle.imitation(s)
    middle.build_up(s)
    ending.theme_returns(s)
    ending.coda(s)
    ending.wind_band(s)
    ending.one_line(s)
    ending.close(s)
    return s
