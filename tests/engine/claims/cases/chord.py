"""Chords and their members, counted from the notes written down here."""

from __future__ import annotations

from functools import cache

from analysis.engine.model import Doubt, ScoreTable
from tests.engine.claims.cases import Case, changed
from tests.engine.tables import table


@cache
def chords() -> ScoreTable:
    """A chord a bar: 1 C, 2 G7 with B in the bass, 3 Am, 4 C and G (half a bar each), 5 a unison C.

    6: a diminished seventh on F#; 7: A flat, with B flat on the drum; 8: A and E alone; 9: C, E, G,
    A together. Cor in F rests in 1-2, and sounds E4 in 3 (written B4).
    """
    return table(
        {
            "Fl": "E5 w | F5 | C5 | E5 h D5 | C5 w | Eb5 | C5 | E5 | E5",
            "Ob": "C5 w | D5 | A4 | C5 h B4 | C5 w | C5 | Ab4 | A4 | C5",
            "Cl": "G4 w | G4 | E4 | G4 h G4 | C4 w | A4 | Eb4 | E4 | G4",
            "Cor in F": "r | r | E4 w | G4 h G4 | C4 w | A3 | Eb4 | A3 | A3",
            "Timp": "r | r | r | r | r | r | Bb2 w | r | r",
            "Vla": "C4 w | D4 | C4 | C4 h D4 | C4 w | C4 | C4 | A3 | E4",
            "Vc": "C3 w | B2 | A2 | C3 h G2 | C3 w | F#2 | Ab2 | A2 | C3",
        }
    )


CASES = [
    Case("C, E, G over C", "agrees", chords, ["1"], (),
         {"root": "C", "quality": "major", "inversion": 0},
         says="In bar 1 there is C major in root position."),
    Case("G7 over its third", "agrees", chords, ["2"], (),
         {"root": "G", "quality": "V7", "inversion": 1}),
    Case("E is the third of C, G its fifth", "agrees", chords, ["1"], (),
         {"root": "C", "quality": "Dur", "member": {"Fl": "third", "Cl": "fifth"}},
         says="Fl has the third (E5). Cl has the fifth (G4)."),
    Case("A flat major; the drum strikes B flat", "agrees", chords, ["7"], (),
         {"root": "Ab", "quality": "major", "member": {"Timp": "foreign"}},
         says="Timp has a foreign note (Bb2)."),
    Case("F#, A, C, Eb: its notes stand in equal steps, each may be the root", "agrees", chords,
         ["6"], (), {"root": "C", "quality": "dim7"}, says="The same notes in another spelling"),
    Case("the first half of bar 4", "agrees", chords, {"from": {"bar": "4", "beat": 1},
         "to": {"bar": "4", "beat": 2}}, (), {"root": "C", "quality": "major"}),
    Case("the bass has B, not G", "partly", chords, ["2"], (),
         {"root": "G", "quality": "dominant seventh", "inversion": 0},
         says="in first inversion (third in the bass)"),
    Case("G7 with its seventh left unsaid", "partly", chords, ["2"], (),
         {"root": "G", "quality": "major"}, says="a dominant seventh on G"),
    Case("the first attack of bar 4 is C, the last G: either is right of the bar", "agrees",
         chords, ["4"], (), {"root": "C", "quality": "major"}, says="beats 3 to 4 there is G"),
    Case("beats 1 to 3 of bar 4: two of them are C", "partly", chords,
         {"from": {"bar": "4", "beat": 1}, "to": {"bar": "4", "beat": 3}}, (),
         {"root": "C", "quality": "major"}, says="It holds for 67 % of these beats."),
    Case("one of three members is another", "partly", chords, ["1"], (),
         {"root": "C", "member": {"Fl": "third", "Ob": "fifth", "Cl": "fifth"}},
         says="Ob has the root (C5)."),
    Case("the chord stands one bar earlier", "partly", chords, ["3"], (),
         {"root": "G", "quality": "dominant seventh"}, cause="bar-offset"),
    Case("A, C, E is A minor", "conflicts", chords, ["3"], (), {"root": "F", "quality": "major"},
         says="In bar 3 there is A minor in root position."),
    Case("minor for major", "conflicts", chords, ["1"], (), {"root": "C", "quality": "minor"}),
    Case("the flute's E is the third of C", "conflicts", chords, ["1"], (),
         {"root": "C", "member": {"Fl": "fifth"}}, says="Fl has the third (E5)."),
    Case("the horn rests", "conflicts", chords, ["1"], (),
         {"root": "C", "member": {"Cor in F": "fifth"}}, says="Cor in F rests there."),
    Case("A and E alone: two notes of several chords", "ear", chords, ["8"], (),
         {"root": "F", "quality": "major seventh"}),
    Case("C, E, G, A is C with a sixth or A minor with a seventh", "partly", chords, ["9"], (),
         {"root": "C", "quality": "major"}),
    Case("a part not confirmed", "ear",
         lambda: changed(chords(), "Cor in F", Doubt("pitch", "which crook?")), ["3"], (),
         {"root": "A", "member": {"Cor in F": "fifth"}}, cause="unconfirmed-part"),
    Case("no such word", "ear", chords, ["1"], (), {"quality": "glorious"},
         cause="not-understood"),
    Case("nowhere F minor in 1-3", "agrees", chords, ["1", "3"], (),
         {"root": "F", "quality": "minor", "negated": True}),
    Case("there is an A minor in 3", "conflicts", chords, ["1", "3"], (),
         {"root": "A", "quality": "minor", "negated": True}, says="exception: bar 3"),
]  # fmt: skip

TYPED = {"root": "C", "quality": "major", "inversion": "1", "parts": "Fl, Ob", "member": "third"}
CLAIM = {
    "parts": [], "root": "C", "quality": "major", "inversion": 1,
    "member": {"Fl": "third", "Ob": "third"},
}  # fmt: skip
