"""Two places compared: who plays in each is read from the bars."""

from __future__ import annotations

from functools import cache

from analysis.engine.model import Doubt, ScoreTable
from tests.engine.claims.cases import Case, changed
from tests.engine.claims.pieces import forces
from tests.engine.tables import table


@cache
def theme() -> ScoreTable:
    """Theme in 1-4 (Vl, Vc, Ob), again in 5-8: Fl and Cl added, Ob left out; in 9-12 as in 5-8.

    Fg plays in bar 1 and in all of 5-8; Cor nowhere.
    """
    tune = "C5 q D5 E5 F5 | G5 E5 D5 C5 | E5 D5 C5 D5 | C5 w"
    four = "r | r | r | r"
    return table(
        {
            "Fl": f"{four} | {tune} | {tune}".replace("5", "6"),
            "Ob": f"{tune} | {four} | {four}",
            "Cl": f"{four} | {tune} | {tune}".replace("5", "4"),
            "Fg": f"C3 q r h | r | r | r | {tune} | {tune}".replace("5", "3"),
            "Cor in F": f"{four} | {four} | {four}",
            "Vl": f"{tune} | {tune} | {tune}",
            "Vc": f"{tune} | {tune} | {tune}".replace("5", "3"),
        }
    )


AGAIN = {"bars2": ["5", "8"]}
CASES = [
    Case("flute and clarinet rest in 1-4 and play in 5-8", "agrees", theme, ["1", "4"], (),
         {**AGAIN, "added": ["Fl", "Cl"]},
         says="Fl and Cl rest in bars 1–4 and play in bars 5–8."),
    Case("the oboe drops out", "agrees", theme, ["1", "4"], (), {**AGAIN, "left": ["oboe"]}),
    Case("both at once", "agrees", theme, ["1", "4"], (),
         {**AGAIN, "added": ["Fl", "Cl"], "left": ["Ob"]}),
    Case("5-8 and 9-12 have the same parts", "agrees", theme, ["5", "8"], (),
         {"bars2": ["9", "12"]}, says="The same parts play in bars 5–8 and bars 9–12."),
    Case("the winds of 3-4 are added to the strings", "agrees", forces, ["1", "2"], (),
         {"bars2": ["3", "4"], "added": ["winds", "timpani"]}),
    Case("the clarinet is added as well: not complete", "partly", theme, ["1", "4"], (),
         {**AGAIN, "added": ["Fl"]}, says="New there: Cl."),
    Case("the bassoon had one bar of the first place", "partly", theme, ["1", "4"], (),
         {**AGAIN, "added": ["Fl", "Cl", "Fg"]}, says="in fewer of its bars"),
    Case("one bar late in both places: bar 5 belongs to the return", "partly", theme, ["2", "5"],
         (), {"bars2": ["6", "9"], "added": ["Fl", "Cl"], "left": ["Ob"]}, cause="bar-offset"),
    Case("the cello plays in both", "conflicts", theme, ["1", "4"], (), {**AGAIN, "added": ["Vc"]},
         says="Vc plays in both places."),
    Case("the horn plays in neither", "conflicts", theme, ["1", "4"], (),
         {**AGAIN, "added": ["Cor in F"]}, says="Cor in F rests in both places."),
    Case("the oboe goes, it does not come", "conflicts", theme, ["1", "4"], (),
         {**AGAIN, "added": ["Ob"]}, says="Ob plays in bars 1–4 and rests in bars 5–8."),
    Case("not the same parts", "conflicts", theme, ["1", "4"], (), AGAIN,
         says="Left out there: Ob."),
    Case("another score", "ear", theme, ["1", "4"], (),
         {"bars2": {"from": {"bar": "1"}, "to": {"bar": "4"}, "score": "an earlier version"},
          "added": ["Fl"]}),
    Case("a part whose name is in doubt", "ear",
         lambda: changed(theme(), "Fl", Doubt("name", "flute or piccolo?")), ["1", "4"], (),
         {**AGAIN, "added": ["Fl"]}, cause="unconfirmed-part"),
    Case("no such bar", "ear", theme, ["1", "4"], (), {"bars2": ["99"], "added": ["Fl"]},
         cause="not-understood"),
    Case("the bassoon is not new", "agrees", theme, ["1", "4"], (),
         {**AGAIN, "added": ["Fg"], "negated": True}),
    Case("the flute is", "conflicts", theme, ["1", "4"], (),
         {**AGAIN, "added": ["Fl"], "negated": True}),
]  # fmt: skip

TYPED = {"bars2": " 41-48 ", "added": "Fl, Ob", "left": ""}
CLAIM = {"parts": [], "bars2": ["41", "48"], "added": ["Fl", "Ob"], "left": []}
