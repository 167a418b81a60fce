""" "Violins I have the tune", "horns hold the harmony", "the violas' repeated quavers"."""

from __future__ import annotations

import re

from analysis.engine.prose.phrase import Found, groups_in, search
from analysis.engine.prose.sentence import Sentence

_ROLES = (
    ("countermelody", r"gegenstimme|(?:second|other|own) (?:melody|tune|theme|voice)(?= (?:~)?(?:against|under|below|over|above|beside|at the same time))|counter[\s-]?(?:melody|melodies|line|subject|theme)|obbligato line"),
    ("melody", r"melody|melodies|melodi[ea]|hauptstimme|tune|theme|thema|tema|main (?:line|voice|part)|principal (?:line|voice)|subject"
               r"|leading (?:line|voice)|melodic line|cantilena|canto"),
    ("answer", r"answer(?:ing phrase)?s?"),
    ("bass line", r"bass[\s-]?line|real bass|(?:the|true) bass|foundation|harmonic bass"),
    ("held harmony", r"(?:held|sustained|long|holding|sustaining) (?:harmon(?:y|ies)|chords?|notes?)"
                     r"|(?:holds?|sustains?) (?:the )?(?:harmon(?:y|ies)|chords?)|harmonic (?:bed|cushion|"
                     r"background|padding)|pads?"),
    ("moving harmony", r"moving (?:harmon(?:y|ies)|chords?)|chordal (?:movement|motion)|changing chords"),
    ("punctuation", r"punctuat\w*|(?:short|stabbing|isolated) chords?|chord stabs"),
    ("pulse", r"pulse|pulsing|pulsat\w*|repeated (?:notes|quavers|semiquavers|eighths|sixteenths|chords)"
              r"|off[\s-]?beats?|after[\s-]?beats?|ostinato rhythm|throbbing"),
    ("figuration", r"figuration|figures|arpeggi\w*|broken chords|passage[\s-]?work|runs|scales"
                   r"|murmuring|alberti"),
)  # fmt: skip
_LIES = r"is|lies|goes|played|carried|taken|sung|given|liegt|ist|est|sta|passe|e"
_AT = r"in|by|on|with|to|aux?|a|chez|alle?|ai|nell[ae]|nei|nel|im|bei"

#: What somebody does to a tune that is another's.
_AROUND = r"A! ~\b(?:decorat|ornament|embellish|adorn|garland)\w* ~\b(?:melody|tune|theme|line)\b"
CHORDS = r"\b(?:arpeggi\w*|broken chords|alberti)\b"
_ACCOMPANIES = r"\b(?:accompan\w+|backing|in the background)\b"
_BIT = r"\b(?:half|parts?|some|most|bits?|fragments?|shares?|snatch(?:es)?|pieces?|rest) of (?:the )?(?:\w+ )?(?:melody|tune|theme)\b"


#: Roles that are lines, of which others may do something without having them.
_LINES = frozenset({"melody", "countermelody", "bass line"})
HAS = re.compile(
    r"\b(?:has|have|had|having|hold(?:s|ing)?|gets?|got|plays?|playing|played|carr(?:y|ies|ying)|tak(?:es?|ing)|sings?"
    r"|singing|leads?|leading|provides?|forms?|makes?|supply|supplies|states?|presents?|performs?|delivers?|bears?|keeps?"
    r"|introduces?|brings?|announces?|intones?|shares?|is|are|am|does|do|gives? out|begins?|starts?|opens?|continues?"
    r"|ends?|finish(?:es)?|completes?|repeats?|enters?|comes?|returns?|remains?|becomes?|show(?:s|ing)?|in|with|responsible"
    r"|joue(?:nt)?|ont|liegt|hat|haben|spiel(?:t|en)|suona(?:no)?|ha|hanno)\b|[:=]"
)
_BESIDE = re.compile(
    r"\b(?:under(?:neath)?|below|beneath|over(?! (?:the |this )?$)|above|against|around|round|behind|after|before|than|without|instead"
    r"|between|about|along|like|from|off|reminds?|resembles?)\b|\b(?:of|to|on) (?:the|this|that|its|their)\b|\b\w+ed (?:by|with)\b"
)
#: They had it, and do no longer.
LETS_GO = re.compile(
    r"\b(?:gives? up|gave up|giving up|los(?:es?|t|ing)|abandon\w*|drops?|dropped|stops?|ceases?|no longer)\b"
)
#: "I would call A's line a countermelody".
_CALLED = re.compile(r"^\W*(?:(?:line|part|voice|music|passage)\W*)?(?:@\W*)?(?:as )?(?:an?|the) $")
_PLAYED = re.compile(
    r"\b(?:played|carried|taken(?: up| over)?|sung|given|stated|presented|performed|introduced|led|shared"
    r"|continued|started|begun|opened|found|heard|located|placed|assigned|entrusted|handed|passed)\b"
)


def _has_it(between: str, after: str) -> bool:
    """Whether the words from a name to a line say that they have it."""
    if _CALLED.search(between):
        return True
    if LETS_GO.search(between):
        return False
    if _BESIDE.search(between):
        return False
    if re.search(r"\bgives?\b", between):
        return re.match(r"\W*(?:@|$)", after) is not None  # not "gives the tune some weight"
    return HAS.search(between) is not None or not re.search(r"[a-z]{4,}", between)


def _is_with(between: str) -> bool:
    """Whether the words from a line to a name say that it is theirs."""
    rest = _PLAYED.sub(" ", between)
    return not (_BESIDE.search(rest) or re.search(r"\b\w+ed\s*$", rest))


#: "I am not sure what the job of A is".
_UNCLEAR = re.compile(
    r"\b(?:unclear|not (?:at all |really |quite )?(?:clear|sure|certain)|n't (?:really |quite )?(?:clear|sure|certain|know|tell|say|decide|work out|figure out|make out|see|understand|get|find out|grasp|hear) (?=(?:exactly )?(?:what|why|which))"
    r"|unsure|uncertain|no idea|hard to (?:say|tell)|difficult to (?:say|tell)|ambiguous|cannot (?:tell|say|decide))\b"
)
_JOB = r"\b(?:roles?|jobs?|functions?|task|purpose)\b"


def unclear(s: Sentence) -> Found | None:
    """Nobody knows what they do: said of one name, and of no other job."""
    tokens = groups_in(s)
    if len(tokens) != 1 or not _UNCLEAR.search(s.whole) or "[" in s.short:
        return None
    if not (
        search(rf"{_JOB} (?:~)?A!", s)
        or search(rf"A! ~{_JOB}", s)
        or search(
            r"\bwhat (?:exactly )?A! (?:\w+ )?(?:do|does|is doing|are doing|plays for|plays|is for|are for|has for|is up to|are up to|contributes?|is supposed to (?:do|be))?\W*(?:@|$|here|is|stays|remains)",
            s,
        )
    ):
        return None
    if any(search(rf"\b(?:{words})\b", s) for _, words in _ROLES):
        return None
    return Found({"role": "unclear", "parts": s.parts(*tokens), "negated": False}, tuple(tokens))


def read(s: Sentence) -> Found | None:
    """See the module."""
    if (found := unclear(s)) is not None:
        return found
    direct = [(match.end(), at, role, match) for at, (role, words) in enumerate(_ROLES)
              if (match := search(rf"A! (?P<by>~)\b(?:{words})\b", s))]  # fmt: skip
    about = None
    if direct:  # what is named first is their job: "figuration around the theme"
        _, _, role, match = min(direct, key=lambda one: one[:2])
        if role == "melody" and search(_AROUND, s) and len(groups_in(s)) == 1:
            role = "figuration"
        if role == "figuration" and search(CHORDS, s) and search(_ACCOMPANIES, s):
            role = "moving harmony"  # broken chords are figuration only around a line
        if role not in _LINES or _has_it(match["by"], s.short[match.end() :]):
            return _of(s, role, match)
        about = match
    for role, words in _ROLES:
        match = (
            search(rf"\b(?:{words})\b (?:~)?\b(?:{_LIES}) (?P<by>~)(?:{_AT})? ?A!", s)
            or search(rf"\b(?:{words})\b(?P<by> ?)(?:{_AT}|:|=) ?A!", s)
        )  # fmt: skip
        if match is None:
            continue
        if role not in _LINES or _is_with(match["by"]):
            return _of(s, role, match)
        about = about or match
    match = search(r"A! ~\b(?:accompan\w+|backing|in the background|harmony)\b", s)
    if match is not None:
        asked = "Accompaniment of which sort: held harmony, moving harmony, pulse, figuration?"
        return Found({"role": "held harmony", "parts": s.parts(match["a"])}, (match["a"],), [asked])
    if about is not None:
        asked = "What do they do with this line: have it, double it, accompany it?"
        return Found({"role": "melody", "parts": s.parts(about["a"])}, (about["a"],), [asked])
    return None


def _of(s: Sentence, role: str, match: re.Match[str]) -> Found:
    asked = (
        ["Of how much of it? Say whose it is, or who has most of it."] if search(_BIT, s) else []
    )
    used = (match["a"],) if match["a"] in groups_in(s) else ()
    return Found({"role": role, "parts": s.parts(match["a"])}, used, asked)
