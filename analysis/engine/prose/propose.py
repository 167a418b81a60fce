"""The proposal: one kind, its fields, and what has to be asked before it can be taken."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Any

from analysis.engine.claims.registry import KINDS
from analysis.engine.claims.schema import read_claim
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.instruments.names import parse_label
from analysis.engine.model import ScoreTable
from analysis.engine.prose.asides import as_it_sounds, without_remarks
from analysis.engine.prose.bars import Cut, cut_places
from analysis.engine.prose.distance import mark_distances
from analysis.engine.prose.kinds.registry import READERS
from analysis.engine.prose.phrase import Found, groups_in
from analysis.engine.prose.sentence import Group, Sentence
from analysis.engine.prose.spelling import unknown_names
from analysis.engine.prose.who import mark_names

JSON = dict[str, Any]
#: Kinds in which octave words have a field.
DISTANT = frozenset({"doubling", "layout", "course"})
LONGEST = 600  # characters that are looked at: a statement is one sentence

_NOT = re.compile(
    r"\b(?:(?:do|does|did|is|are|was|were|has|have|ca|can|could|wo|would)\s*n[o']?t"
    r"|(?:do|does|did|is|are|was|were|has|have|can|could|will) not|cannot|never|no longer|not|nicht"
    r"|ne(?= \w+ pas)|n'(?=\w+ pas)|pas(?= )|non(?= \w)|neither(?: of)?(?! \w+ nor)"
    r"|(?:stops?|stopped|ceases? to) (?=doubl)"
    r"|no (?=(?:real |parallel )?(?:cross(?:ing|es)|handover|sequence|build|pedal|tutti|thirds|sixths|tenths)))"
    r"(?:\b|(?<=\s)|(?<='))(?! only)(?! (?:all|every(?:body|one|thing)?|always|quite|entirely|completely|exactly)\b)"
)
_PRONOUN = re.compile(r"\b(they|them|both|these|those|he|she)\b(?! <)|^(?:@\s*[:,]?\s*)?(it)\b")
_HARDLY = re.compile(r"\b(hardly|scarcely|barely|rarely|seldom)\b")
#: Words before a name that take a part of those who are named: who is left is asked, never guessed.
_SOME_OF = re.compile(
    r"\b((?:one|two|three|some|most|half|part|the rest|rest|the remainder|a few|any|each|leader|desks?|first desk"
    r"|back desks?) of|half|other|remaining|outside|inside|nearly all|almost all)\s+(?:of )?(?:the )?<(\d+)>"
)
_SOME_HEIGHT = re.compile(
    r"\b(high|higher|highest|upper|top|low|lower|lowest|deep|bottom|inner|outer|middle|solo|principal|lead)"
    r"\s+<(\d+)>"
)
_EITHER = re.compile(
    r"<\d+>\s*(?:[,(]\s*)?(?:or|oder|ou|/ ?or)\s+(?:the )?(?:<\d+>|\d|(?:first|second|1st|2nd|i{1,3})\b)"
)
#: A number that hangs on a name and was not taken for one: another player.
_NUMBER_LEFT = re.compile(
    r"<\d+>\s*(?:,\s*and|,|and|&|/|-|\+|to|through)?\s*\b([2-8]|i{1,3}|iv)\b(?!\s*(?:\[|bars?|beats?|times|notes|parts))"
)
_BUT = re.compile(r"\b(?:but|except(?: for)?|apart from|other than|besides|save)\s+(?:for )?<\d+>")
#: A word that stands in a list of parts and is none: a name that was not understood.
_AND_WHO = re.compile(
    r"<\d+>\s*(?:and|&|\+|,\s*and)\s+(?!(?:then|also|so|not|no|is|are|was|has|have|in|at|on|up|the|a|an|its?"
    r"|their|it|they|by|with|only|both|together|again|later|plays?|rests?|doubl\w+|goes|go|moves?|has|takes?"
    r"|gives?|hands?|pass\w*|enters?|drops?|holds?|sounds?|becomes?|makes?|carr\w+|joins?|octave|other\w*)\b)"
    r"([a-z]{3,})(?=\s+[a-z@(\[]|\s*[=:])"
)
_BEFORE_AND = re.compile(r"(?<![\w<\[])([a-z]{3,})\s*(?:and|&|\+)\s+(?:the )?<\d+>")
_BETWEEN = re.compile(
    r"<\d+>\s*,\s*(?:the |an? )?(?!and\b|then\b|but\b)([a-z]{3,})(?: \w+)?\s*(?:,|,?\s*and|&|\+)\s*(?:the )?<\d+>"
)
_NOT_ALL = re.compile(
    r"\b(?:not|n't|never) ((?:all|every(?:body|one|thing)?|always|quite|entirely|completely|exactly)\b)"
)
#: "Voice crossing": a term, no singer.
_TERM = re.compile(r"\bvoices?[\s-](?=(?:cross|lead|exchang)\w*)")
#: A voice that leads is a line, no singer either.
_LEADING = re.compile(r"\b((?:lead|leading|main|principal|melody|melodic)\s+)voices?\b")
#: A string of an instrument, no section.
_OPEN_STRING = re.compile(r"\bopen strings?\b")
#: "The second oboe is above the first": the other player of the same instrument.
_THE_OTHER = re.compile(
    r"\b(?:first|second|third|fourth|1st|2nd|3rd|4th) (?P<who>[a-z]{4,})\b(?P<between>[^@,;.]*"
    r"\b(?:above|below|over|under|beneath|than|with|doubles?|crosse?s?)) the (?P<other>first|second|third|fourth|1st|2nd|3rd|4th)"
    r"(?: one)?(?=\s*(?:$|[@,.:;)]|(?:an|one|two|three|at|in) ))"
)
#: "No oboes have the tune": who is denied by "no", and the kinds that read it.
_NONE_OF = re.compile(r"\bno <\d+>")
_SAYS_NO = frozenset({"playing", "layout", "comparison"})
#: A number that was read neither as a bar nor as anything else.
_LOOSE = re.compile(
    r"(?<![\w<\[:#/.])(?<!/ )(?<!minor )(?<!major )(?<!minished )(?<!dominant )(?:[5-9]|[1-9]\d{1,2}|\d{1,3}[ab])(?![\w>\]:]|\.\d| ?/)"
)
_HEDGE = re.compile(r"\b(?:i (?:think|believe|guess|hear|see|find)(?: that)?|maybe|perhaps|probably"
                    r"|clearly|here|again|also|simply|really|(?<!not )(?<!n't )always|now)\b")  # fmt: skip


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
    cut = cut_places(text[:LONGEST], table, movement)
    s = shorten(text, cut, table, movement)
    if strange := unknown_names(s.short, table):
        s = replace(s, questions=(*s.questions, *strange))
    for kind, reader in READERS:
        found = reader(s)
        if found is not None:
            return _proposal(kind, found, s)
    asked = [f"Which part is meant: {g.question}" for g in s.groups if g.question]
    return Proposal(None, tuple(dict.fromkeys([*s.questions, *asked])))


def shorten(text: str, cut: Cut, table: ScoreTable, movement: int) -> Sentence:
    """The sentence with tokens for places, distances and names."""
    short = _LEADING.sub(r"\1line", _TERM.sub("", _HEDGE.sub(" ", without_remarks(cut.text))))
    short = _THE_OTHER.sub(_other_player, _OPEN_STRING.sub("openstring", short))
    negated = _NOT.search(short) is not None
    short = as_it_sounds(mark_distances(_NOT.sub(" ", short)))
    short, groups = _with_pronoun(*mark_names(short, table, movement))
    return Sentence(text, short, groups, tuple(cut.places), table, movement, negated,
                    tuple(cut.questions), tuple(cut.notes))  # fmt: skip


def _other_player(match: re.Match[str]) -> str:
    if not parse_label(match["who"]).candidates:
        return match[0]
    return (
        f"{match[0]} {match['who']}"
        if not match[0].endswith(" one")
        else f"{match[0][:-4]} {match['who']}"
    )


def _with_pronoun(short: str, groups: tuple[Group, ...]) -> tuple[str, tuple[Group, ...]]:
    """ "They" stands where a name should: a group of nobody, with a question."""
    match = _PRONOUN.search(short)
    if match is None:
        return short, groups
    word = match.group(1) or match.group(2)
    start, end = match.span(1 if match.group(1) else 2)
    nobody = Group((), (), f"Who is “{word}”? Name the part.")
    return f"{short[:start]}<{len(groups)}>{short[end:]}", (*groups, nobody)


def _proposal(kind: str, found: Found, s: Sentence) -> Proposal:
    questions = [*s.questions, *found.questions]
    used = {name for token in found.used for name in s.groups[int(token)].names}
    if not found.absent:
        questions += [s.group(t).question for t in found.used if s.group(t).question]
    left = [n for t in groups_in(s) for n in s.group(t).names if n not in used]
    questions += [f"And “{name}”? I could not tell what is said of this part." for name in left]
    if _BUT.search(s.short) and found.fields.get("mode") != "only":
        questions.append("All but some: name the parts of which you say it.")
    claim: JSON = {"kind": kind, "movement": s.movement + 1, **found.fields}
    questions += _other_clause(kind, s)
    if kind not in _SAYS_NO and "negated" not in found.fields and _NONE_OF.search(s.short):
        questions.append("“No ...”: say of whom it is not so, with “not”.")
    if (strange := _AND_WHO.search(s.short)) is not None:
        questions.append(f"Who is “{strange.group(1)}”? I know no part of that name.")
    if not found.absent:
        questions += _unsure_of_whom(kind, s)
    if loose := _LOOSE.search(s.short):
        questions.append(f"“{loose.group(0)}”: is this a bar? Write the place as “bars 9-12”.")
    if (some := _NOT_ALL.search(s.short)) and found.fields.get("coverage") != "partial":
        questions.append(f"“Not {some.group(1)}”: say of whom, or where, it is so.")
    if s.places and "bars" not in claim and KINDS[kind].form.bars:
        claim["bars"] = s.places[0]
        if len(s.places) > 1:
            questions.append("Two places: say each as a statement of its own.")
    if claim.setdefault("negated", s.negated) is False:
        del claim["negated"]
    at_pitch = kind in ("reinforcement", "texture") and "[apart:0]" in s.short
    one_line = claim.get("texture") == "single-line" and "[apart:1]" in s.short
    if kind not in DISTANT and not at_pitch and not one_line and re.search(r"\[\w+:\d\]", s.short):
        questions.append("How far apart they are is a doubling: say that by itself.")
    if not questions:
        questions += _missing(claim, s)
    return Proposal(claim, tuple(dict.fromkeys(questions)), s.notes)


def _unsure_of_whom(kind: str, s: Sentence) -> list[str]:
    """Words that narrow a name or stand among names: nobody is named wrongly in silence."""
    asked = []
    for match in _SOME_OF.finditer(s.short):
        asked.append(f"“{match.group(1)}”: which players? Name the part.")
    for match in _SOME_HEIGHT.finditer(s.short):
        if len(s.group(match.group(2)).units) > 1:
            asked.append(f"“{match.group(1)}”: which of them? Name the parts.")
    one_line = kind == "texture" and not groups_in(s)
    if not one_line and re.search(r"\b(?:octaves?|8ves?|8vas?|ottav[ae]|oktaven?)\b", s.short):
        asked.append("How many octaves apart, and which way?")
    if number := _NUMBER_LEFT.search(s.short):
        asked.append(f"“{number.group(1)}”: another player? Name each part.")
    if _EITHER.search(s.short):
        asked.append("One or the other? Name the part of which you say it.")
    for pattern in (_BEFORE_AND, _BETWEEN):
        for match in pattern.finditer(s.short):
            asked.append(f"Who is “{match.group(1)}”? I know no part of that name.")
    if hardly := _HARDLY.search(s.short):
        asked.append(f"“{hardly.group(1)}”: say that they do, or that they do not.")
    return asked


_CLAUSE = re.compile(
    r"\s*(?:[,.:]?\s+(?:and|while|whereas|but)\s+(?=(?:the )?<\d+> \w)|\.\s+(?=<))"
)


def _other_clause(kind: str, s: Sentence) -> list[str]:
    """Whether the sentence says a second thing of others: each clause a statement by itself."""
    clauses = [c for c in _CLAUSE.split(s.short) if "<" in c]
    if len(clauses) < 2:
        return []
    read = [name for c in clauses if (name := _kind_of(replace(s, short=c)))]
    return ["Two statements: say each by itself."] if len(read) > 1 else []


def _kind_of(s: Sentence) -> str | None:
    return next((kind for kind, reader in READERS if reader(s) is not None), None)


def _missing(claim: JSON, s: Sentence) -> list[str]:
    """What the kind itself still wants. Bars may come from the form."""
    whole = claim if "bars" in claim else {**claim, "bars": [s.table.bars[0].label]}
    try:
        read_claim(whole)
    except ClaimNotUnderstood as question:
        return [str(question)]
    return []
