"""Who predominates. Bars and notes are counted here by hand; the tune by hand-made findings."""

from __future__ import annotations

from functools import cache

from analysis.engine.model import Doubt, ScoreTable
from tests.engine.claims.asking import role
from tests.engine.claims.cases import Case, changed
from tests.engine.claims.pieces import forces
from tests.engine.tables import table


@cache
def eight() -> ScoreTable:
    """Eight bars. Vl plays in all, a semibreve each (8 notes); Vc in all (8).

    Fl plays in 1-4 only, eight quavers a bar (32 notes); Ob in 1-8 but 5, a semibreve (7); Cor in
    1-2 (2).
    """
    long = " | ".join(["C5 w"] * 8)
    return table(
        {
            "Fl": " | ".join(["C6 e D6 E6 F6 G6 F6 E6 D6"] * 4 + ["r"] * 4),
            "Ob": " | ".join(["E5 w"] * 4 + ["r"] + ["E5 w"] * 3),
            "Cor in C": " | ".join(["G4 w"] * 2 + ["r"] * 6),
            "Vl": long,
            "Vc": long.replace("5", "3"),
        }
    )


def tunes(made: ScoreTable, sure: float = 0.9) -> list:
    """The flute has the tune in 1-5, the violin in 6-8."""
    return [role(made, 0, 0, 4, "melody", sure), role(made, 3, 5, 7, "melody", sure)]


def unsure(made: ScoreTable) -> list:
    return tunes(made, 0.5)


ALL = ["1", "8"]


@cache
def with_a_harp() -> ScoreTable:
    """Harp and piano in all four bars, the violin in one."""
    four = "C4 w | C4 | C4 | C4"
    return table({"Arp": four, "Pf": f"{four} ", "Vl": "E5 w | r | r | r"})


CASES = [
    Case("every family has a name: the piano plays as often as the harp", "partly", with_a_harp,
         ["1", "4"], (), {"of": "bars", "predominant": "keyboard"},
         says="keyboard 4, the plucked strings 4. Neither predominates."),
    Case("the harp against the violin", "agrees", lambda: table({"Arp": "C4 w | C4", "Vl": "E5 w"}),
         ["1", "2"], (), {"of": "bars", "predominant": "plucked"}),
    Case("flute 32 and oboe 7 notes against 16 of the strings", "agrees",
         eight, ALL, (), {"of": "notes", "predominant": "woodwind"},
         says="Notes, of 57: woodwind 39, the strings 16."),
    Case("in bars 5-8 the strings have 8 notes, the oboe 3", "agrees", eight, ["5", "8"], (),
         {"of": "notes", "predominant": "strings"}),
    Case("the flute among the parts: 32 notes", "agrees", eight, ALL, (),
         {"of": "notes", "predominant": "Fl"}, says="Fl 32, Vl 8"),
    Case("strings in eight bars, oboe and flute in seven", "agrees", eight, ALL, (),
         {"of": "bars", "predominant": "Streicher"},
         says="Bars played, of 8: Streicher 8, the woodwind 7."),
    Case("the flute has it in five bars of eight", "agrees", eight, ALL, (),
         {"of": "melody", "predominant": "winds"}, find=tunes, says="winds 5, the strings 3"),
    Case("in bars 3-4 every family plays in both bars", "partly", forces,
         ["3", "4"], (), {"of": "bars", "predominant": "strings"},
         says="Neither predominates."),
    Case("strings 16, wood-wind 39 notes", "conflicts", eight, ALL, (),
         {"of": "notes", "predominant": "strings"}, says="the woodwind 39"),
    Case("the horn plays in two bars", "conflicts", eight, ALL, (),
         {"of": "bars", "predominant": "horn"}),
    Case("the tune, not surely", "ear", eight, ALL, (),
         {"of": "melody", "predominant": "strings"}, find=unsure),
    Case("no tune was found", "ear", eight, ALL, (),
         {"of": "melody", "predominant": "strings"}, find=lambda made: []),
    Case("a part whose name is in doubt", "ear",
         lambda: changed(eight(), "Ob", Doubt("name", "oboe or clarinet?")), ALL, (),
         {"of": "notes", "predominant": "Ob"}, cause="unconfirmed-part"),
    Case("the strings have not most notes", "agrees", eight, ALL, (),
         {"of": "notes", "predominant": "strings", "negated": True}),
    Case("but the wood-wind have", "conflicts", eight, ALL, (),
         {"of": "notes", "predominant": "woodwind", "negated": True}),
]  # fmt: skip

TYPED = {"predominant": "strings", "of": "notes"}
CLAIM = {"parts": [], "predominant": "strings", "of": "notes"}
