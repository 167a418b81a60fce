"""What is said of one name: whether they play, their job, a mark, a register, an extreme, a share."""

from __future__ import annotations

import re
from dataclasses import replace

from analysis.engine.prose.concepts import about, spans
from analysis.engine.prose.kinds import extremes, playing
from analysis.engine.prose.kinds import role as role_words
from analysis.engine.prose.kinds.handover import FROM_ONE
from analysis.engine.prose.kinds.harmony import note_held
from analysis.engine.prose.phrase import JSON, Found, groups_in, has, search
from analysis.engine.prose.sentence import Sentence
from analysis.engine.prose.slots.frame import around, only, pair_of

#: Who does not stop or start but goes on: "stop playing" is a rest.
_STOPS = re.compile(
    r"\bnothing but (?:rests?|silence|pauses?)\b|\b(?:has|have) (?:only|just) (?:rests?|pauses?)\b|\b(?:stops?|stopped|ceases?|nothing(?: \w+)?|not(?: yet)?|without) (?:to )?(?:play\w*|sound\w*|do)\b"
)


_NOTHING_BUT = re.compile(r"\bnothing (?:but|except|else (?:but|than)) ")


def fill_playing(s: Sentence) -> Found | None:
    """Everybody, nobody, some alone, or whether the named play."""
    tokens = groups_in(s)
    short = _NOTHING_BUT.sub("only ", _STOPS.sub("rests", s.short))
    s = replace(s, short=short)
    rests, plays = about("rest", short), about("play", short)
    if not tokens:
        if (
            has(r"\bno(?:body|thing| one)\b", s)
            or about("pause", s.short)
            or (rests and about("all", s.short))
        ):
            return Found({"mode": "silence", **playing.unique(s)}) if not s.negated else None
        return Found({"mode": "tutti", **playing.unique(s)}) if about("all", s.short) else None
    if len(tokens) != 1 or len(re.findall(r"<\d+>", s.short)) != 1:
        return None
    token, parts = tokens[0], s.parts(tokens[0])
    if any(about(name, s.short) for name in _MORE):
        return None
    if has(_SOLE, s):
        return playing.sole_of(s, token) if plays or rests else None
    alone, others = _alone(s), about("else", s.short)
    if s.negated and (alone or others):
        return None
    if alone or others:
        if rests and (not others or alone):
            return None
        if others and not (rests or alone or has(r"\bno(?:body|thing| one)\b", s)):
            return None
        return Found({"mode": "only", "parts": parts}, (token,))
    if about("only", short) or has(r"\bnothing (?!to\b|at\b|but\b|@|$)\w+", s):
        return None
    if rests and playing.says_no_play(s):
        return Found({"mode": "rest", "parts": parts, "negated": False}, (token,))
    rests = rests or _denied(s)
    if rests and plays:
        return None
    if not rests and not plays:
        return None
    if rests and not s.negated and has(r"\b(?:the|some|its|their) (?:\w+ )?notes?\b", s):
        return None  # it is some notes that are missing
    mode = "rest" if rests != s.negated else "play"
    asked = playing.more(s.short) if mode == "play" else []
    return Found({"mode": mode, "parts": parts, "negated": False}, (token,), asked)


#: What would be more than whether they play.
_MORE = ("tune", "counter", "pulse", "figures", "harmony", "key", "chord", "pedal", "sequence", "imitate",
         "double", "same", "hold", "octave", "interval", "register", "beat", "open", "muted", "plucked",
         "bowed", "divided", "mark", "compare")  # fmt: skip
_SOLE = (
    r"\bthe only (?:one|such|time|place|passage|bars?)\b|\bnowhere else\b|\bonly (?:here|there)\b"
)
_BEFORE = r"\b(?:only|just|solely|exclusively|nobody but|none but|nothing but|nothing except|nur|seulement|soltanto)"
_AFTER = (
    r"^(?:is|are|plays?|sounds?|playing|sounding|left|remains?|stays?|heard|spiel\w+|jou\w+|suona\w*|\s)*"
    r"(?:alone|only|allein\w*|seule?s?|sol[aoie]|unaccompanied|(?:all )?(?:by|on) (?:itself|themselves|its own|their own))"
    r"(?=\s*(?:$|[@,.:;!)(]|and\b|play|in\b))"
)


def _alone(s: Sentence) -> bool:
    """Whether "only" stands beside the name."""
    before, after = around(s)
    return (
        re.search(rf"{_BEFORE}(?: \w+)?(?: the)?$", before) is not None
        or re.search(_AFTER, after) is not None
    )


def _denied(s: Sentence) -> bool:
    """ "No oboes", "without the horns"."""
    before, _ = around(s)
    return re.search(r"\b(?:no|without|ohne|sans|senza)(?: the)?$", before) is not None


_HANDS_ON = r"\b(?:hand(?:s|ed|ing)|pass(?:es|ed|ing)?|throws?|yields?|leaves|leaving)\b"
#: Words of a role, where they are not the concept's own.
_ROLES = (
    ("countermelody", "counter"), ("melody", "tune"), ("answer", "answer"), ("bass line", "bass line"),
    ("pulse", "pulse"), ("punctuation", "punctuate"), ("figuration", "figures"),
)  # fmt: skip
#: A line that is another's: they do something beside it, about it, with it.
_BESIDE = re.compile(
    r"\b(?:under\w*|below|beneath|over|above|against|around|round|behind|after|before|than|without|instead|between|about|along|like"
    r"|off|beside|to|for|of|colou?rs?|decorat\w*|ornament\w*|embellish\w*|adorn\w*|support\w*|reinforc\w*|thicken\w*|doubl\w*"
    r"|accompan\w*|shar\w*|interrupt\w*|punctuat\w*|half|part|parts|some|bits?|fragments?)\b"
)
_BELONGS = re.compile(
    r"\b(?:belongs|given|goes|passes|passed|handed|assigned|entrusted|moves?|moved|returns?|falls|left) to\b"
)


def fill_role(s: Sentence) -> Found | None:
    """The job of one name. Of two lines, or of a line that is another's, nothing is taken for sure."""
    if (found := role_words.unclear(s)) is not None:
        return found
    token, told = only(s), []
    if token is None and (of := _beside_another(s)) is not None:
        token, other = of
        told = [left_out(s.parts(other))]
        s = replace(s, short=s.short[: s.short.index(f"<{other}>")])
        s = replace(
            s,
            short=re.sub(
                r"\b(?:of|to|against|for|with|over|under|above|below) *$",
                "",
                s.short,
            ),
        )
    if token is None or has(_HANDS_ON, s) or search(FROM_ONE, s) or note_held(s):
        return None
    parts = s.parts(token)
    said = {role: spans(name, s.short)[0] for role, name in _ROLES if spans(name, s.short)}
    if "countermelody" in said:
        said = {
            k: v
            for k, v in said.items()
            if k == "countermelody" or v[0] < said["countermelody"][0] - 30
        }
    chordal = about("harmony", s.short)
    if chordal and about("hold", s.short):
        said["held harmony"] = spans("harmony", s.short)[0]
    elif "figuration" in said and about("accompany", s.short) and has(role_words.CHORDS, s):
        said = {
            "moving harmony": said["figuration"]
        }  # broken chords are figuration only around a line
    elif chordal and about("moving", s.short) and "figuration" not in said:
        said["moving harmony"] = spans("harmony", s.short)[0]
    elif about("hold", s.short) and about("note", s.short):
        said["held harmony"] = spans("hold", s.short)[0]
    if {"held harmony", "pulse"} <= set(said) or not said:
        return None
    if len(said) > 1:
        said = _theirs(s, said)
    if len(said) != 1:
        return None
    role, (start, end) = next(iter(said.items()))
    if role in ("melody", "countermelody", "bass line"):
        at = s.short.index("<")
        inner = s.short[at + 3 : start] if at < start else s.short[end:at]
        if role_words.LETS_GO.search(inner) or _BESIDE.search(_BELONGS.sub(" ", inner)):
            return None
        if at < start and re.search(r"[a-z]{4,}", inner) and not role_words.HAS.search(inner):
            return None  # no word that says they have it
        lends = at < start and re.search(r"\b(?:gives?|lends?|adds?|brings?)\b", inner)
        if lends and not re.match(r"\W*(?:@|$)", s.short[end:]):
            return None  # "gives the tune some weight"
    used = (token,) if not told else (token, other)
    return Found({"role": role, "parts": parts}, used, told=told)


#: "A countermelody to the tune of ...", "answers the ...": whom it goes beside has no field.
_TO_ANOTHER = re.compile(
    r"\b(?:counter[\s-]?\w+|answer\w*|descant|reply|replies|respon\w+)\b"
    r"(?: (?:to|against|for|with|over|under|above|below|of|the|line|tune|theme|melody|phrase))*$"
)


def _beside_another(s: Sentence) -> tuple[str, str] | None:
    """(who has the role, beside whom)."""
    p = pair_of(s)
    if p is None or "[" in s.short or not _TO_ANOTHER.search(p.between):
        return None
    return p.first, p.second


def left_out(names: list[str]) -> str:
    """What is told of a name for which the kind has no field."""
    return f"{' and '.join(f'“{n}”' for n in names)}: this kind of statement has no field for it; left out."


def _theirs(s: Sentence, said: dict[str, tuple[int, int]]) -> dict[str, tuple[int, int]]:
    """Without the tune that somebody else has: "chords under the tune"."""
    start = said.get("melody", (0, 0))[0]
    if "melody" in said and re.search(
        r"\b(?:under\w*|below|beneath|against|around|behind|to|for|accompan\w+|with|of|while)(?: (?:the|this|that))?(?: \w+)? $",
        s.short[:start],
    ):
        return {role: span for role, span in said.items() if role != "melody"}
    return said


_MARKS = (
    ("con sord.", "muted"), ("senza sord.", "unmuted"), ("pizz.", "plucked"), ("arco", "bowed"),
    ("div.", "divided"), ("a 2", "a 2"),
)  # fmt: skip
_OTHERS = (("col legno", r"col legno"), ("sul ponticello", r"\bpont\w*"), ("trem.", r"\btrem\w*"),
           ("dolce", r"\bdolce\b"), ("solo", r"\b(?:marked|mark|says?|printed|written) \W*solo\b"))  # fmt: skip
_HIGH = r"\b(?:high|highest|top|upper|hohe\w*|aigu\w*|acut\w*)\b"
_LOW = r"\b(?:low|lowest|bottom|deep|deepest|chalumeau|tiefe\w*|grave\w*)\b"
_MIDDLE = r"\b(?:middle|mid|mittler\w*|medium|medio)\b"


def fill_marking(s: Sentence) -> Found | None:
    """The mark, or the register."""
    token = only(s)
    if token is None:
        return None
    marks = [mark for mark, name in _MARKS if about(name, s.short)]
    marks += [mark for mark, words in _OTHERS if has(words, s)]
    if "senza sord." in marks and "con sord." in marks:
        marks.remove("con sord.")
    where = [
        name
        for name, words in (("high", _HIGH), ("low", _LOW), ("middle", _MIDDLE))
        if has(words, s)
    ]
    fields: JSON = {"parts": s.parts(token)}
    if about("register", s.short) and len(where) == 1 and not marks:
        return Found({**fields, "register": where[0]}, (token,))
    if len(marks) == 1 and not about("register", s.short):
        return Found({**fields, "mark": marks[0]}, (token,))
    return None


def fill_range(s: Sentence) -> Found | None:
    """The highest or lowest note of somebody."""
    high = has(
        r"\b(?:highest|top(?:most)?|peak\w*|hochste\w*|aigu\w*|up to|climbs?|ascends?|rises?)\b", s
    )
    low = has(r"\b(?:lowest|bottom|deepest|tiefste\w*|grave\w*|down to|descends?)\b", s)
    token = only(s)
    if token is None or high == low or s.negated:
        return None
    return extremes.of(s, token, "highest" if high else "lowest")


def fill_share(s: Sentence) -> Found | None:
    """Who has the most of it."""
    token = only(s)
    if token is None or not about("most", s.short):
        return None
    name = s.parts(token)
    of = "melody" if about("tune", s.short) else "notes"
    of = "bars" if has(r"\bmost (?:of the )?bars\b", s) else of
    asked = [] if len(name) == 1 else ["Name one part or family that dominates."]
    return Found({"of": of, "predominant": name[0]}, (token,), asked)
