"""Open tones: trade facts 3.4 and 3.5."""

from __future__ import annotations

from functools import cache

from analysis.engine.model import Doubt, ScoreTable
from tests.engine.claims.cases import Case, changed
from tests.engine.claims.test_open_tones import piece
from tests.engine.written import Part, table

#: a tone is open, is not, or is the ear's: nothing lies between
NEVER = {"partly"}


@cache
def in_b() -> ScoreTable:
    """A horn whose label names its B in German: partials 4, 5, 6 sound B flat, D, F."""
    return table(
        Part("Corno in B basso", "C5 w | G4", transpose=(-14, -8)),
        Part("Violoncello", "Bb2 w | F3", clef="F4", key=-2),
    )


CASES = [
    Case("reckoned from B natural, though the B is B flat", "conflicts", in_b, ["1", "2"],
         ["Corno"], {"pitches": ["B3", "D#4", "F#4"]}, cause="german-b"),
    Case("E, B, G sharp are partials 4, 3, 5 of a horn in E", "agrees", piece, ["1", "4"],
         ["Cor in E 1"], {"crook": "E", "pitches": ["E", "B", "G#"]}),
    Case("A is no partial of E but the raised eleventh", "conflicts", piece, ["1", "4"],
         ["Cor in G"], {"crook": "G", "pitches": ["Ab"]}),
    Case("a doubtful crook", "ear",
         lambda: changed(piece(), "Cor in D", Doubt("pitch", "in D?")), ["1", "4"], ["Cor in D"],
         {"crook": "D", "pitches": ["D"]}, cause="unconfirmed-part"),
]  # fmt: skip

TYPED = {"parts": "Cor in D", "crook": "D", "says": "pitches", "notes": "D, A"}
CLAIM = {"parts": ["Cor in D"], "crook": "D", "pitches": ["D", "A"]}
