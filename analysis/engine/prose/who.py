"""Part names in a sentence: the longest run of words that names somebody, again and again."""

from __future__ import annotations

import re

from analysis.engine import names
from analysis.engine.claims.fields import PartName
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.instruments.names import parse_label
from analysis.engine.model import ScoreTable
from analysis.engine.prose.sentence import Group

_LONGEST = 6  # words of one name: "the first and second violins" is two names
_TOKEN = re.compile(
    r"<\d+>|\[[a-z]+:\d\]|@|[a-z0-9#]+(?:-[a-z]+)*(?:\.(?=\s|$|[,;:)]))?|[^\sa-z0-9]"
)
#: Whole words that name an instrument somewhere and mean something else in a sentence.
_PLAIN = frozenset(
    re.findall(
        r"\w+",
        "a b c d e f g h i ten do vo bar bars sing and or the all both in on to at is it no so as be"
        " by four one two three solo soli bass alto tenor first second third bell",
    )
)
_NEVER_INSIDE = frozenset(
    re.findall(
        r"\w+",
        "a an the is are to with by from of than as plays play has have or oder ou nor but then",
    )
)
#: Marks that stand after a name and belong to what is said of it.
_NEVER_LAST = frozenset(
    re.findall(r"\w+", "con divisi div arco pizz pizzicato a2 soli solo tutti muted sordino")
)
_NOTE = re.compile(r"(?:(?:the|an?) )?[a-h](?:(?:b|#)?\d| (?:natural|flat|sharp))")
#: "An A7 in first inversion": a chord, no alto.
_SEVENTH = re.compile(r"(?:(?:the|an?) )?[a-h](?:b|#)?7\b")
#: One or two letters that are custom as an abbreviation of a part.
_SHORT = frozenset(
    re.findall(
        r"\w+",
        "fl ob cl kl bn fg hn hr cr tp tr tb vn vl vi va br vc cb db kb ww",
    )
)
#: "No cellos or basses": both are denied.
_NEITHER = re.compile(r"(\bno <\d+>(?: ?, <\d+>)*) ?,? n?or (?:no )?(?=<\d+>)")
_JOIN = re.compile(
    r"<(\d+)>\s*(?:,\s*and|,|&|\+|and|(?:\. ?)?/|together with|as well as|und|e|et)\s*<(\d+)>"
)
_ARTICLE = re.compile(
    r"\b(?:(?:the|both|all|all the|all of the|der|die|das|den|dem|les?|gli|il|lo)\s+|l')(?=\s*<\d+>)"
)
#: "Bass" alone is a name only in a list of parts; elsewhere it may be the line or the register.
_BASS = re.compile(
    r"(?P<before><\d+>\s*(?:,\s*and|,|&|\+|and|/|und|e|et)\s+(?:the )?)bass\b"
    r"(?!\s*(?:line|clef|notes?|part|voice|tune|register|melody|figure))"
    r"|\bbass(?=\s*(?:,\s*and|,|&|\+|and|/|und|e|et)\s*(?:the )?<\d+>)"
)


#: A term, no instrument.
_ORGAN_POINT = re.compile(r"\borgan points?\b")
#: "The flute pair", "the pair of oboes".
_PAIR_OF = re.compile(
    r"\b(?:pair|couple|duo) of (?P<many>[a-z]{4,}s)\b|\b(?P<one>[a-z]{4,}) (?:pair|duo|couple)\b"
)
#: "In D": of what follows "in" in a name.
_CROOK = re.compile(r"(?:[a-h](?:es|is|s|b|#)?|do|re|mi|fa|sol|la|si|b-flat|e-flat)$")


def _pair(match: re.Match[str]) -> str:
    word = match["many"] or f"{match['one']}s"
    return word if parse_label(word).candidates else match[0]


def mark_names(text: str, table: ScoreTable, movement: int) -> tuple[str, tuple[Group, ...]]:
    """The text with groups of names as <n>, and the groups."""
    text = re.sub(r"(?<=\w)'s\b|(?<=s)'(?=\s)", " ", text)
    text = re.sub(r"\b((?:ne|de|a|da|su)ll|l)'(?=[a-z])", r"\1a ", text)  # "nell'oboe primo"
    text = _ORGAN_POINT.sub("pedal", text)
    text = _PAIR_OF.sub(_pair, text)
    text = re.sub(  # "Fl. 1/2", "ob. 1, 2"
        r"([a-z]\.?\s*[1-3]|[a-z]\.?\s+i{1,3})\s*[/,&+]\s*([2-4]|i{2,3}|iv)\b(?!\s*(?:oct|8|bar|beat|time|note|part|level|-|\d))",
        r"\1 and \2", text,
    )  # fmt: skip
    text = re.sub(r"\bone (and|&|\+) two\b", r"1 \1 2", text)  # "violins one and two"
    text = re.sub(r"\b([a-z]{2,5})\.(?=(?:\d|i{1,3}|iv)\b)", r"\1. ", text)  # "Vl.I"
    pieces = list(_TOKEN.finditer(text))
    groups: list[Group] = []
    out: list[str] = []
    at = 0
    while at < len(pieces):
        for many in range(min(_LONGEST, len(pieces) - at), 0, -1):
            start, end = pieces[at].start(), pieces[at + many - 1].end()
            group = _named(text[start:end], [p.group(0) for p in pieces[at : at + many]],
                           table, movement)  # fmt: skip
            if group is not None:
                out.append(f"<{len(groups)}>")
                groups.append(group)
                at += many
                break
        else:
            out.append(pieces[at].group(0))
            at += 1
    return _joined(
        _NEITHER.sub(r"\1 and ", _with_bass(" ".join(out), groups, table, movement)), groups
    )


def _with_bass(text: str, groups: list[Group], table: ScoreTable, movement: int) -> str:
    def named(match: re.Match[str]) -> str:
        try:
            units = names.resolve(PartName("bass"), table, movement).units
            beside = [
                groups[int(n)]
                for n in re.findall(r"<(\d+)>", text[match.start() : match.end() + 16])
            ]
            if any(set(units) & set(group.units) for group in beside):
                return match[0]  # "carry the bass and the contrabass ...": the line
            groups.append(Group((_called("bass", units, table, movement),), units))
        except ClaimNotUnderstood as question:
            groups.append(Group(("bass",), (), str(question)))
        return f"{match['before'] or ''}<{len(groups) - 1}>"

    return _BASS.sub(named, text)


def _named(phrase: str, words: list[str], table: ScoreTable, movement: int) -> Group | None:
    if any(w[0] in "<[@" or not w[0].isalnum() for w in words):
        return None
    bare = [w.rstrip(".") for w in words]
    if bare[0] in ("no", "in", "on", "to", "at", "and", "or", "by", "with", "e", "a") or bare[-1] in (
        "and", "or", "in", "the", "with", "e", "a", "on", "to"
    ):  # fmt: skip
        return None
    if bare[0] in _NEVER_LAST and any(w in ("in", "for", "on") for w in bare[1:2]):
        return None  # "solo in oboe 1"
    if (
        len(bare) > 2
        and (bare[-2].isdigit() or bare[-2] in ("i", "ii"))
        and bare[-1] in ("one", "two", "three", "four")
    ):
        return None  # "flute 1 one bar later"
    if bare[-1] in _NEVER_LAST or _NOTE.fullmatch(" ".join(bare)) or _SEVENTH.match(" ".join(bare)):
        return None
    letters = [w for w in bare if not w.isdigit()]
    if not letters or all(w in _PLAIN for w in letters):
        return None
    if len(bare) == 1 and (len(bare[0]) == 1 or (len(bare[0]) == 2 and bare[0] not in _SHORT)):
        return None
    if any(w in _NEVER_INSIDE for w in bare[1:]):
        return None
    if "in" in bare[:-1] and not _CROOK.match(bare[bare.index("in") + 1]):
        return None  # "third in viola"
    if any(re.search(r"-(?:bars?|notes?|beats?|parts?)$", w) for w in bare):
        return None  # "one-bar pattern"
    if "and" in bare and not _of_one_kind(bare):
        return None
    text = " ".join(words)
    try:
        found = names.resolve(PartName(text), table, movement)
    except ClaimNotUnderstood as question:
        reading = parse_label(_no_article(text))
        if bare[-1] in ("voice", "voices"):
            return None  # a line, where nobody sings
        if reading.candidates and not reading.unknown and not reading.others:
            return Group((_no_article(phrase.strip(" .")),), (), str(question))
        return None
    if found.whole:
        return None  # "tutti", "everybody" are words of the kinds
    if "and" in bare and (each := _labels(found.units, table, movement)):
        return Group(each, found.units)
    return Group((_called(phrase, found.units, table, movement),), found.units)


def _labels(units: tuple[names.Unit, ...], table: ScoreTable, movement: int) -> tuple[str, ...]:
    """The printed labels of the units, one name each; () where a label does not mean its unit."""
    try:
        same = all(
            names.resolve(PartName(unit.label), table, movement).units == (unit,) for unit in units
        )
    except ClaimNotUnderstood:
        return ()
    return tuple(unit.label for unit in units) if same else ()


def _called(phrase: str, units: tuple[names.Unit, ...], table: ScoreTable, movement: int) -> str:
    """The printed label where one part is meant and its label says so; else as typed."""
    if len(units) == 1:
        try:
            if names.resolve(PartName(units[0].label), table, movement).units == units:
                return units[0].label
        except ClaimNotUnderstood:
            pass
    bare, typed = _no_article(phrase.strip(" .")), phrase.strip(" .")
    try:
        same = names.resolve(PartName(bare), table, movement).units == units
    except ClaimNotUnderstood:
        same = False
    return bare if same else typed  # "les hautbois" are two, "hautbois" is a question


def _of_one_kind(bare: list[str]) -> bool:
    """ "Horns 1 and 2", "first and second violins": one name with two numbers."""
    side = re.compile(r"(?:\d|first|second|third|fourth|1st|2nd|3rd|4th|i{1,3}|iv)$")
    at = bare.index("and")
    return bool(side.match(bare[at - 1]) and side.match(bare[at + 1]))


def _no_article(text: str) -> str:
    return re.sub(r"^(?:the|a|an|die|der|das|den|le|la|les|il|i|gli)\s+", "", text)


def _joined(text: str, groups: list[Group]) -> tuple[str, tuple[Group, ...]]:
    """Names joined by "and" become one group."""
    text = _ARTICLE.sub("", text)
    while (match := _JOIN.search(text)) is not None:
        one, other = groups[int(match.group(1))], groups[int(match.group(2))]
        groups.append(
            Group(
                one.names + other.names,
                tuple(dict.fromkeys(one.units + other.units)),
                one.question or other.question,
                one.count + other.count,
                one.by_comma or other.by_comma or ("," in match[0] and "and" not in match[0]),
            )
        )
        text = f"{text[: match.start()]}<{len(groups) - 1}>{text[match.end() :]}"
    return re.sub(r"\s+", " ", text).strip(), tuple(groups)
