"""Two lines held against each other: who does it and to whom, whichever is named first."""

from __future__ import annotations

import re
from dataclasses import replace

from analysis.engine.prose.concepts import about
from analysis.engine.prose.kinds import crossing, doubling, parallel, reinforcement
from analysis.engine.prose.kinds.handover import NO_LINE, bars_of, point_of
from analysis.engine.prose.phrase import JSON, Found, groups_in, has, search
from analysis.engine.prose.sentence import Sentence
from analysis.engine.prose.slots.frame import Pair, around, only, pair_of

_TUNE = r"(?:bass|melod\w*|tunes?|themes?|thema|tema|lines?|cantilena|\w*line|part|notes)"
_DONE = r"\b(?:\w+ed|\w+en|held|sung|taken|given|lent|had|done|got|raddoppiat\w|verdoppelt|doublee?s?)\b"
#: The second name is the doer: "the cellos are shadowed by the basses".
_BY = re.compile(rf"{_DONE}[^;]*\b(?:by|von|vom|par|da|dal\w*|durch)(?: the)?$|\bby(?: the)?$")
#: Who has the tune is doubled by whom comes with it: "A has the tune, with B an octave below".
_HAS_TUNE = re.compile(
    rf"^(?:\w+ )?(?:has|have|plays?|sings?|carr(?:y|ies)|states?|leads?|gets?|takes?)\b[^;]*\b{_TUNE}\b.*"
    r"(?:,|\band\b|\bwith\b|\bwhile\b|\bwhere\b|:|-)"
)
_ITS_TUNE = re.compile(rf"\b{_TUNE}\b[^;]*\b(?:in|with|by|to|on|of|for)$")
_IS_TUNE = re.compile(
    rf"\b{_TUNE}\b[^;]*\b(?:is|lies|sits|belongs|stays|remains|goes|given)\b(?: (?:in|to|with|by))?$"
)
_WITH = re.compile(r"(?:^|\W)(?:with|plus|joined by|together with|supported by|mit|avec|con)$")
_GOES = re.compile(
    r"\b(?:goes|go|going|moves?|plays?|playing|runs?|walks?|along|together|unison|same|sounds?|is|are|coincides?|blends?"
    r"|merges?|fuses?|joins?|unites?|doubl\w+|sticks?|stays?|keeps?|teams?|pairs?|couples?|agrees?|identical|share\w*)\b|\[apart"
)
_AT_LAST = re.compile(r"\[(?:up|down):\d\](?:\s+(?:than|of|from|to|by))?$")
_ALL_OF = re.compile(
    r"\b(?:what(?:ever)?|everything|all(?: that)?|every note(?: that)?|each note)$"
)
_IN = re.compile(r"(?:\]|\btoo|\bas well|\balso|,)\W*(?:in|on|by)$")


def doubler(p: Pair) -> tuple[str, str]:
    """(who doubles, whom)."""
    second = (
        _BY.search(p.between) is not None
        or _HAS_TUNE.search(p.between) is not None
        or (_ITS_TUNE.search(p.before) is not None and not re.search(r"\bto$", p.before))
        or _AT_LAST.search(p.before) is not None
        or _ALL_OF.search(p.before) is not None
        or _IN.search(p.between) is not None
        or re.search(
            r"\b(?:beneath|under(?:neath)?|below|above|over|behind|alongside|beside)$", p.before
        )
        is not None
        or (
            re.search(r"(?:[,;]|\band)$", p.between) is not None
            and re.match(r"(?:\w+ )?(?:joins?|follows?)(?: in| it| them)? ?\[(?:up|down)", p.after)
            is not None
        )
        or (p.between.endswith(":") and not _GOES.search(p.between))
        or (
            _WITH.search(p.between) is not None
            and not _GOES.search(p.between)
            and (
                re.search(r"\[(?:up|down):\d\]", p.after) is not None
                or _IS_TUNE.search(p.before) is not None
            )
        )
    )
    return (p.second, p.first) if second else (p.first, p.second)


#: What makes two lines one, where no distance is named.
_DOUBLES = ("double", "same", "follow", "undoubled", "simplify", "adorn")


def fill_doubling(s: Sentence) -> Found | None:
    """Who doubles whom, how far apart, how much of it; or that nobody does."""
    if ("[" not in s.short and about("interval", s.short)) or about("beat", s.short):
        return None  # a sixth apart, or some beats alone
    if has(doubling.SIDE_OR_MARK, s):
        return None
    if has(r"\bsome(?:one|body)\b", s) or about("counter", s.short):
        return None  # it is left open who, or it is no doubling
    if has(r"\bpick(?:s|ing)? out\b", s) or (
        has(r"\b(?:comes? in|enters?|joins?)\b", s) and about("begin", s.short)
    ):
        return None  # some notes alone, or one after the other
    if has(r"\bsame (?:role|job|function|rhythm|register|way|manner|time)\b", s):
        return None
    if "[" not in s.short and about("accompany", s.short):
        return None
    if "[" not in s.short and not any(about(name, s.short) for name in _DOUBLES):
        return None
    if (token := only(s)) is not None:
        return _of_one(s, token)
    p = pair_of(s)
    if p is None:
        return doubling.both(s) if "[levels:" in s.short else None
    if "[" not in s.short and re.match(r"(?:also |then |just )?follows?\b", p.after):
        return None  # "A leads and B follow": one after the other, or one with the other
    who = doubler(p)
    if "[levels:" in s.short and not about("double", p.between):
        return doubling.both(s)
    apart = re.search(r"\[apart:[1-9]\]", s.short)
    if apart and re.search(r"\[(?:up|down):", s.short) is None and not p.before.endswith("]"):
        return doubling.both(s)
    return doubling.pair(s, *who)


def _of_one(s: Sentence, token: str) -> Found | None:
    """One name: nobody doubles it, or it is of several lines that go together."""
    names = s.sides(token)
    if len(names) > 1 and "[" not in s.short and about("same", s.short):
        said: JSON = {"parts": list(names[:-1]), "with": [names[-1]], "coverage": "full"}
        return Found(said, (token,))
    before, after = around(s)
    if len(names) == 2 and s.group(token).by_comma:
        leads = _ITS_TUNE.search(before) or _IS_TUNE.search(before)
        if _AT_LAST.search(before) or (leads and re.match(r"\W*\[(?:up|down):", after)):
            return _told_after(s, token, names)
    if len(names) == 2 and s.negated and has(_NO_REAL, s):
        fields: JSON = {"parts": [names[0]], "with": [names[1]], "coverage": "full"}
        return Found(fields, (token,))
    if (
        "[" not in s.short
        and len(names) > 1
        and not s.negated
        and has(
            r"\b(?:heterophon\w*|doubling|unison) (?:between|of|in|by)$", replace(s, short=before)
        )
    ):
        cover = doubling.cover(s)
        return Found({"parts": list(names[:-1]), "with": [names[-1]], "coverage": cover}, (token,))
    if "[" not in s.short and (has(_NOBODY, s) or (s.negated and about("double", s.short))):
        fields = {"parts": s.parts(token), "coverage": "none", "negated": False}
        return Found(fields, (token,))
    return doubling.both(s)


#: "Not a real doubling: A and B only meet now and then" is said of the two.
_NO_REAL = r"\b(?:an?|any|real|true|proper|strict|actual|exact|no) doubling\b"
_NOBODY = (
    r"\b(?:undoubled|unsupported|unaccompanied|no doubling|without (?:any )?(?:doubling|support))\b"
    r"|\b(?:nobody|no ?one|no other|nothing|no part|no instrument|niemand|personne|nessuno)\b.*"
    r"\b(?:doubl\w+|same|support\w*|helps?|beside|shadow\w*|follow\w*|copies|verdoppelt|raddoppia|with)\b"
    r"|\b(?:doubl\w+|support\w*|helped|shadowed) by (?:nobody|no ?one|nothing|none)\b"
)


def _told_after(s: Sentence, token: str, names: tuple[str, ...]) -> Found:
    """ "The tune in A, B an octave below": the second doubles the first."""
    both = s.group(token)
    one, other = replace(both, names=names[:1]), replace(both, names=names[1:])
    apart = replace(s, groups=(*s.groups, one, other))
    found = doubling.pair(apart, str(len(s.groups) + 1), str(len(s.groups)))
    return Found(found.fields, (token,), found.questions)


def fill_parallel(s: Sentence) -> Found | None:
    """The two lines and their interval; neither of them leads."""
    named = parallel.interval_words(s)
    tokens = groups_in(s)
    if search(parallel.AFTER, s) or len(named) != 1 or not 0 < len(tokens) < 3:
        return None
    if len(tokens) == 2:
        parts, others = s.parts(tokens[0]), s.parts(tokens[1])
    else:
        names = list(s.sides(tokens[0]))
        if len(names) < 2:
            return None
        parts, others = names[:-1], names[-1:]
    return Found({"parts": parts, "with": others, "interval": named[0]}, tuple(tokens))


def fill_reinforcement(s: Sentence) -> Found | None:
    """Who supports which notes of whom."""
    p = pair_of(s)
    if p is None:
        return None
    who = (p.second, p.first) if _BY.search(p.between) else (p.first, p.second)
    return reinforcement.of(s, *who)


_OVER = r"\b(?:above|over|higher|uber|au-dessus|sopra|on top|overtops|overtakes)\b"
_UNDER = r"\b(?:below|under(?:neath)?|beneath|lower|unter|au-dessous|sotto)\b"


def fill_crossing(s: Sentence) -> Found | None:
    """Which of two sounds above the other."""
    p = pair_of(s)
    if p is None or "[" in s.short:
        return crossing.met(s)
    over, under = re.search(_OVER, p.between), re.search(_UNDER, p.between)
    if over and not under:
        return crossing.of(s, above=p.first, below=p.second)
    if under and not over:
        return crossing.of(s, above=p.second, below=p.first)
    return crossing.met(s)


_GIVES = re.compile(
    r"\b(?:hand\w*|pass\w*|giv\w+|throw\w*|yield\w*|transfer\w*|relay\w*|surrender\w*|leav\w+|cede\w*|entrust\w*|goes|moves?|wander\w*"
    r"|migrat\w*|switch\w*|jump\w*|shift\w*|baton|ubergib\w*|ubergeb\w*|transmet\w*|lend\w*|deliver\w*)\b"
)
_TAKES = re.compile(
    r"\b(?:tak\w+|took|inherit\w*|continu\w*|pick\w*|carr\w+|receiv\w*|ubernimm\w*|ubernehm\w*|repren\w*|riprend\w*|finish\w*|complet\w*"
    r"|resum\w*|ends?|goes on|gets?)\b"
)
_BEGINS = re.compile(
    r"\b(?:beg[aiu]ns?|start\w*|left off|leaves? off|stop\w*|open\w*|was playing|had been playing)\b"
)


def _passing(p: Pair) -> tuple[str, str] | None:
    """(from, to) of a line that is passed on."""
    both = f"{p.before} {p.between}"
    if re.fullmatch(r"\W*(?:→|->|=>|- >|= >)\W*", p.between):
        return p.first, p.second
    if re.search(r"\bfrom(?: the)?$", p.between):
        return p.second, p.first
    if re.search(r"\b(?:from|von|de|da)(?: the)?$", p.before) and re.search(
        r"(?:\b(?:to|into|zu|zur|a|al\w*)|->)(?: the)?$", p.between
    ):
        return p.first, p.second
    if _BY.search(p.between):
        return p.first, p.second
    if re.search(r"\b(?:to|onto|an|a|aux?|al\w*)(?: the)?$", p.between) and _GIVES.search(both):
        return p.first, p.second
    if re.search(r"\bafter$", p.before) and (_TAKES.search(p.between) or _TAKES.search(p.after)):
        return p.first, p.second
    if _BEGINS.search(p.between) and (_TAKES.search(p.between) or _TAKES.search(p.after)):
        return p.first, p.second
    if _TAKES.search(p.between) and _BEGINS.search(p.after):
        return p.second, p.first
    if re.search(r"\b(?:after|where|what)(?: the)?$", p.between) and _TAKES.search(p.between):
        return p.second, p.first
    return None


def fill_handover(s: Sentence) -> Found | None:
    """From whom to whom, and where."""
    p = pair_of(s)
    who = _passing(p) if p is not None and not search(NO_LINE, s) else None
    if who is None:
        return None
    one, other = s.group(who[0]), s.group(who[1])
    asked = []
    if len(one.names) != 1 or len(other.names) != 1:
        asked.append("From one line to one other: say each handover by itself.")
    fields: JSON = {"from": one.names[0], "to": other.names[0]}
    point = point_of(s)
    if point is not None:
        fields |= {"at": point, "bars": bars_of(s, point)}
    return Found(fields, who, asked)


def fill_side(s: Sentence) -> Found | None:
    """Who goes with which family, and in what."""
    instead = re.search(
        r"\s*,?\s*\b(?:rather than|instead of|more than)(?: with)?(?: the)? <(\d+)>", s.short
    )
    if instead:
        s = replace(s, short=s.short[: instead.start()] + s.short[instead.end() :])
    p = pair_of(s)
    sides = has(r"\b(?:sid(?:es?|ing)|belong\w*|allied|grouped|camp|team\w*|align\w*|loyal)\b", s)
    how = any(about(word, s.short) for word in ("rhythm", "role")) or has(r"\bpitch\w*\b", s)
    if p is None or "[" in s.short or not (sides or how):
        return None
    side = s.parts(p.second)
    asked = [] if len(side) == 1 else ["With whom: name one part or family."]
    by = next((word for word in ("rhythm", "role") if about(word, s.short)), "pitch")
    used = (p.first, p.second) + ((instead[1],) if instead else ())
    return Found({"parts": s.parts(p.first), "side": side[0], "by": by}, used, asked)
