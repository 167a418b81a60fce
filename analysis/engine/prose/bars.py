"""Bars as people write them: "b. 9-12", "24b", "bar 12 beat 3", "3 after C", "the last four bars".

Every place becomes a spot, `@n;` in the text; spots that belong together ("from B up to the bar
before C", "the upbeat and bar 1") become one, and the text is left with a bare "@" for each place.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from analysis.engine import names
from analysis.engine.claims.fields import PartName
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.instruments.names import parse_label
from analysis.engine.model import ScoreTable
from analysis.engine.prose.sentence import folded
from analysis.engine.prose.spots import NTH, SPOT, Finder, count

_WORD = r"(?:bars?|measures?|takte?n?|battut[ae]|mesures?|misur[ae]|(?:bb?|mm?|tt?|batt|mes)\.?(?=\s*\d))"
_LABEL = r"(\d{1,4}[a-z]?)(?![\w.]*\w)"
_TO = r"\s*(?:-|(?:on |up )?(?:to|until|till?)|thru|through|as far as|bis|fino a|jusqu'a|a)\s*"
_BEAT = (
    r"(?:,?\s*(?:on\s+)?(?:the\s+)?(?:(?:beat|schlag|tempo|temps)\s+(\d)"
    r"|(\d)(?:st|nd|rd|th)\s+beat))?"
)
_N = r"(\d+|one|two|three|four|five|six|seven|eight)"
_NOT_A_MARK = (
    r"(?!#|b?\d)(?![\s-]*(?:major|minor|dur|moll|flat|sharp|chord|triad|seventh|natural|horn|clar))"
)
_NAMED = r"(?:rehearsal\s+)?(?:letter|mark|figure|buchstabe)\s+([a-zA-Z]|\d+)\b"
_MARK = rf"(?:{_NAMED}|([A-Z])\b{_NOT_A_MARK})"
#: After "3 after" a capital is a mark whatever instrument comes next: "3 after C horn 1 rests".
_MARK_THERE = rf"(?:{_NAMED}|([A-Z])\b(?![\s-]*(?:major|minor|dur|moll|flat|sharp)))"
_AT_MARK = (
    rf"\b(?:(?P<lead>at|from|of|to|till|until|after)\s+(?:the\s+)?)?{_NAMED}"
    rf"|\b(?P<led>at|from|of|to|till|until|after)\s+(?P<bare>[A-Z])\b{_NOT_A_MARK}"
)
#: Bars one by one ("17, 18, 19", "24/25"), with what leads to them.
_LISTED = (
    rf"(?:(?P<word>\b{_WORD}\s*)|(?P<in>\b(?:in|at|on)\s+)|(?P<paren>\(\s*))(?P<labels>{_LABEL}"
    rf"(?:\s*(?:,\s*and|,|/|&|and|und)\s*\d{{1,4}}[a-z]?(?![\w.]*\w))+)\s*\)?"
    r"(?=\s*(?:$|[.,:;)]|the\b|in\b|with\b|by\b))"
)
#: "33f.": this bar and the next; "33 f." only where a word says that it is a bar.
_NEXT_TOO = (
    rf"(?:(?:\b(?:from\s+)?{_WORD}\s*)?(?<![\w/.#-])(?=\d{{1,4}}f)|\b{_WORD}\s*(?=\d+\s+f\.))"
    r"(\d{1,4})\s*f(?:\b\.?(?!\w))"
)
_UPBEAT = r"(?:pick-?up|upbeat|anacrusis|auftakt|levare)"
#: What may follow a number that is a bar's; after "9 to 12 notes" it is none.
_OPEN_END = r"(?=\s*(?:$|[.,:;)!?]))"
_COUNTED = (
    r"(?!\s*(?:parts|voices|octaves?|8ves?|notes|times|beats|players|instruments|lines|levels)\b)"
)
_AS_AT = r"(?:\b(?:(?:un)?like|than|as (?:in|at)|compared (?:with|to)|versus|vs\.?|same as)|=)"
_KEY_WORD = re.compile(r"\b(?:major|minor|dur|moll|maggiore|minore|majeur|mineur)\b")
#: "Compare bars 1-8 with 45-52: the second time ..." is the second of two places.
_COMPARED = re.compile(r"\bcompar\w+ .*\b(?:with|to|and)\b.*\bthe second time\b")
_TIME = re.compile(
    r",?\s*\b(?:(?:the|on the)\s+)?(first|second|third|1st|2nd|3rd)\s+(?:time|pass|playing)\b(?!\s*bar)"
)
#: Only one end of a place.
_HALF = re.compile(rf"\b((?:up )?until|till|up to|after|before|since)\s*{SPOT}")
#: Words that only lead to a place and mean nothing once it is cut out.
_LEAD = re.compile(
    r"\b(?:(?<!\bcome )(?<!\bcomes )(?<!\bcoming )(?<!\bjoin )(?<!\bjoins )in|at|from|during|within|throughout|over|on|for|of|and in|and)\s+@|@\s*:|\(\s*@\s*\)"
)


#: "Horns 1-2": players, where bars are named elsewhere in the sentence.
_PLAYERS = re.compile(r"\b([a-z]{2,})\.?\s+([1-4])\s*-\s*([2-4])(?![\w-])")


@dataclass
class Cut:
    """The text with every place replaced by "@", the PLACEs, what has to be asked, what is told."""

    text: str
    places: list[Any]
    questions: list[str]
    notes: list[str]


#: "The first eight bars (1-8)": the numbers say it.
_NUMBERED = re.compile(
    rf"\b(?:the\s+)?(?:first|last|opening|final|next)\s+{_N}\s+bars\s*(?=\(\s*(?:{_WORD}\s*)?\d+\s*[-–]\s*\d+\s*\))"
)


def cut_places(text: str, table: ScoreTable, movement: int) -> Cut:
    """Take all places out of a text, which comes back folded."""
    find = Finder(table, movement)
    text = re.sub(r"[<>@;\[\]]", lambda m: "," if m.group(0) == ";" else " ", _with_marks(text))
    if (time := _TIME.search(text)) is not None and not _COMPARED.search(text):
        find.number = NTH[time.group(1)]
        text = text[: time.start()] + " " + text[time.end() :]
    text = _NUMBERED.sub("bars ", _PLAYERS.sub(lambda m: _players(m, table, movement), text))
    turns: tuple[tuple[str, Callable[[re.Match[str]], str]], ...] = (
        (rf"\b(?:the\s+)?(first|last|opening|final)\s+{_N}\s+bars(?:\s+(?:of|from|after)\s+{_MARK})?",
         lambda m: find.many(count(m[2]), "last" if m[1] in ("last", "final") else "first", m[3] or m[4])),
        (r"\b(?:the\s+)?(first|second|1st|2nd)[\s-](?:time\s+(?:bar|ending)|ending)\b"
         r"|\b(prima|seconda|1a|2a)\s+volta\b", lambda m: find.ending(m[1] or m[2])),
        (rf"\b(?:the\s+)?{_N}\s*(?:bars?\s+)?(after|before)\s+{_MARK_THERE}",
         lambda m: find.counted(m[3] or m[4], count(m[1]), m[2])),
        (rf"\bthe\s+(?:bar\s+)?(after|before)\s+{_MARK}|\bthe\s+bar\s+(after|before)\s+{_MARK}",
         lambda m: find.from_mark(m[2] or m[3] or m[5] or m[6], 1 if (m[1] or m[4]) == "after" else -1)),
        (rf"\bbetween\s+(?:letters?\s+)?([A-Z])\s+and\s+([A-Z])\b{_NOT_A_MARK}",
         lambda m: f"{find.from_mark(m[1], 0)}-{find.from_mark(m[2], 0)}"),
        (_AT_MARK, lambda m: _at_mark(find, m)),
        (_NEXT_TOO, lambda m: find.and_next(m[1])),
        (rf"\bbeat\s+(\d)\s+(?:of|in)\s+{_WORD}\s*{_LABEL}", lambda m: find.one(m[2], m[1])),
        (rf"\b{_WORD}\s*{_LABEL}{_BEAT}{_TO}(?:{_WORD}\s*)?{_LABEL}{_BEAT}",
         lambda m: find.two(m[1], m[4], m[2] or m[3], m[5] or m[6])),
        (r"(?<![\w/.#-])(\d{1,4})ff\b\.?", lambda m: _onward(find, m[1])),
        (rf"\b(?:from\s+)?{_WORD}\s*{_LABEL}\s*(?:ff?\b\.?|onwards?|on\b|sqq?\.)", lambda m: _onward(find, m[1])),
        (rf"\bbetween\s+(?:{_WORD}\s*)?{_LABEL}\s+and\s+(?:{_WORD}\s*)?{_LABEL}",
         lambda m: find.two(m[1], m[2])),
        (rf"\b(?:from|von|da|de|in|at|during|over|through(?:out)?|across)\s+{_LABEL}{_BEAT}{_TO}(?:{_WORD}\s*)?{_LABEL}{_BEAT}{_COUNTED}",
         lambda m: find.two(m[1], m[4], m[2] or m[3], m[5] or m[6])),
        (rf"(?:^|(?<=[,(:]))\s*{_LABEL}{_TO}{_LABEL}{_OPEN_END}", lambda m: find.two(m[1], m[2])),
        (_LISTED, find.listed),
        (rf"{_AS_AT}\s*{_LABEL}(?=\s*(?:$|[.,:;)]|but\b|with|except\b|plus\b|minus\b|only\b|and\b))",
         lambda m: m[0][: m.start(1) - m.start()] + find.one(m[1], None)),
        (rf"\bfrom\s+(?:the\s+)?{_UPBEAT}{_TO}(?:{_WORD}\s*)?{_LABEL}(?!{_TO})", lambda m: find.pickup() + f"-{find.one(m[1], None)}"),
        (rf"\b(?:the\s+|an?\s+)?{_UPBEAT}\s+to\s+(?:{_WORD}\s*)?{_LABEL}", lambda m: find.upbeat_to(m[1])),
        (rf"\b{_WORD}\s*{_LABEL}\s*(?:and|&|und|/|,)\s*(?:{_WORD}\s*)?{_LABEL}",
         lambda m: find.one(m[1], None) + " and " + find.one(m[2], None)),
        (rf"\b{_WORD}\s*{_LABEL}{_BEAT}", lambda m: find.one(m[1], m[2] or m[3])),
        (rf"(?:^|(?<=[\s(]))\(?{_LABEL}\s*-\s*{_LABEL}\)?(?=\s*(?:[:,.)!?]|$|\s))", lambda m: find.two(m[1], m[2])),
        (rf"^\s*{_LABEL}\s*[:,]", lambda m: find.one(m[1], None)),
        (rf"\b(?:in|at)\s+(?=[5-9]|\d\d){_LABEL}(?!\s*/)(?=\s+(?:to (?:the )?[a-z]{{2,}}|imitat\w+|with|and|while|but|doubl\w+|the|enter\w*)\b)", lambda m: find.one(m[1], None)),
        (rf"\b(?:and|then|,)\s+(?:in|at)\s+{_LABEL}(?!\s*/){_COUNTED}(?=\s+[a-z])", lambda m: m[0][: m.start(1) - m.start()] + find.one(m[1], None)),
        (rf",\s*{_LABEL}\s*[.!?]?\s*$", lambda m: find.one(m[1], None)),
        (rf"^\s*(?:in|at|from)\s+{_LABEL}(?!\s*/){_COUNTED}(?=\s+[a-z])", lambda m: find.one(m[1], None)),
        (rf"\b((?:up )?until|till|up to|bis)\s+{_LABEL}{_OPEN_END}",
         lambda m: f"{m[1]} {find.one(m[2], None)}"),
        (rf"(?<![\w@;])(?:in|at|around|um|in takt)\s+{_LABEL}(?=\s*(?:$|[.,:()!?]|and [a-z]{{3,}}[^,;]* in \d))", lambda m: find.one(m[1], None)),
        (rf"{SPOT}\s*,?\s*\(?\s*(?:with|including|incl\.?|plus|mit)\s+(?:its\s+|the\s+|an?\s+)?{_UPBEAT}\s*\)?",
         find.with_upbeat),
        (rf"\b(?:the\s+)?{_UPBEAT}\b(?!\s+to)", lambda m: find.pickup()),
        (rf"({SPOT}{_TO}){_LABEL}{_COUNTED}",
         lambda m: m[1] + find.one(m[3], None) if int(re.sub(r"\D", "", m[3])) > 4 else m[0]),
        (rf"{SPOT}\s*(?:-|to|until|till|up to|through to)\s*(?:the\s+)?(?:very\s+)?(?:end|close|finish)\b",
         lambda m: find.to_the_end(m)),
        (rf"\b(?:from\s+)?(?:the\s+)?(?:start|beginning|opening|outset)\s*(?:to|until|till|up to|through)\s*{SPOT}",
         lambda m: find.from_the_start(m)),
        (rf"{SPOT}(?:{_TO}|\s*,?\s*up to\s*|\s*and up to\s*){SPOT}", find.joined),
        (rf"{SPOT}((?:(?!@|;|\b(?:and|while|whereas|but|then)\b).)*?)[\s,]+(?:up to|(?:up )?until|till)\s+(?:the\s+)?(?:very\s+)?end\b",
         lambda m: find.to_the_end(m) + m[2] if len(re.findall(SPOT, m.string)) == 1 else m[0]),
        (rf"{SPOT}((?:(?!@|;|\b(?:and|while|whereas|but|then)\b).)*?)[\s,]+(?:up to|(?:up )?until|till|as far as|bis)\s*{SPOT}",
         find.far),
        (rf"{SPOT}\s*(?:,|and(?: in)?|,\s*(?:at|in)|\()\s*{SPOT}", find.met),
        (rf"{SPOT}\s*,?\s*for\s+(?:the\s+next\s+)?{_N}\s+bars\b", find.lasting),
        (rf"{SPOT}\s*[,(]\s*{_N}\s+bars(?=\s*[,:.;)])\)?", find.lasting),
    )  # fmt: skip
    for pattern, act in turns:
        text = re.sub(pattern, act, text)
    tokens = re.findall(SPOT, text)
    if (half := _HALF.search(text)) and len(tokens) == 1 and find.single(tokens[0]):
        find.questions.append(f"“{half[1].strip()}”: from which bar up to which?")
    if find.number is not None and not tokens:
        find.questions.append(f"Of which bars do you mean pass {find.number}?")
    text = _LEAD.sub("@", re.sub(SPOT, "@", text.lower()))
    return Cut(
        re.sub(r"\s+", " ", text).strip(),
        [find.spots[int(token)][2] for token in tokens],
        find.questions,
        find.notes,
    )


def _with_marks(text: str) -> str:
    """Folded, but for single capitals (rehearsal marks) and names of notes ("B1" is no bar)."""
    low = list(folded(text))
    for match in re.finditer(r"\b[A-Z]\b(?!\.?\s*\d|[#♯♭])|\b[A-H][b#]?\d\b", text):
        low[match.start()] = text[match.start()]
    return "".join(low)


def _has_player(word: str, number: int, table: ScoreTable, movement: int) -> bool:
    try:
        return bool(names.resolve(PartName(f"{word} {number}"), table, movement).units)
    except ClaimNotUnderstood:
        return False


def _players(match: re.Match[str], table: ScoreTable, movement: int) -> str:
    word, first, last = match[1], int(match[2]), int(match[3])
    elsewhere = match.string[: match.start()] + match.string[match.end() :]
    if re.fullmatch(_WORD, word + " 1") or not re.search(r"\d", elsewhere) or first >= last:
        return match[0]
    if not parse_label(word).candidates or not _has_player(word, last, table, movement):
        return match[0]
    return f"{word} " + " and ".join(str(n) for n in range(first, last + 1))


def _onward(find: Finder, label: str) -> str:
    find.questions.append(f"From bar {label} up to which bar?")
    return find.one(label, None)


def _at_mark(find: Finder, match: re.Match[str]) -> str:
    """A capital alone is a mark only where a word leads to it ("at C", "up to D").

    Beside the name of a key "back to D" is another key, "from C to D" a place.
    """
    reach = re.search(r"(?:\bup|\bfrom [A-Z])\s*$", match.string[: match.start()])
    if match["bare"] and match["led"] == "to" and not reach and _KEY_WORD.search(match.string):
        return match[0]
    spot = find.from_mark(match["bare"] or match[2], 0)
    lead = match["lead"] or match["led"]
    return f"{lead} {spot}" if lead in ("to", "till", "until") else spot
