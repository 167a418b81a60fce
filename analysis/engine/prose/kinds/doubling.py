""" "Fl. 1 doubles the firsts an octave higher", "oboe and bassoon in octaves", "nobody doubles"."""

from __future__ import annotations

import re

from analysis.engine.prose.phrase import JSON, Found, groups_in, has, search, told_singly
from analysis.engine.prose.sentence import Sentence

_VERB = r"(?:doubl(?:es|e|ent|ing)|(?<=> )=(?= <\d+>(?! \w+en\b| silent| rest))|(?:has|have|plays?|takes?)(?= <\d+>(?: (?:line|part|notes|tune|melody)|\W*(?:\[|@|$)))|(?:has|have|plays?|sings?|gives?) the (?:same )?(?:tune|melody|line|theme|part) of(?= <)|col(?:la|l|le)?(?=\W)|coupl(?:es|e)|duplicat(?:es|e)|colla parte|raddoppian?o?|verdoppel[nt]|go(?:es)? (?:along )?with|moves? with|plays? (?:along )?with|plays? together with|join(?:s|ed by)?|supports?|(?:plays?|has|have|gives?|is|are) (?:a|an|the) ~version of|play(?:s|ing)? (?:exactly )?the same (?:\w+ )?(?:as|like)|(?:has|have|gets?|takes?|gives?|shares?) the same (?:\w+ )?(?:as|like)|is the same as|shadows?|follows?(?= <))"
#: Strengthening a line at a distance that is named is doubling it.
_STRENGTHENS = r"\b(?:reinforc(?:es?|ing)|strengthens?|supports?|thickens?)\b"
_ADORNS = r"\b(?:decorat|ornament|embellish|adorn)(?:s|es?|ing)\b"
_TUNE = r"\b(?:melody|tune|theme|line)\b"
_DOUBLED = r"doubled(?: ~)? by"
_NOBODY = r"\b(?:nobody|no one|noone|none|no other part|nothing|no instrument|no part)\b"
#: More notes than the line has.
_MORE_NOTES = r"(?:extra|additional|added|more|little|small|some) (?:\w+ )?(?:turns?|trills?|runs?|grace notes?|ornaments?|decorations?|passing notes|notes? (?:in )?between|little notes)"
_COVER = (
    ("simplified", r"\b(?:(?:skips?|skipping|leav(?:es?|ing) out|drops?|without|minus) (?:all |most of )?(?:the |its )?(?:ornaments?|decorations?|trills?|grace notes|passing notes)|simpl(?:er|ified)|main notes|plainer|skeleton|outline)\b"),
    ("heterophonic", r"\b(?:ornament\w*|decorat\w*|embellish\w*|heterophon\w*|varied)\b|\bwith " + _MORE_NOTES),
    ("partial", r"\b(?:partial|partly|partially|in part|some(?: of)?(?: the| its)? notes|only some|at times|"
                r"(?:now )?and then|for most(?: of)?\b|(?:only )?part of the (?:way|time|passage|line)|not (?:quite )?all (?:of )?(?:it|the (?:way|time|passage|line))|"
                r"not the (?:whole|entire) (?:way|time|passage|line)|intermittently|not (?:(?:for|on|with) )?(?:all (?:of )?(?:the |its |their )?notes|every note|entirely|completely"
                r"|always(?! (?:at|in|an?|the)\b)))\b"),
)  # fmt: skip

#: A side that somebody takes, or a mark: no doubling.
SIDE_OR_MARK = (
    r"\brhythmic\w*|\b(?:in|by|as to) (?:its |their |the )?(?:rhythms?|role|function)\b"
    r"|\bfunctionally\b|(?<!\w)a (?:2|due|deux)\b"
)


def read(s: Sentence) -> Found | None:
    """See the module."""
    if has(SIDE_OR_MARK, s):
        return None
    return _nobody(s) or _active(s) or _passive(s) or _distance_alone(s) or both(s)


def _nobody(s: Sentence) -> Found | None:
    match = search(rf"{_NOBODY} ~{_VERB} A!", s) or search(
        rf"A! ~(?:undoubled|(?:without|has|have) (?:no |any )?doubling|doubled by {_NOBODY[2:-2]})",
        s,
    )
    if match is None and s.negated and not search(_DOUBLED + " B!", s):
        match = search(r"A! ~doubled(?! by (?!any))", s)
        if match is not None:
            found = Found({"parts": s.parts(match["a"]), "coverage": "none"}, (match["a"],))
            found.fields["negated"] = False
            return found
    if match is None:
        return None
    return Found({"parts": s.parts(match["a"]), "coverage": "none"}, (match["a"],))


def _active(s: Sentence) -> Found | None:
    match = search(rf"A! ~{_VERB} ~B!", s)
    if match is not None:
        return pair(s, match["a"], match["b"])
    match = search(rf"A! ~{_STRENGTHENS} ~B! (?:\w+ )?\[(?:up|down|apart):\d\]", s) or search(
        rf"A! ~{_ADORNS} ~{_TUNE} (?:(?:which|that) )?B! (?:plays?|has|have|gives?|keeps?|sings?|states?)\b",
        s,
    )
    if match is not None:
        return pair(s, match["a"], match["b"])
    match = search(rf"A! ~{_VERB} ~(?:bass|melody|tune|theme|line)\b", s)
    if match is None or len(groups_in(s)) > 1:
        return None
    asked = ["Doubles whom? Name the part that has this line."]
    return Found({"parts": s.parts(match["a"]), "with": [], **_degree(s)}, (match["a"],), asked)


def _passive(s: Sentence) -> Found | None:
    match = search(rf"A! ~{_DOUBLED} ~B!", s)
    return None if match is None else pair(s, match["b"], match["a"])


def _distance_alone(s: Sentence) -> Found | None:
    """ "Flute an octave above violin 1": the distance is the verb."""
    match = search(
        r"A! ~\[(?:up|down|apart):\d\] (?:of |from |than |to |with |the |dem |der |den )*B!", s
    )
    if match is not None:
        return pair(s, match["a"], match["b"])
    match = search(r"\b(?:tune|melody|line|theme) of A! ~\b(?:in|by) B!", s)
    if match is not None:
        return pair(s, match["b"], match["a"])
    if search(
        r"\b(?:melody|tune|theme|line)\b ~\b(?:is|lies|sits|belongs|stays|given) (?:in|to|with|by) A!\W* with B! DIST",
        s,
    ):
        match = search(r"A!\W* with B! DIST", s)
        return None if match is None else pair(s, match["b"], match["a"])
    match = search(r"A! with B! ~\[(?:up|down):\d\]", s)
    return None if match is None else pair(s, match["b"], match["a"])


def both(s: Sentence) -> Found | None:
    """ "Oboe and bassoon in octaves", "violins I with flute": two sides, no direction."""
    tokens = groups_in(s)
    match = re.search(r"\[(apart|levels):(\d)\]", s.short)
    if match is not None and match.group(1) == "levels" and tokens:
        used, asked = tuple(tokens), []
        if len(tokens) == 2 and told_singly(s) and search(r"B!\W*(?:@\W*)?$", s):
            tokens = tokens[1:]
        elif len({u for t in tokens for u in s.group(t).units}) < sum(
            len(s.group(t).units) for t in tokens
        ):
            asked = ["Somebody is named twice: who of them is meant?"]
        fields = {"parts": s.parts(*tokens), "levels": int(match.group(2)), "coverage": "full"}
        return Found(fields, used, asked)
    same = has(
        r"\b(?:play|playing|have|share|sharing) (?:exactly )?the (?:very )?same (?:line|notes|melody|tune|part|thing)\b",
        s,
    )
    together = has(r"\btogether\b", s) and match is not None
    if match is None and not same and not together:
        with_ = search(r"^(?:@[:, ]*)?A! with B!\W*$", s)
        return None if with_ is None else pair(s, with_["a"], with_["b"])
    if len(tokens) == 2:
        return _on_top(s, tokens) or pair(s, tokens[0], tokens[1])
    if len(tokens) != 1:
        return None
    names = s.sides(tokens[0])
    if len(names) < 2:
        asked = ["In octaves with whom? Name both lines."] if s.group(tokens[0]).units else []
        return Found({"parts": list(names), "with": [], **_degree(s)}, (tokens[0],), asked)
    fields = {"parts": list(names[:-1]), "with": [names[-1]], "coverage": cover(s), **_degree(s)}
    if fields.get("octaves"):
        fields["direction"] = False
    return Found(fields, (tokens[0],))


def _on_top(s: Sentence, tokens: list[str]) -> Found | None:
    """ "A and B in octaves, A on top": the second name tells who of the first; or says something else."""
    two, one = tokens
    if len(s.sides(two)) < 2 or not search(r"A! ~\[apart:\d\]\W*(?:@\W*)?[,;:(]\W*(?:@\W*)?B!", s):
        return None
    sides, high = s.group(two).units, s.group(one).units
    below = [unit for unit in sides if unit not in high]
    top = search(
        r"B! (?:is |are |being )?(?:(?:on|at the|the) (?:top|upper)|above|higher|uppermost)", s
    )
    if top is None or len(high) != 1 or len(sides) != 2 or len(below) != 1:
        asked = ["Two statements: say each by itself."]
        return Found(
            {"parts": list(s.sides(two)), "with": s.parts(one), **_degree(s)}, tuple(tokens), asked
        )
    fields: JSON = {"parts": [high[0].label], "with": [below[0].label], "coverage": cover(s)}
    return Found({**fields, **_degree(s)}, tuple(tokens))


def pair(s: Sentence, doublers: str, line: str) -> Found:
    """The fields where it is known who doubles whom."""
    fields: JSON = {"parts": s.parts(doublers), "with": s.parts(line), "coverage": cover(s)}
    asked: list[str] = []
    ways = re.findall(r"\[(up|down|apart|levels):(\d)\]", s.short)
    if len(ways) > 1:
        asked.append("Two distances: say each as a statement of its own.")
    elif search(r"DIST[^<]*(?:,|;|\band\b)[^<]*\b(?:double|doubled)\b", s):
        asked.append("Two statements: say the distance and the doubling each by itself.")
    elif ways and ways[0][0] == "levels":
        n = ways[0][1]
        asked.append(f"{n} octaves apart, or sounding on {n} octave levels?")
    fields |= _degree(s)
    if ways and ways[0][0] == "apart" and fields.get("octaves"):
        fields["direction"] = False
    return Found(fields, (doublers, line), asked)


def _degree(s: Sentence) -> JSON:
    match = re.search(r"\[(up|down|apart):(\d)\]", s.short)
    if match is None:
        return {}
    n = int(match.group(2))
    return {"octaves": -n if match.group(1) == "down" else n}


def cover(s: Sentence) -> str:
    """How much of the line: the value of the field."""
    return next((word for word, pattern in _COVER if has(pattern, s)), "full")
