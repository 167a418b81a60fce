""" "A pedal on G in the horns"; "a C major chord", "horn 1 has the third"."""

from __future__ import annotations

import re

from analysis.engine.prose.notes import PITCH, ROOT, called
from analysis.engine.prose.phrase import JSON, Found, groups_in, search
from analysis.engine.prose.sentence import Sentence

_QUALITY = (
    ("half-diminished seventh", r"hal[fb][\s-]?dim(?:inished|\.)?"),
    ("diminished seventh", r"dim(?:inished|\.)?[ -]?(?:7th|7|seventh)|verminderter? sept\w*"),
    ("minor seventh", r"\b(?:minor|moll|min\.?)[ -]?(?:7th|7|seventh)"),
    ("major seventh", r"\b(?:major|dur|maj\.?)[ -]?(?:7th|7|seventh)"),
    (
        "dominant seventh",
        r"dominant (?:7th|seventh)|dominantsept\w*|(?<!\w)7 chord|(?<=[a-h#])7\b|(?<=[a-h] )(?:7th|seventh)",
    ),
    ("diminished", r"\bdim(?:inished)?\b"),
    ("augmented", r"\baug(?:mented)?\b"),
    ("minor", r"minor|moll|\bmin\b"),
    ("major", r"major"),
)
#: Words between a root and "chord"; any other word there is no root's ("a G major chord").
_SORT = r"(?:major|minor|maj|min|dur|moll|dominant|dim(?:inished)?|aug(?:mented)?|half|halb)\.?"
_HARMONY = r"(?:harmon(?:y|ies)|chords?)"
#: A capital, so that "hold a chord" names no note.
_HOLDS = r"(?:holds?|holding|sustains?|sustaining|keeps?|repeats?)"
#: The same, and what is said of a note that lies.
_LIES = (
    r"(?:holds?|holding|held|sustain(?:s|ed|ing)?|keeps?|repeats?|(?:sits?|stays?|remains?|rests?) on"
    r"|long|lying|constant|steady|static)"
)
_NOTE_HELD = re.compile(
    rf"\b{_LIES}\s+(?:on to\s+)?(?:an?\s+|the\s+|their\s+|its\s+)?"
    r"(?:note\s+|(?:low|high|long|open)\s+)?([A-H])(?:[\s-]?(flat|sharp|b|#|♭|♯))?(\d)?(?![\w#])"
)
_OF_CHORD = (
    r"\b(?:chord|triad|harmony|of (?:the )?[a-h](?:[\s-]?(?:flat|sharp|b|#))? ?(?:major|minor|7))\b"
)
_INVERSION = ((r"root pos(?:ition|\.)", 0), (r"(?:first|1st) inv(?:ersion|\.)", 1),
              (r"(?:second|2nd) inv(?:ersion|\.)", 2), (r"(?:third|3rd) inv(?:ersion|\.)", 3))  # fmt: skip
#: Sorts that say something without a root; "a major chord" says too little.
_ROOTLESS = (
    r"\b(?:(?:half|halb)[\s-]?dim(?:inished|\.)?|dim(?:inished|\.)?|minor|major|dominant) (?:7th|seventh)\b(?: chord)?"
    r"|\b(?:half[\s-]?)?dim(?:inished|\.)?[ -]?7(?:th)?\b"
    r"|\b(?:dim(?:inished|\.)?|aug(?:mented|\.)?) (?:chord|triad)\b|\b(?:halb)?verminderter? sept\w*|\bdominantsept\w*"
)
#: A capital that may be the root, though it was not read as one.
_MAY_BE_ROOT = re.compile(
    r"(?<![\w#.'’/-])(?:[B-H](?:[b#♭♯]|\b)|A(?:[b#♭♯]|[\s-](?:flat|sharp)))(?!['’.]?\w)"
)
#: A degree of a key, whose tonic is not the root.
_OF_KEY = r"\b(?:i|ii|iii|iv|v|vi|vii|dominant|subdominant|supertonic|mediant|submediant|leading[ -]note)[67]?(?: (?:7th|seventh|chord|triad|harmony))* (?:of|in) [a-h](?:[ -]?(?:flat|sharp|b|#))? (?:major|minor|dur|moll)\b"
_IN_BASS = r"(?:in|at) the (?:bass|bottom)\b"
_NOTE_BELOW = rf"\bwith (?:the |an? )?(?:note )?{PITCH} {_IN_BASS}"
_MEMBERS = (("root",), ("third", "3rd"), ("fifth", "5th"), ("seventh", "7th"))
#: "The harmony is E minor, with the third in the violas": of a chord, not of a key.
_WITH_MEMBER = re.compile(
    r"\bwith (?:the|its) (?P<member>root|third|fifth|seventh|3rd|5th|7th) (?:in|on|by) <"
)
_LOW_MEMBER = rf"\bwith (?:the|its) (?P<member>root|third|fifth|seventh|3rd|5th|7th) {_IN_BASS}"


def read_pedal(s: Sentence) -> Found | None:
    """A note held through."""
    found = _pedal(s)
    if found is not None and s.negated and stays(s):
        found.fields["negated"] = False  # a note that does not move is one
    return found


def stays(s: Sentence) -> bool:
    """Whether what a sentence denies is that a note moves."""
    return search(r"\b(?:moves?|changes?|budge|leaves?|stirs?)\b", s) is not None


def _pedal(s: Sentence) -> Found | None:
    match = search(
        rf"\b(?:pedal(?: point| note)?|organ point|drone|bourdon)\b ?(?:on|of|:|\()? ?(?:the note )?{PITCH}(?![\w#])(?! ?major)", s
    ) or search(rf"\b(?!a ){PITCH} (?:as (?:a )?)?(?:pedal|drone|organ point)\b", s)  # fmt: skip
    tokens = holders(s)
    if match is None and (held := _held(s)):
        return Found({"parts": s.parts(*tokens), "pitch": held}, tuple(tokens))
    if match is None:
        if not search(r"\bpedal(?: point| note)?\b|\borgan point\b", s):
            return None
        return Found({"parts": s.parts(*tokens)}, tuple(tokens), ["A pedal on which note?"])
    return Found({"parts": s.parts(*tokens), "pitch": called(match)}, tuple(tokens))


def holders(s: Sentence) -> list[str]:
    """Who holds the note: of several names the one before the verb, or after the pedal."""
    tokens = groups_in(s)
    if len(tokens) < 2:
        return tokens
    who = search(rf"A! (?:\w+ ){{0,2}}\b{_HOLDS}\b", s) or search(
        r"\b(?:pedal|drone|bourdon|organ point)\b[^<@]*\b(?:in|by|of|on|for) A!", s
    )
    return tokens if who is None else [who["a"]]


def _held(s: Sentence) -> str:
    """ "They hold a D while the harmony changes": a pedal without the word."""
    if not search(
        rf"A! ~\b{_LIES}\b",
        s,
    ) or not search(
        rf"\b(?:{_HARMONY} ~\b(?:chang|mov)\w+|(?:chang|mov)ing {_HARMONY}|different {_HARMONY})\b",
        s,
    ):
        return ""
    return note_held(s)


def note_held(s: Sentence) -> str:
    """The note that somebody holds, by its capital."""
    note = _NOTE_HELD.search(s.raw)
    if note is None:
        return ""
    sign = {"flat": "b", "♭": "b", "b": "b", "sharp": "#", "♯": "#", "#": "#"}
    return f"{note[1]}{sign.get(note[2] or '', '')}{note[3] or ''}"


def read_chord(s: Sentence) -> Found | None:
    """The chord, or who has which member of it."""
    return chord_of(s)


def chord_of(s: Sentence) -> Found | None:
    """See `read_chord`."""
    fields = _chord(s)
    member = search(
        r"A! ~\b(?:has|have|plays?|takes?|gets?|is|are|holds?|sustains?|sounds?|gives?|sings?|contributes?|provides?|supplies|supply|adds?|brings?)\b ~\b(?:the|its) "
        r"(?P<member>root|third|fifth|seventh|3rd|5th|7th)\b(?= of|,? in| \(|\W*(?:@|$))",
        s,
    )
    if member is None and search(_OF_CHORD, s):  # "the third of the chord is in oboe 2"
        member = search(
            r"\b(?P<member>root|third|fifth|seventh|3rd|5th|7th)\b ~"
            r"\b(?:is|lies|sits|goes|stands|appears|placed|played|taken|given|sounded|only)\b ~"
            r"\b(?:in|by|to|with|on|at)\b A!",
            s,
        )
    if member is None and fields:
        member = search(
            r"(?:\bwith (?:the|its) |[,:(;] ?(?:the |its )?)(?P<member>root|third|fifth|seventh|3rd|5th|7th)(?: (?:is|lies|only))*(?: (?:in|on|by|with)|:| =) A!",
            s,
        )
    if member is not None:
        word = {"3rd": "third", "5th": "fifth", "7th": "seventh"}.get(
            member["member"], member["member"]
        )
        names = s.parts(member["a"])
        return Found({**fields, "member": dict.fromkeys(names, word)}, (member["a"],))
    if not fields or groups_in(s):
        return None
    asked = _article(s, fields)
    if search(_OF_KEY, s):
        asked.append("Which chord: what is its root?")
    if asked and search(_ROOTLESS, s) and not _MAY_BE_ROOT.search(s.raw):
        asked = []
        del fields["root"]
    if search(_NOTE_BELOW, s) and "inversion" not in fields:
        asked.append("That note is none of this chord: which chord is it, and in which inversion?")
    return Found(fields, (), asked)


def _article(s: Sentence, fields: JSON) -> list[str]:
    """ "Is a major chord": the small "a" may be no name of a note."""
    if fields.get("root") == "A" and re.search(rf"\ba (?:\w+ ){{0,2}}(?:chord|triad|{_SORT})", s.raw) \
            and not re.search(r"\bA\b", s.raw):  # fmt: skip
        return ["Which chord: what is its root?"]
    return []


def _inverted(s: Sentence) -> int | None:
    said = next((number for words, number in _INVERSION if search(words, s)), None)
    if said is None and (low := search(_LOW_MEMBER, s)):
        word = low["member"]
        return next(n for n, words in enumerate(_MEMBERS) if word in words)
    return said


def _bass_note(s: Sentence, chord: JSON) -> int | None:
    """The inversion by the note that is said to be in the bass; None where none is."""
    low = search(_NOTE_BELOW, s)
    if low is None or "root" not in chord:
        return None
    third, odd = divmod((ord(called(low)[0]) - ord(chord["root"][0])) % 7, 2)
    return None if odd or (third == 3 and "seventh" not in chord["quality"]) else third


def _sort_of(said: str) -> str:
    return next((name for name, words in _QUALITY if re.search(words, said)), "major")


def _chord(s: Sentence) -> JSON:
    """Root, quality, inversion of the chord that is named; nothing where none is."""
    figured = search(
        rf"\b{ROOT} (?P<quality>major|minor)? ?(?P<figure>6 ?/ ?4|6 ?/ ?3|6 ?/ ?5)\b", s
    )
    match = (
        figured
        or search(rf"\ban? (?P<quality>{_SORT} (?:{_SORT} )?(?:(?:seventh|7th) )?(?:chord|triad|seventh|7th)) (?:on|of|over) {ROOT}(?![\w#])", s)
        or search(rf"\b{ROOT}(?: |(?=7))(?P<quality>(?:{_SORT}[ -]){{0,2}}?(?:chord|triad|seventh|7(?:th)?(?: chord)?))\b", s)
        or search(rf"\b(?P<quality>(?:\w+ ){{0,2}}(?:chord|triad|seventh|7th)) (?:on|of|over) {ROOT}(?![\w#])", s)
        or search(rf"\b(?:chord|triad{'|harmony' if _WITH_MEMBER.search(s.short) else ''})\b ~\b(?:is|=) (?:an? )?(?:\bin )?{ROOT} (?P<quality>{_SORT})(?!\w)", s)
        or (search(rf"\b{ROOT} (?P<quality>(?:{_SORT} ?){{1,2}})(?!\w)", s) if _inverted(s) is not None or search(_NOTE_BELOW, s) else None)
    )  # fmt: skip
    if (
        match
        and "dominant" in (match["quality"] or "")
        and re.match(r" (?:major|minor|dur|moll)", s.short[match.end() :])
    ):
        return {}  # of a key, not on its tonic
    if match is None:
        alone = search(_ROOTLESS, s) and not (
            search(r"\b(?:on|of|over) ", s) or _MAY_BE_ROOT.search(s.raw)
        )
        return {"quality": _sort_of(s.short)} if alone else {}
    said = re.sub(r"\bthe (?:third|fifth|seventh|3rd|5th|7th) of\b", " ", s.short)
    fields: JSON = {"root": called(match), "quality": _sort_of(said)}
    if (number := _inverted(s)) is not None or (number := _bass_note(s, fields)) is not None:
        fields["inversion"] = number
    if figured is not None:
        fields["inversion"] = 2 if "4" in figured["figure"] else 1
    return fields
