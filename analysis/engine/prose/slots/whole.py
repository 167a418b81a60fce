"""Kinds of a passage, of harmony and of the page: what their own readers look for, without a trigger."""

from __future__ import annotations

import re

from analysis.engine.prose.concepts import about
from analysis.engine.prose.kinds import harmony, keys, page, shape
from analysis.engine.prose.notes import PITCH, called
from analysis.engine.prose.phrase import Found, groups_in, has, search
from analysis.engine.prose.sentence import Sentence
from analysis.engine.prose.slots.single import left_out

_TEXTURES = (
    ("melody-countermelody", r"\b(?:melod\w*|tunes?|themes?)\b.*\b(?:counter\w*|second (?:tune|melody))"),
    ("melody-accompaniment", r"\b(?:melod\w*|tunes?|themes?)\b.*\b(?:accompan\w*|begleit\w*|backing|background)"),
    ("chorale", r"\b(?:chorale?|hymn\w*|homorhythm\w*|(?:in |with )?the same rhythm|note against note|block chords)\b"),
    ("imitation", r"\b(?:imitat\w*|fuga\w*|fugue|canon\w*|stretto)\b"),
    ("dialogue", r"\b(?:dialog\w*|conversation|question and answer|call and response|antiphon\w*|gesprach)\b"),
    ("held-chords", r"\b(?:held|sustained|long|static) chords?\b"),
    ("layered", r"\blayer\w*"),
    ("part-writing", r"\b(?:part[\s-]?writing|polyphon\w*|contrapuntal|counterpoint|independent (?:lines|parts|voices))\b"),
    ("single-line", r"\b(?:single line|one (?:single )?line|monophon\w*|(?:all|everybody|everyone|everything)\b.*\[apart:[01]\])"),
    ("pulse", r"\b(?:puls\w*|throbbing)\b"),
)  # fmt: skip


#: A texture by its noun, said of some who play.
_OF_SOME = re.compile(
    r"\b(?:texture|dialogue|conversation|call and response|question and answer|chorale?|fugato|hymn)\b"
)


def fill_texture(s: Sentence) -> Found | None:
    """One texture, of everybody who plays."""
    said = [name for name, words in _TEXTURES if has(words, s)]
    tokens = tuple(groups_in(s))
    if len(s.places) > 1:
        return None
    if len(said) != 1 or (tokens and not _OF_SOME.search(s.short)):
        return None
    told = [left_out(s.parts(*tokens))] if tokens else []
    return Found({"texture": said[0]}, tokens, told=told)


_DENIED = re.compile(
    r"\b(?:without|not (?:through|by|with|in|because of|due to)|but no|no|rather than|instead of|ohne|sans|senza)\b"
)
_BY = (
    ("forces", r"\b(?:number of (?:instruments|parts|players)|tutti|entr(?:y|ies) of|more (?:and more )?(?:instruments|parts|players|people|winds)|instruments|add\w*|join\w*|thicker|forces|scoring"
               r"|orchestration|density|fuller)\b"),
    ("loudness", r"\b(?:loud\w*|crescend\w*|cresc|dynamic\w*|volume|p to f+|forte)\b"),
    ("height", r"\b(?:high\w*|ris(?:es?|ing)|climb\w*|ascend\w*|height|upwards?|register)\b"),
    ("rhythm", r"\b(?:rhythm\w*|(?:fast|quick)\w* (?:notes?|values?|figures?)|short\w* (?:notes?|values)|diminution|semiquavers|livelier)\b"),
    ("harmony", r"\b(?:harmon\w*|dissonan\w*|chromatic\w*|chords?)\b"),
)  # fmt: skip


def fill_build_up(s: Sentence) -> Found | None:
    """By what it grows, and what does not rise."""
    if groups_in(s):
        return None
    rises, stays = "", ""
    whole = re.sub(
        r"\b(?:the )?(?:tension|excitement|intensity) \w+|\b(?:rising|growing|climbing) (?=tension|excitement|intensity)",
        " ",
        s.whole,
    )
    for clause in re.split(r"[,:;@(]|\bbut(?! no)\b|\band(?= (?:more|by|through)\b)", whole):
        said, *denied = _DENIED.split(clause, maxsplit=1)
        rises += f" {said};"
        stays += f" {''.join(denied)};"
    without = [name for name, words in _BY if re.search(words, stays)]
    by = [name for name, words in _BY if re.search(words, rises) and name not in without]
    if not by or (not without and (s.negated or stays.strip(" ;"))):
        return None
    return Found({"by": by, "negated": False, **({"without": without} if without else {})})


def fill_sequence(s: Sentence) -> Found | None:
    """A model restated."""
    again = any(about(name, s.short) for name in ("sequence", "repeat", "times", "each time"))
    return shape.sequence_of(s) if again and len(groups_in(s)) == 1 else None


def fill_imitation(s: Sentence) -> Found | None:
    """Who follows whom, where each enters."""
    tokens = groups_in(s)
    if not tokens or not (about("imitate", s.short) or search(shape.BEGINS_THEN, s)):
        return None
    alone = len(tokens) == 1 and s.group(tokens[0]).count == 1
    if alone and not has(
        r"\b(?:imitat\w*|canon\w*|fug\w*|stretto|in turn|one after|each other|nachahm\w*)\b", s
    ):
        return None  # "four bars later the horns enter"
    return shape.imitation_of(s)


def fill_pedal(s: Sentence) -> Found | None:
    """The note that is held."""
    found = harmony.read_pedal(s)
    if found is not None and "pitch" in found.fields:
        return found
    tokens = harmony.holders(s)
    if not (about("pedal", s.short) or about("hold", s.short)):
        return found
    note = harmony.note_held(s) or _note(s) or _capital(s)
    if not note or (s.negated and not harmony.stays(s)):
        return None
    fields = {"parts": s.parts(*tokens), "pitch": note, "negated": False}
    return Found(fields, tuple(tokens))


def _note(s: Sentence) -> str:
    match = search(rf"\b(?:on|an|note|the|auf|sur|su)\s+(?:\w+\s+)?{PITCH}(?![\w#])", s)
    return called(match) if match is not None else ""


def _capital(s: Sentence) -> str:
    """The only capital by itself, where no place is named by one."""
    notes = list(
        re.finditer(r"(?<![\w#])([A-H])(?:[\s-]?(flat|sharp)\b|([b#♭♯]))?(?![\w#.'’])", s.raw)
    )
    notes = [
        m
        for m in notes
        if not (
            m.start() == 0
            and m[0] == "A"
            and not re.match(r"A (?:in|on|by|as|held|is|sounds|remains|stays)\b", s.raw)
        )
    ]
    if len(notes) != 1 or re.search(r"\b(?:letter|mark|at|from|after|before|until) [A-H]\b", s.raw):
        return ""
    sign = {"flat": "b", "b": "b", "♭": "b", "sharp": "#", "#": "#", "♯": "#"}
    return notes[0][1] + sign.get(notes[0][2] or notes[0][3] or "", "")


def fill_chord(s: Sentence) -> Found | None:
    """The chord and who has which member."""
    return harmony.chord_of(s)


def fill_key(s: Sentence) -> Found | None:
    """One key."""
    other = any(about(name, s.short) for name in ("chord", "inversion", "seventh", "member"))
    return None if other or groups_in(s) or has(r"\d ?/ ?\d", s) else keys.key_of(s)


def fill_route(s: Sentence) -> Found | None:
    """Several keys in their order."""
    return keys.read_route(s)


def fill_comparison(s: Sentence) -> Found | None:
    """Two places, and who is new or left out at one of them."""
    return page.comparison_of(s)


def fill_layout(s: Sentence) -> Found | None:
    """What stands on the page."""
    return page.read_layout(s) or (page.layout_of(s) if about("written", s.short) else None)


def fill_open_tones(s: Sentence) -> Found | None:
    """What natural brass has open."""
    return page.read_open_tones(s) or page.open_tones_of(s) if about("open", s.short) else None
