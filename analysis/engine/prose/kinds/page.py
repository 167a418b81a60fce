""" "Clarinets in A sound a minor third lower than written"; "D and A are open on horn 1 in D";
"compared with bars 1-8, bars 41-48 add the horns"."""

from __future__ import annotations

import re

from analysis.engine.prose.phrase import JSON, Found, groups_in, has, search
from analysis.engine.prose.sentence import Sentence

#: Semitones of the intervals at which instruments are written.
_SEMITONES = (
    (1, r"(?:a )?(?:semitone|half[\s-]?tone|half[\s-]step|minor second)"),
    (2, r"(?:a )?(?:major second|whole[\s-]?(?:tone|step)|tone)"),
    (3, r"(?:a )?minor third"),
    (4, r"(?:a )?major third"),
    (5, r"(?:a )?(?:perfect )?fourth"),
    (7, r"(?:a )?(?:perfect )?fifth"),
    (8, r"(?:a )?minor sixth"),
    (9, r"(?:a )?major sixth"),
    (10, r"(?:a )?minor seventh"),
    (11, r"(?:a )?major seventh"),
)
_WRITTEN = r"\b(?:than (?:it is |they are )?(?:written|notated|printed)|(?:from|of) what is written|transpos\w+)\b"
_OPEN = r"\b(?:open|natural) (?:notes?|tones?|harmonics?|horn notes?)\b|\b(?:is|are) open\b|\bopen [a-h](?:#|b)?\d?\b"
_LACK = r"\b(?:has no|have no|hasn't got|lacks?|without|missing|cannot play|can't play|no open)\b"
_CAPITAL = re.compile(r"(?<![\w#])([A-H])(?:\s?(b|#|♭|♯|flat|sharp)|-(flat|sharp))?(\d)?(?![\w#])")
_CROOK = re.compile(
    r"\b(?:in|crook(?:ed)? (?:in|of)?)\s+(E ?b|B ?b|E[\s-]flat|B[\s-]flat|[A-H])\b"
    r"|\b(?P<before>E ?b|B ?b|E[\s-]flat|B[\s-]flat|[A-H])(?=[\s-](?:[Hh]orns?|[Tt]rumpets?|[Cc]or|[Tt]r|[Cc]rooks?)\b)"
)
_THAN = r"(?:=|\b(?:the same (?:music )?as|identical (?:to|with)|differs? from|resembles?|as in|as at)|\b(?:compared (?:with|to)|in comparison with|than|unlike|like|as against|versus|vs\.?|cf\.?))\s*@"
_ABSENT = (
    r"^(?:(?!<\d).)*\b(?:there(?: is| are)?|has|have|uses?|score|orchestra|scoring)\b(?:(?!<\d).)*?\bno <\d+>"
    r"(?:\s*(?:,|and|or|nor|&)\s*(?:and |or )?(?:no )?<\d+>)*\s*"
    r"(?:$|[.,!]|(?:at all|here|in (?:the|this) (?:score|orchestra|piece|work|movement|scoring|symphony))\b)"
)


def read_layout(s: Sentence) -> Found | None:
    """How far an instrument sounds from what is written; its clef; who is not in the score."""
    who = search(r"A!", s)
    if not s.places and has(_ABSENT, s):
        tokens = groups_in(s)
        return Found({"absent": s.parts(*tokens), "negated": False}, tuple(tokens), absent=True)
    if who is not None and (
        clef := search(r"A! ~\b(?P<clef>alto|tenor|treble|bass)[\s-]clef\b", s)
    ):
        fields = {"parts": s.parts(clef["a"]), "clef": clef["clef"]}
        if len(s.places) == 1:
            fields["bars"] = s.places[0]
        return Found(fields, (clef["a"],))
    if who is None or not has(_WRITTEN, s):
        return None
    return layout_of(s)


def layout_of(s: Sentence) -> Found | None:
    """How far one instrument sounds from what is written."""
    who = search(r"A!", s)
    if who is None or len(groups_in(s)) > 1:
        return None
    fields: JSON = {"parts": s.parts(who["a"])}
    octaves = re.search(r"\[(up|down):(\d)\]", s.short)
    down = has(r"\b(?:lower|down|below|downwards?|deeper)\b", s)
    up = has(r"\b(?:higher|up|above|upwards?)\b", s)
    size = next((n for n, words in _SEMITONES if has(rf"\b{words}\b", s)), None)
    if octaves is not None:
        fields["transposition"] = 12 * int(octaves[2]) * (-1 if octaves[1] == "down" else 1)
    elif size is not None and up != down:
        fields["transposition"] = -size if down else size
    asked = [] if "transposition" in fields else ["How far does it sound from what is written?"]
    return Found(fields, (who["a"],), asked)


def read_open_tones(s: Sentence) -> Found | None:
    """What natural brass has as open tones, or has not."""
    who = search(r"A!", s)
    if who is None or not has(_OPEN, s):
        return None
    return open_tones_of(s)


def open_tones_of(s: Sentence) -> Found | None:
    """The tones that are named, and whether they are open."""
    who = search(r"A!", s)
    if who is None:
        return None
    crook = _CROOK.search(s.raw)
    said = s.raw if crook is None else s.raw[: crook.start()] + s.raw[crook.end() :]
    sign = {"flat": "b", "♭": "b", "b": "b", "sharp": "#", "♯": "#", "#": "#"}
    notes = [
        f"{m[1]}{sign.get(m[2] or m[3] or '', '')}{m[4] or ''}" for m in _CAPITAL.finditer(said)
    ]
    here = {s.table.parts[unit.part].crook for unit in s.group(who["a"]).units}
    called = (
        (crook[1] or crook["before"]) if crook else next(iter(here)) if len(here) == 1 else None
    )
    missing = s.negated or has(_LACK, s)
    fields: dict[str, object] = {
        "parts": s.parts(who["a"]), "crook": called, "missing" if missing else "pitches": notes,
        "negated": False,
    }  # fmt: skip
    asked = [] if notes else ["Which notes? Write them with capitals, as they sound."]
    asked += [] if called else ["In which crook?"]
    return Found(fields, (who["a"],), asked)


def read_comparison(s: Sentence) -> Found | None:
    """Who is new or left out at one place against another."""
    than = re.search(_THAN, s.short)
    if len(s.places) == 2 and than is None:
        gone = search(
            r"A!\W* (?:(?:is|are|was|were|still) )*(?:absent|missing|silent|not there|not used|left out)\W* ?@ ~(?:added|new|present|there|join|joins)\W* ?@",
            s,
        )
        if gone is not None:
            fields: JSON = {"bars": s.places[1], "bars2": s.places[0], "added": s.parts(gone["a"])}
            return Found(fields, (gone["a"],))
    if than is None or len(s.places) != 2:
        return None
    return comparison_of(s, s.short[: than.end()].count("@") - 1)


def comparison_of(s: Sentence, base: int | None = None) -> Found | None:
    """Who is new or left out; `base` says which place is the other one (0 or 1)."""
    if len(s.places) != 2:
        return None
    if base is None:
        base = (
            0
            if re.match(r"\W*compar\w+ (?:with|to|and)\b|.*\bthe (?:second|latter)\b", s.short)
            else 1
        )
        if re.search(r"\bthe (?:first time|former)\b|\bboth\b", s.short):
            return None
    added = search(
        r"(?:\b(?:adds?|added|new|plus|joined by|with)|\+) ~A!", s
    ) or search(r"A! ~(?:(?:is|are) (?:added|new)|joins?|comes? in|enters?)\b", s) \
        or search(r"\b(?:has|have|brings?|uses?)\b ~A! (?:as well|too|also|in addition|on top)\b", s)  # fmt: skip
    left = search(r"\b(?:without|minus|loses?|lacks?|leaves? out|omits?|drops?) ~A!", s) or search(
        r"A! ~(?:(?:is|are) (?:missing|left out|gone|absent|omitted)|drops? out)\b", s
    )
    if left is not None and added is not None and left["a"] == added["a"]:
        added = None
    fields: dict[str, object] = {"bars": s.places[base], "bars2": s.places[1 - base]}
    used = []
    for name, match in (("added", added), ("left", left)):
        if match is not None:
            fields[name] = s.parts(match["a"])
            used.append(match["a"])
    asked = [] if used else ["What is different: who is new, who is left out?"]
    used_up = tuple(used) if used else tuple(groups_in(s))
    return Found(fields, used_up, asked)
