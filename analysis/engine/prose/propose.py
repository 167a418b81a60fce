"""The proposal: one kind, its fields, and what has to be asked before it can be taken."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from analysis.engine.claims.registry import KINDS
from analysis.engine.claims.schema import read_claim
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.model import ScoreTable
from analysis.engine.prose.agreement import differing
from analysis.engine.prose.doubts import doubts
from analysis.engine.prose.evidence import Trained, ranked
from analysis.engine.prose.kinds.registry import READERS
from analysis.engine.prose.leftaside import shorter
from analysis.engine.prose.phrase import Found
from analysis.engine.prose.sentence import Sentence
from analysis.engine.prose.shorten import LONGEST, names_somebody, read_sentence
from analysis.engine.prose.slots.registry import FILLERS

JSON = dict[str, Any]
#: Share of a kind among those whose fields are all there, from which a sentence is taken for it.
SURE_OF_KIND = 0.75
#: Probability a kind must have by itself.
LEAST = 0.1
#: Probability below which a kind is not tried.
THINKABLE = 0.05


@dataclass(frozen=True, slots=True)
class Proposal:
    """`claim` as JSON, without id; None where no kind was recognised.

    `questions` are for the person who typed; with none of them the claim is whole. `notes` tell
    how something was taken that customs differ on, and ask nothing.
    """

    claim: JSON | None
    questions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def sure(self) -> bool:
        return self.claim is not None and not self.questions


def propose(text: str, table: ScoreTable, movement: int = 0) -> Proposal:
    """Read one sentence about a score.

    Parameters
    ----------
    text : str
        As typed; English turns of phrase, part names in any language of the name book.
    table : ScoreTable
    movement : int, default 0
        0-based: the movement on the page.

    Returns
    -------
    Proposal
        "bars" is missing in the claim where the sentence names none.
    """
    whole = read(read_sentence(text, table, movement))
    if whole.sure:
        return whole
    for left, aside in shorter(
        text[:LONGEST], lambda piece: names_somebody(piece, table, movement)
    ):
        said = read(read_sentence(left, table, movement))
        if said.sure:
            return replace(said, notes=(*said.notes, f"Left aside: “{aside.strip(' ,.()')}”."))
    return whole


def read(s: Sentence) -> Proposal:
    """Both readings of a sentence, held against each other."""
    turned, weighed = by_turns(s), by_weight(s)
    if not weighed.sure:
        return turned if turned.claim or not weighed.claim else weighed
    if not turned.sure or turned.claim is None or weighed.claim is None:
        return weighed
    differ = differing(turned.claim, weighed.claim, s)
    if not differ:
        return turned
    asked = f"Read in two ways ({', '.join(differ)}): put it differently, or fill in the form."
    return replace(turned, questions=(_which(turned, weighed) if differ == ["kind"] else asked,))


def _which(*proposals: Proposal) -> str:
    kinds = [p.claim["kind"].replace("-", " ") for p in proposals if p.claim]
    return f"What do you say of it: {' or '.join(kinds)}?"


def by_turns(s: Sentence) -> Proposal:
    """By the first kind whose turns of phrase occur."""
    for kind, reader in READERS:
        found = reader(s)
        if found is not None:
            return _proposal(kind, found, s)
    asked = [f"Which part is meant: {g.question}" for g in s.groups if g.question]
    return Proposal(None, tuple(dict.fromkeys([*s.questions, *asked])), s.notes)


def by_weight(s: Sentence, trained: Trained | None = None) -> Proposal:
    """By the kind that everything said speaks for, its fields looked for wherever they stand."""
    made = []
    for likely, kind in ranked(s, trained):
        if likely < THINKABLE:
            break
        found = FILLERS[kind](s)
        if found is not None:
            made.append((likely, _proposal(kind, found, s)))
    if not made:
        return Proposal(None, s.questions, s.notes)
    likely, proposal = made[0]
    if likely >= max(LEAST, SURE_OF_KIND * sum(each for each, _ in made)) or not proposal.sure:
        return proposal
    return replace(proposal, questions=(_which(*(each for _, each in made)),))


def _proposal(kind: str, found: Found, s: Sentence) -> Proposal:
    questions = [*s.questions, *found.questions, *doubts(kind, found, s)]
    claim: JSON = {"kind": kind, "movement": s.movement + 1, **found.fields}
    if s.places and "bars" not in claim and KINDS[kind].form.bars:
        claim["bars"] = s.places[0]
        if len(s.places) > 1:
            questions.append("Two places: say each as a statement of its own.")
    if claim.setdefault("negated", s.negated) is False:
        del claim["negated"]
    if not questions:
        questions += _missing(claim, s)
    return Proposal(claim, tuple(dict.fromkeys(questions)), (*s.notes, *found.told))


def _missing(claim: JSON, s: Sentence) -> list[str]:
    """What the kind itself still wants. Bars may come from the form."""
    whole = claim if "bars" in claim else {**claim, "bars": [s.table.bars[0].label]}
    try:
        read_claim(whole)
    except ClaimNotUnderstood as question:
        return [str(question)]
    return []
