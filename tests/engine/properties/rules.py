"""What each change of a score does to each analysis: the list.

Written from the purpose of each kind: what a player of another key, another page or another way of
writing the same notes would still read. A line that is not plain says why.

=========  ==========================================================================
rule       the facts after the change
=========  ==========================================================================
SAME       are the facts before it
MOVES      are those before it with each key, root and pitch moved
GROUPS     are those before it, though of lines that double each other another may be named
NEARLY     are those before it in four bars of five, line by line, as in GROUPS, confidence apart
LOOSELY    the same in half of the bars: what is built on roles
SHARED     are those before it but for what is said of the staff itself
OTHER      may be others, and are so in at least one of the tables
=========  ==========================================================================
"""

from __future__ import annotations

from dataclasses import dataclass

SAME, MOVES, GROUPS = "SAME", "MOVES", "GROUPS"
NEARLY, LOOSELY, SHARED, OTHER = "NEARLY", "LOOSELY", "SHARED", "OTHER"

#: changes of `changes` and `splitting`
CHANGES = ("transposed", "reordered", "split", "silent", "together")


@dataclass(frozen=True)
class Rules:
    """A rule for each change; `why` argues those that are not SAME."""

    transposed: str = SAME
    reordered: str = SAME
    split: str = SAME
    silent: str = SAME
    together: str = SAME
    why: str = ""


RULES: dict[str, Rules] = {
    "playing": Rules(
        transposed=OTHER,
        silent=OTHER,
        why="natural brass without an open tone does not spoil a tutti, and which tones are open "
        "depends on the key; a part that rests throughout is told, and the winds that play are "
        "then not all there are",
    ),
    "share": Rules(),
    "doubling": Rules(
        reordered=GROUPS,
        together=SHARED,
        why="which line of a group is the one doubled is the first on the page, strings before "
        "others; two players of one staff in unison are a 2, no doubling by others",
    ),
    "reinforcement": Rules(reordered=GROUPS, why="told once of lines that go together"),
    "reinforcement-accents": Rules(
        reordered=OTHER, why="told of the line that leads, whose place on the page has a say"
    ),
    "parallel": Rules(),
    "crossing": Rules(reordered=OTHER, why="upper and lower are places on the page"),
    "range": Rules(transposed=MOVES, why="extremes are pitches"),
    "register": Rules(transposed=OTHER, why="registers have fixed bounds on each instrument"),
    "open-tones": Rules(transposed=OTHER, why="the crooks stay while the notes move"),
    "layout": Rules(
        silent=OTHER,
        together=OTHER,
        why="a part more; the staff of two players is one part",
    ),
    "key": Rules(transposed=MOVES),
    "role": Rules(
        transposed=NEARLY,
        reordered=NEARLY,
        why="how high a line lies is one of the measures, and a bass line lies below D4; so is "
        "its place on the page, for whether it leads: the trained models know both",
    ),
    "texture": Rules(
        transposed=NEARLY,
        reordered=OTHER,
        why="made of roles, whole spans of it, and roles know the page; of lines that double each "
        "other one is named",
    ),
    "continuity": Rules(),
    "sides-with": Rules(transposed=NEARLY, why="siding by role is made of roles"),
    "handover": Rules(
        transposed=NEARLY,
        reordered=LOOSELY,
        why="made of roles; of lines that double each other one is named",
    ),
    "course": Rules(),
    "pair": Rules(why="of three and more parts of one instrument neighbours on the page are pairs"),
    "chord": Rules(transposed=MOVES),
    "key-route": Rules(transposed=MOVES),
    "tonicisation": Rules(transposed=MOVES),
    "cadence": Rules(transposed=MOVES, why="its chord moves"),
    "pedal": Rules(transposed=MOVES),
    "brass-chord": Rules(transposed=OTHER, why="open tones of another chord"),
    "brass-key": Rules(transposed=OTHER, why="open tones in another key"),
    "brass-joint": Rules(transposed=OTHER, why="open tones in another key"),
    "drums": Rules(transposed=OTHER, why="drums that move are tuned anew, or not drums any more"),
    "real-bass": Rules(
        why="but that a low part sounds above one which stands over it: a place on the page"
    ),
    "sequence": Rules(),
    "imitation": Rules(reordered=GROUPS, why="one of a group is named as the entry"),
    "comparison": Rules(),
    "build-up": Rules(
        why="a staff has one dynamic: where two players' marks contradict each other, putting them "
        "on one staff makes another text, and loudness may differ"
    ),
}
