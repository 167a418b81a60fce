"""What has to be asked before a reading is taken: nobody is named wrongly, nothing lost, in silence."""

from __future__ import annotations

import re
from dataclasses import replace

from analysis.engine.prose.concepts import ordinary
from analysis.engine.prose.kinds.registry import READERS
from analysis.engine.prose.phrase import Found, groups_in
from analysis.engine.prose.sentence import Sentence

#: Kinds in which octave words have a field.
DISTANT = frozenset({"doubling", "layout", "course"})
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
    r"\b(?:not|n't|never) ((?:all|every(?:body|one|thing)?|always|quite|entirely|completely|exactly|the (?:whole|entire))\b)"
)
#: "No oboes have the tune": who is denied by "no", and the kinds that read it.
_NONE_OF = re.compile(r"\bno <\d+>")
_SAYS_NO = frozenset({"playing", "layout", "comparison"})
#: A number that was read neither as a bar nor as anything else.
_LOOSE = re.compile(
    r"(?<![\w<\[:#/.])(?<!/ )(?<!minor )(?<!major )(?<!minished )(?<!dominant )(?:[5-9]|[1-9]\d{1,2}|\d{1,3}[ab])(?![\w>\]:]|\.\d| ?/)"
)
_ALMOST = re.compile(r"\b(almost|nearly|practically|virtually) (?:all|every\w+|no ?(?:one|body))\b")
#: A line of several that has no name of its own.
_LINE_OF = re.compile(
    r"\b((?:top|upper|highest|lower|lowest|bottom|outer|inner|middle|first|second) (?:line|part|voice|stave|staff|desk)s? of)"
    r" (?:the )?<\d+>"
)
#: Names joined by a comma that may belong to two clauses: "with A, B hold a note".
_RUNS_ON = re.compile(
    r"<\d+>.*<(\d+)> (?:also |both |then )?(?:holds?|plays?|rests?|has|have|doubles?|takes?|gives?|moves?|sustains?|enters?|stays?|keeps?)\b"
)
_LATER = re.compile(
    r"\b(?:bars?|beats?|notes?|quavers?) (?:later|earlier|behind|afterwards)\b|\bin canon\b|\becho\w*"
)
_CLAUSE = re.compile(
    r"\s*(?:[,.:]?\s+(?:and|while|whereas|but)\s+(?=(?:the )?<\d+> \w)|\.\s+(?=<))"
)


#: What is not known, or taken back on the way.
_WHETHER = re.compile(
    r"\b(?:not (?:at all |really |quite )?sure|unsure|uncertain|n't (?:know|tell|say)|cannot (?:tell|say)|wonder(?:ing)?|no idea) (?:if|whether)\b"
    r"|\bwhether\b[^@]*\bor not\b|\bi (?:doubt|disagree|deny|wonder)\b|\b(?:wrong|false|untrue|nonsense|mistake|incorrect|a myth)\b[^.;]{0,40}\b(?:that|to (?:say|think|claim|believe|speak))\b"
    r"|(?:\bnot|n't) (?:just|merely|simply)\b"
)
_TAKEN_BACK = re.compile(r"\b(?:sorry|i mean|i meant|no,? wait|correction|or rather)\b")
#: Where a "not" denies something else: in brackets, of the writer, in a condition or a reason.
_ASIDE = re.compile(
    r"\([^()]*\)|(?:^|[,.(:;-]\s*|\b(?:but|and|though|that|if)\s+)i\b(?:'\w+)?[^@.,;<]{0,20}?(?:\b(?:not|never|cannot)\b|n't\b)"
    r"(?! (?:really |even )?(?:think|believe|see|hear|find|agree|notice|call|say)\b)"
    r"|\b(?:if|unless|because|since|although|(?:even )?though|so that)\b[^@,.;]*|, which\b[^@,.;]*"
)
_DENIAL = re.compile(r"\b(?:not|never|no|cannot|nicht|pas|non|neither|stop\w*|ceas\w*)\b|n't\b")
#: "From B, 4 bars later": another bar than the one named.
_MOVED_ON = re.compile(
    r"@\W*(?:\d|one|two|three|four|five|six|seven|eight|an?) bars? (?:later|earlier|after|before)\b"
)


#: Horns may be stopped and sound.
_HAND = re.compile(r"<(\d+)> (?:\w+ )?stopped\b(?! playing)")
#: "A, usually with B, are alone here".
_ELSE_WISE = re.compile(
    r"\b(?:usually|normally|(?<!but )otherwise|elsewhere|as a rule|in general|generally)\b|\bwith\b.*\b(?:alone|by (?:themselves|itself))\b"
)
_AND_THIRDS = re.compile(r"\bin (?:parallel )?(?:thirds|sixths|tenths|3rds|6ths|10ths)\b")
#: Somebody is with them and is not named.
_NAMELESS = re.compile(
    r"\b(?:with|and) (?:somebody|someone|something|somebody else|someone else|others|another (?:\w+ )?(?:instrument|part|player|line)s?)\b"
)
#: "Against the theme in A, B has ...": two clauses whose names run together.
_AGAINST = re.compile(
    r"^[@ ,]*(?:against|under\w*|beneath|below|above|over|behind|besides?) (?:the |this |that )?(?:main )?"
    r"(?:theme|tune|melody|subject|line)s?(?: (?:in|of|from|played by))?(?: the)? <(\d+)>\s*,?\s*(?:has|have|plays?|gives?|adds?|holds?|moves?)\b"
)
#: "They don't double them, they only ...": what they do is the statement.
_THEY_ONLY = re.compile(
    r"[,;]\s*(?:(?:<\d+>|but|rather|instead)\s+)+(?:only|just|merely)\s+(?!(?:looks?|seems?|sounds?|appears?)\b)\w+"
)


def _half_said(kind: str, found: Found, s: Sentence) -> list[str]:
    """What the sentence does not stand by."""
    asked = []
    if _WHETHER.search(s.whole):
        asked.append("Is it so, or is it not? Say it as a statement.")
    one_key = kind == "key" and len(re.findall(r"\b(?:major|minor|dur|moll)\b", s.short)) > 1
    if _TAKEN_BACK.search(s.whole) and not one_key and not re.search(r"\bor rather\b", s.whole):
        asked.append("Put right on the way: say it once, as it is meant.")
    if (
        s.negated
        and (kind == "playing" or found.fields.get("negated") is not False)
        and _DENIAL.search(s.whole)
        and not _DENIAL.search(_ASIDE.sub(" ", s.whole))
    ):
        asked.append("“Not” in an aside: is the statement itself denied?")
    other = _THEY_ONLY.search(s.short) if s.negated else None
    if other is not None and not any(s.group(t).names for t in re.findall(r"<(\d+)>", other[0])):
        asked.append("Two statements: what they do not do, and what they do. Say each by itself.")
    if kind == "playing" and any(
        "horn" in (s.table.lines[n].instrument or "") for token in _HAND.findall(s.short)
        for unit in s.group(token).units for n in unit.lines
    ):  # fmt: skip
        asked.append("“Stopped”: with the hand, or silent?")
    if kind == "doubling" and _ELSE_WISE.search(s.short):
        asked.append("With them, or alone, and where? Say what is so in these bars.")
    if kind == "doubling" and re.search(r"<\d+> rhythm", s.short):
        asked.append("Their notes, or their rhythm alone?")
    if kind == "handover" and re.search(r"\becho", s.short):
        asked.append("Handed over, or answered?")
    if kind in ("doubling", "parallel") and "[" in s.short and _AND_THIRDS.search(s.short):
        asked.append("Two statements: say each distance by itself.")
    if _NAMELESS.search(s.short):
        asked.append("With whom? Name the part.")
    against = _AGAINST.search(s.short)
    if against is not None and len(s.group(against[1]).names) > 1:
        asked.append("Who has it, and against whom? Name the one of whom you say it first.")
    if kind != "imitation" and _MOVED_ON.search(s.short):
        asked.append("Bars later: which bar is it? Give its number.")
    return asked


def doubts(kind: str, found: Found, s: Sentence) -> list[str]:
    """Questions about a sentence taken for a kind with these fields."""
    questions: list[str] = []
    used = {name for token in found.used for name in s.groups[int(token)].names}
    if not found.absent:
        questions += [s.group(t).question for t in found.used if s.group(t).question]
    left = [n for t in groups_in(s) for n in s.group(t).names if n not in used]
    questions += [f"And “{name}”? I could not tell what is said of this part." for name in left]
    if _BUT.search(s.short) and found.fields.get("mode") != "only":
        questions.append("All but some: name the parts of which you say it.")
    questions += _half_said(kind, found, s)
    questions += _other_clause(kind, s)
    if kind not in _SAYS_NO and "negated" not in found.fields and _NONE_OF.search(s.short):
        questions.append("“No ...”: say of whom it is not so, with “not”.")
    if (strange := _AND_WHO.search(s.short)) is not None and not ordinary(strange.group(1)):
        questions.append(f"Who is “{strange.group(1)}”? I know no part of that name.")
    if not found.absent:
        questions += _unsure_of_whom(kind, s)
    if loose := _LOOSE.search(s.short):
        questions.append(f"“{loose.group(0)}”: is this a bar? Write the place as “bars 9-12”.")
    if (some := _NOT_ALL.search(s.short)) and found.fields.get("coverage") != "partial":
        questions.append(f"“Not {some.group(1)}”: say of whom, or where, it is so.")
    at_pitch = kind in ("reinforcement", "texture") and "[apart:0]" in s.short
    one_line = found.fields.get("texture") == "single-line" and "[apart:1]" in s.short
    at_pitch = at_pitch or (kind == "imitation" and "interval" in found.fields)
    if kind not in DISTANT and not at_pitch and not one_line and re.search(r"\[\w+:\d\]", s.short):
        questions.append("How far apart they are is a doubling: say that by itself.")
    return questions


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
            if ordinary(match.group(1)):
                continue
            asked.append(f"Who is “{match.group(1)}”? I know no part of that name.")
    if almost := _ALMOST.search(s.short):
        asked.append(f"“{almost.group(1)}”: who does not?")
    for match in _LINE_OF.finditer(s.short):
        asked.append(f"“{match.group(1)}”: who is that? Name the part.")
    for token in groups_in(s):
        if len(set(s.group(token).names)) < len(s.group(token).names):
            asked.append("Somebody is named twice: who is meant?")
    if (run := _RUNS_ON.search(s.short)) and s.group(run.group(1)).by_comma:
        asked.append("Two statements: say each by itself.")
    if kind in ("doubling", "parallel") and _LATER.search(s.short):
        asked.append("At the same time, or one after the other?")
    if hardly := _HARDLY.search(s.short):
        asked.append(f"“{hardly.group(1)}”: say that they do, or that they do not.")
    return asked


def _other_clause(kind: str, s: Sentence) -> list[str]:
    """Whether the sentence says a second thing of others: each clause a statement by itself."""
    clauses = [c for c in _CLAUSE.split(s.short) if "<" in c]
    if len(clauses) < 2:
        return []
    read = [name for c in clauses if (name := _kind_of(replace(s, short=c)))]
    return ["Two statements: say each by itself."] if len(read) > 1 else []


def _kind_of(s: Sentence) -> str | None:
    return next((kind for kind, reader in READERS if reader(s) is not None), None)
