"""Second movement: Siciliana, E minor; horn 1 in E, horn 2 in G. All pitches sound as written."""

from __future__ import annotations

from fractions import Fraction

from ..notation import Bar, Score
from ..orchestra import in_e_minor
from . import ending, opening


def bars() -> list[Bar]:
    made = [Bar(str(n), Fraction(3)) for n in range(1, 55)]
    named = {b.label: b for b in made}
    named["1"].tempo = ("Siciliana. Andante con moto", 50, "quarter.")
    for label, letter in (("9", "A"), ("17", "B"), ("25", "C"), ("33", "D"), ("41", "E")):
        named[label].rehearsal = letter
    named["49"].rehearsal = "F"
    named["54"].final = True
    return made


def compose() -> Score:
    s = Score("II. Siciliana", 2, 1, True, 6, 8, in_e_minor(), bars())
    opening.muted_tune(s)
    opening.oboe_and_flute(s)
    opening.cello_tune(s)
    opening.winds_alone(s)
    ending.to_b_minor(s)
    ending.build_up(s)
    ending.decorated_return(s)
    ending.last_tutti(s)
    ending.coda(s)
    return s
