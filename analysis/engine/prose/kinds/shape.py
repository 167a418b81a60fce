"""Kinds of a whole passage: textures, build-ups, sequences, imitation, shares, sides."""

from __future__ import annotations

import re

from analysis.engine import places
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.prose.kinds.handover import lies_in
from analysis.engine.prose.phrase import JSON, Found, groups_in, has, search
from analysis.engine.prose.sentence import Sentence, folded

_TEXTURES = (
    ("melody-countermelody", r"melody (?:and|with|plus|\+) (?:a )?counter[\s-]?melody"),
    ("melody-accompaniment", r"(?:melody|tune|theme) (?:and|with|plus|over|\+) (?:\w+ )?accompaniment|homophon\w+ with melody"
                             r"|accompanied melody"),
    ("chorale", r"chorale?(?:[\s-]like)?(?: texture)?|homorhythm\w*|hymn[\s-]like"),
    ("imitation", r"imitative texture|fugal texture|fugato"),
    ("dialogue", r"dialogue|question and answer|call and response|antiphon\w*"),
    ("held-chords", r"(?:nothing but |only )?(?:held|sustained) chords(?: only| alone)"),
    ("layered", r"layer(?:ed|s)"),
    ("part-writing", r"part[\s-]?writing|polyphon\w+|contrapuntal"),
    ("single-line", r"single line|one and the same line|monophon\w+|all in unison|unison texture|\[apart:0\] texture|one line"
                    r"|(?:all|everything|everybody|everyone)(?: (?:the )?(?:instruments|parts|voices))?(?: plays?| is| are)? \[apart:[01]\](?: and (?:octaves|\[apart:1\]))?(?! <)"),
)  # fmt: skip
_BY = (
    ("forces", r"add(?:s|ed|ing) (?:\w+ )?(?:instruments|parts|players|voices|winds|strings|brass)|more (?:and more )?(?:instruments|parts|players)|instruments (?:are added|join)"
               r"|thicker|added instruments|growing forces|forces"),
    ("loudness", r"louder|crescendo|cresc\.?|dynamics?|loudness|volume"),
    ("height", r"higher(?! than)|rises?|rising|climb\w*|ascend\w*|height|pitch rises"),
    ("rhythm", r"faster notes|shorter (?:notes|values)|quicker|denser rhythm|rhythm\w*|diminution"),
    ("harmony", r"harmon\w+|dissonan\w+|chromatic\w*"),
)  # fmt: skip
_BUILD = r"\b(?:build[\s-]?up|builds? up|building up|tension|intensif\w+|climax is prepared|gradation|steigerung|thinning[\s-]out|thins? out)\b"
_GROWS = r"\b(?:crescendo|cresc\b\.?|more and more|gradual\w*|grow\w*|increas\w*|louder)"
_GO = r"\b(?:(?:go(?:es)?|moves?|runs?) (?:along )?with|doubl(?:es?|ing)|sides with) "
#: A model taken up again at another step; "a third higher" with no model is an interval of two parts.
_AGAIN = (
    r"\b(?:repeat(?:s|ed|ing)?|restat(?:es?|ed|ing)|transpos(?:es?|ed|ing)) (?:(?:the|its|their|this|that|a|same|\w+) ){0,3}"
    r"(?:motif|motive|figure|phrase|idea|pattern|model|bars?|theme)s? (?:\w+ ){0,3}?"
    r"(?:second|step|third|fourth|fifth|sixth) (?:higher|lower|up|down|above|below)\b(?! (?:than|of|the)\b| <)"
)
#: "Three times, each time a step higher": a model restated, without its name.
_EACH_TIME = r"\beach time (?:an?|one) (?:second|step|third|fourth|fifth|sixth) (?:higher|lower|up|down)\b(?! than)"
#: Parts that follow each other, no sequence.
_FOLLOWING = r"\b(?:imitat\w+|canon\w*|fug(?:ue|al)|stretto|enter(?:s|ing)?|entr(?:y|ies))\b"
_BREAKS = r"\b(?:breaks? (?:off|down)|is broken(?: off)?|stops?|ends?|is cut (?:off|short)|is abandoned|is interrupted)\b(?: already| suddenly)?(?: in| at)? ?@"
_COUNT = {"twice": 2, "thrice": 3, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6}
_STEPS = {
    "second": 1,
    "step": 1,
    "tone": 1,
    "whole tone": 1,
    "whole step": 1,
    "degree": 1,
    "third": 2,
    "fourth": 3,
    "fifth": 4,
    "sixth": 5,
}


def read_texture(s: Sentence) -> Found | None:
    """A texture by its name."""
    tokens = groups_in(s)
    for name, words in _TEXTURES:
        if has(rf"(?<!\w)(?:{words})(?!\w)", s) and (
            not tokens or has(r"\btexture\b|\bdialogue\b", s)
        ):
            asked = ["A texture is said of everybody who plays; take the parts out."] * bool(tokens)
            return Found({"texture": name}, tuple(tokens), asked)
    return None


def read_build_up(s: Sentence) -> Found | None:
    """Growing tension, and by what; "without a crescendo" names what does not rise."""
    grows = has(_GROWS, s) and not groups_in(s) and sum(has(rf"\b(?:{w})\b", s) for _, w in _BY) > 1
    if not has(_BUILD, s) and not grows:
        return None
    said = re.sub(
        r"\b(?:tension|excitement|intensity) (?:ris|climb)\w+|\brising (?=tension)", " ", s.short
    )
    parted = re.split(r"\bwithout\b|\bbut no\b", said, maxsplit=1)
    by = [name for name, words in _BY if re.search(rf"\b(?:{words})\b", parted[0])]
    fields: dict[str, object] = {"by": by}
    if len(parted) > 1:
        fields["without"] = [n for n, words in _BY if re.search(rf"\b(?:{words})\b", parted[1])]
    if has(r"\bthin\w* out|thinning", s):
        fields["negated"] = True
    asked = [] if by else ["By what does it grow: forces, loudness, height, rhythm, harmony?"]
    return Found(fields, (), asked)


def read_sequence(s: Sentence) -> Found | None:
    """A model restated so many times, by so many steps."""
    again = has(_AGAIN, s) or (
        has(_EACH_TIME, s) and len(groups_in(s)) == 1 and not has(_FOLLOWING, s)
    )
    if not again and not has(r"\bsequen(?:ce|ces|ced|cing|tial|tially|z)\b|\brosalia\b", s):
        return None
    return sequence_of(s)


def sequence_of(s: Sentence) -> Found:
    """In whom, how often, by how much."""
    tokens = groups_in(s)
    fields: dict[str, object] = {"parts": s.parts(*tokens)}
    many = (
        search(
            r"\b(?P<n>two|three|four|five|six|[2-6])[ -]?(?:times|statements?|limbs?|links?|×|x|steps|stages|members)(?!\w)",
            s,
        )
        or search(r"[x×] ?(?P<n>[2-6])\b", s)
        or search(r"\b(?P<n>twice|thrice)\b", s)
    )
    if many is not None:
        fields["statements"] = _COUNT.get(many["n"]) or int(many["n"])
    counted = search(
        r"\b(?:i count|in all|altogether|in total)\W* (?P<n>two|three|four|five|six|[2-6])\b|\b(?P<m>two|three|four|five|six|[2-6]) (?:in all|altogether|in total|of them)\b",
        s,
    )
    if many is None and counted is not None:
        said = counted["n"] or counted["m"]
        fields["statements"] = _COUNT.get(said) or int(said)
    if (
        (broken := search(_BREAKS, s))
        and len(s.places) == 2
        and s.short[: broken.end()].count("@") == 2
    ):
        point = single_bar(s, 1)
        if point is not None and lies_in(s, 1, 0):
            fields |= {"breaks-at": {"bar": point}, "bars": s.places[0]}
    step = search(
        r"\b(?P<step>second|step|third|fourth|fifth|sixth)s?\b(?! (?:time|limb|statement|bar))", s
    ) or search(r"\ba (?P<step>tone|whole tone|whole step|degree)\b", s)
    way = search(
        r"\b(?P<way>up|down|upwards?|downwards?|rising|rises?|climbs?|climbing|falling|falls?|drops?|dropping|sinks?|sinking|descends?|descending|ascends?|ascending|higher|lower|above|below|deeper)\b",
        s,
    )
    if step is not None and way is not None:
        down = way["way"].startswith(
            ("down", "fall", "descend", "lower", "below", "drop", "sink", "deep")
        )
        fields["step"] = -_STEPS[step["step"]] if down else _STEPS[step["step"]]
    asked = [] if tokens else ["A sequence in which part?"]
    return Found(fields, tuple(tokens), asked)


def single_bar(s: Sentence, at: int) -> str | None:
    """The label of a place of one bar."""
    try:
        span = places.resolve(s.places[at], s.table, s.movement)
    except ClaimNotUnderstood:
        return None
    return s.table.bars[span.first].label if span.first == span.last else None


def read_imitation(s: Sentence) -> Found | None:
    """Who follows whom; the entries' places are asked for."""
    if not has(r"\b(?:imitat\w+|canon\w*|fugue|fugal|stretto|enters? in turn|one after (?:the other|another))\b",
               s) and not search(BEGINS_THEN, s):  # fmt: skip
        return None
    return imitation_of(s)


def imitation_of(s: Sentence) -> Found | None:
    """Who follows whom, and where each enters."""
    tokens = groups_in(s)
    if not tokens:
        return None
    if entries := _each_at(s) or _earlier_first(s, tokens):
        return _entering(s, entries, tokens)
    names = [name for token in tokens for name in s.sides(token)]
    if len(tokens) == 2 and search(
        r"A! ~\b(?:imitat(?:es?|ing)|follows?|answers?)\b(?! by) ~B!", s
    ):
        names = [*s.sides(tokens[1]), *s.sides(tokens[0])]  # who is imitated comes first
    bars = _entry_bars(s, len(names))
    if not bars:
        asked = ["At which bar and beat does each part enter?"]
        return Found({"entries": []}, tuple(tokens), asked)
    return _entering(s, list(zip(names, bars, strict=True)), tokens)


def _entering(s: Sentence, entries: list[tuple[str, int]], tokens: list[str]) -> Found:
    """The fields of entries, each (who, bar index), in their order."""
    fields: JSON = {
        "entries": [
            {"part": name, "at": {"bar": s.table.bars[bar].label}} for name, bar in entries
        ],
        "bars": places.place_of(s.table, entries[0][1], entries[-1][1]),
    }
    if len(s.places) == 2 and lies_in(s, 1, 0):
        fields["bars"] = s.places[0]
    told: list[str] = []
    away = re.search(r"\[(up|down):(\d)\]", s.short)
    step = search(
        rf"\ban? (?P<size>{'|'.join(_STEPS)}) (?P<way>higher|lower|above|below|up|down)\b", s
    )
    if away is None and "[apart:0]" in s.short:
        fields["interval"] = 0
    elif len(entries) == 2 and away is not None:
        fields["interval"] = 12 * int(away[2]) * (1 if away[1] == "up" else -1)
    elif len(entries) == 2 and step is not None:
        semitones = {"fourth": 5, "fifth": 7}.get(step["size"])
        down = step["way"] in ("lower", "below", "down")
        if semitones is None:
            told.append(f"“{step[0]}”: major or minor is not said, so the interval is left open.")
        else:
            fields["interval"] = -semitones if down else semitones
    return Found(fields, tuple(tokens), told=told)


def _bars_in(s: Sentence) -> list[tuple[int, int]]:
    """First and last bar of each place."""
    try:
        spans = [places.resolve(place, s.table, s.movement) for place in s.places]
    except ClaimNotUnderstood:
        return []
    return [(span.first, span.last) for span in spans]


def _each_at(s: Sentence) -> list[tuple[str, int]]:
    """Each name with the bar that stands beside it: "oboe 1 in 20, flute 1 in 21"."""
    bars = _bars_in(s)
    marks = re.findall(r"<\d+>|@", s.short)
    if len(bars) < 2 or len(bars) != marks.count("@"):
        return []
    found: dict[str, int] = {}
    ahead = re.match(r"(?:@)?@<\d+>@", "".join(re.sub(r"<\d+>", "<0>", m) for m in marks))
    seen = -1
    for i, mark in enumerate(marks):
        seen += mark == "@"
        if mark == "@":
            continue
        near = i - 1 if ahead and marks[0] == "@" else i + 1
        if not 0 <= near < len(marks) or marks[near] != "@":
            continue
        first, last = bars[seen if near < i else seen + 1]
        names = s.sides(mark[1:-1])
        if first != last or len(names) != 1 or found.get(names[0], first) != first:
            return []
        found[names[0]] = first
    everybody = {name for token in groups_in(s) for name in s.sides(token)}
    order = sorted(found.items(), key=lambda one: one[1])
    apart = len({bar for _, bar in order}) == len(order)
    return order if len(order) > 1 and everybody == set(found) and apart else []


#: "A imitates B": who is named first enters later.
_IMITATES = r"A! ~\b(?:imitat(?:es?|ing)|follows?|answers?)\b(?! by) ~B!"
#: "A begins, then B comes in with the same theme".
BEGINS_THEN = (
    r"A! (?:\w+ )?(?:begins?|starts?|enters?|opens?|leads(?: off)?)\b ~B! (?:\w+ )?(?:comes? in|enters?|follows?|joins?(?: in)?|sets? in)\b"
    r" ~\bsame (?:motif|motive|theme|subject|figure|idea|tune|phrase|line|melody|notes|thing)s?\b"
)


def _earlier_first(s: Sentence, tokens: list[str]) -> list[tuple[str, int]]:
    """Two entries of which the order says who comes first: in two bars, or from a passage's start."""
    bars = _bars_in(s)
    turned, told = search(_IMITATES, s), search(BEGINS_THEN, s)
    if len(tokens) != 2 or len(bars) != 2 or not (turned or told):
        return []
    one, other = (s.sides(token) for token in tokens)
    if len(one) != 1 or len(other) != 1:
        return []
    names = (other[0], one[0]) if turned else (one[0], other[0])
    (a, a_end), (b, b_end) = bars
    if b == b_end and lies_in(s, 1, 0) and b > a:
        return [(names[0], a), (names[1], b)]
    if a == a_end and b == b_end and a != b and (turned or a < b):
        return [(names[0], min(a, b)), (names[1], max(a, b))]
    return []


def _entry_bars(s: Sentence, count: int) -> list[int]:
    """A bar for each part, in the order of the entries; none where not each is said."""
    try:
        spans = [places.resolve(place, s.table, s.movement) for place in s.places]
    except ClaimNotUnderstood:
        return []
    if count < 2 or not spans:
        return []
    whole, each = spans[0], spans[1:]
    if len(each) == count and (whole.first, whole.last) == (each[0].first, each[-1].last):
        spans = each  # the place of them all, then each one's bar
    if len(spans) == count and all(span.first == span.last for span in spans):
        bars = [span.first for span in spans]
        return bars if bars == sorted(set(bars)) else []
    if len(spans) > 1:
        return []
    first, last = spans[0].first, spans[0].last
    later = search(
        r"\b(?P<n>one|two|three|an?|[1-4]) bars? (?:later|after|apart|behind|afterwards)\b", s
    )
    step = {"a": 1, "an": 1, "one": 1, **_COUNT}.get(later["n"]) or int(later["n"]) if later else 0
    listed = re.search(r"\d[a-z]?\s*(?:,\s*and|,|/|&|and)\s*\d", folded(s.raw))
    if listed and last - first + 1 == count and step in (0, 1):
        return list(range(first, last + 1))
    end = first + step * (count - 1)
    if step and first == last and end <= s.table.movements[s.movement].last_bar:
        return list(range(first, end + 1, step))
    return []


def read_share(s: Sentence) -> Found | None:
    """Who has the most of something."""
    match = search(
        r"A! ~\b(?:dominat\w+|predominat\w+|prevails?|(?:has|have|plays?|gets?|takes?) (?:the |by far |in )*(?:most|lion share|bulk|greater part|larger part|majority|(?:greatest|largest|biggest|best|main|major|greater|larger|bigger|highest) (?:share|part|portion|proportion|number|amount|piece)))\b",
        s,
    )
    match = match or search(
        r"\bmost of the (?:notes|bars|melody|tune) ~(?:belongs?|goes?|is|are|lies?) ~A!", s
    )
    match = match or search(
        r"A! ~\b(?:more|most) (?:of the )?(?:bars|notes|melody|tune|theme)\b ~\bthan (?:any\w*|every\w*|all|the others?|the rest|others|other)\b",
        s,
    )
    mostly = (
        r"\b(?:most(?:ly| of the time)|mainly|chiefly|largely|predominantly|for the most part)\b"
    )
    match = match or search(
        rf"\b(?:melody|tune|theme)\b ~{mostly}(?: (?:with|in|by|to|on|at|given|played|carried|heard))* A!",
        s,
    )
    match = match or search(
        rf"{mostly} ~\b(?:melody|tune|theme)\b (?:is|lies|sits|stays|belongs|goes) (?:in|with|to|by) A!",
        s,
    )
    match = match or search(
        rf"A! (?:\w+ )?{mostly} (?:\w+ )?(?:the )?(?:\w+ )?(?:melody|tune|theme)\b", s
    )
    match = match or search(
        rf"{mostly} A! (?:\w+ )?(?:has|have|plays?|carry|carries|sings?|gets?) ~\b(?:melody|tune|theme)\b",
        s,
    )
    match = match or search(
        rf"A! (?:\w+ )?(?:has|have|plays?|gets?|carries) ~\b(?:melody|tune|theme)\b {mostly}", s
    )
    if match is None:
        return None
    of = "melody" if has(r"\b(?:melody|tune|theme)\b", s) else "notes"
    of = (
        "bars"
        if has(r"\b(?:most|more|number of|majority of|bulk of) (?:(?:of )?the )?bars\b", s)
        else of
    )
    name = s.parts(match["a"])
    asked = [] if len(name) == 1 else ["Name one part or family that dominates."]
    fields = {"of": of, **({"predominant": name[0]} if name else {})}
    return Found(fields, (match["a"],), asked)


def read_side(s: Sentence) -> Found | None:
    """Which family a part goes with."""
    if has(r"\bdoubl\w* <\d+> rhythm", s):
        return None  # their rhythm, or their notes: asked
    match = (
        search(
            rf"A! ~{_GO}B! ~\b(?:in (?:rhythm|role|pitch)|rhythm\w*|by (?:rhythm|role|pitch|function))\b",
            s,
        )
        or search(rf"A! ~\b(?:rhythmically|in rhythm) ~{_GO}B!", s)
        or search(rf"\b(?:rhythmically|in rhythm)\W* A! {_GO}B!", s)
        or search(r"A! ~\b(?:sides?|belongs?|belonging|allied|grouped)\b(?: ~)? (?:with|to) ~B!", s)
    )
    if match is None:
        return None
    by = "role" if has(r"\brole|\bjob|\bfunction", s) else "pitch"
    by = "rhythm" if has(r"\brhythm", s) else by
    side = s.parts(match["b"])
    used = [match["a"], match["b"]]
    if instead := search(r"\b(?:rather than|instead of|more than) (?:with )?C!", s):
        used.append(instead["c"])
    fields = {"parts": s.parts(match["a"]), "by": by, **({"side": side[0]} if side else {})}
    return Found(fields, tuple(used))
