"""From what was typed to the short sentence that every reader gets."""

from __future__ import annotations

import re
from dataclasses import replace

from analysis.engine.instruments.names import parse_label
from analysis.engine.model import ScoreTable
from analysis.engine.prose.asides import as_it_sounds, without_remarks
from analysis.engine.prose.bars import Cut, cut_places
from analysis.engine.prose.distance import mark_distances
from analysis.engine.prose.fillers import without_fillers
from analysis.engine.prose.notes import with_octaves
from analysis.engine.prose.plainer import plainer
from analysis.engine.prose.sentence import Group, Sentence, folded
from analysis.engine.prose.spelling import unknown_names
from analysis.engine.prose.who import mark_names

LONGEST = 600  # characters that are looked at: a statement is one sentence
_NOT = re.compile(
    r"\b(?:(?:do|does|did|is|are|was|were|has|have|ca|can|could|wo|would)\s*n[o']?t"
    r"|(?:do|does|did|is|are|was|were|has|have|can|could|will) not|cannot|never|no longer|not|nicht"
    r"|ne(?= \w+ pas)|n'(?=\w+ pas)|pas(?= )|non(?= \w)|neither(?: of)?(?! \w+ nor)"
    r"|(?:stops?|stopped|ceases? to) (?=doubl)"
    r"|no (?=(?:real |parallel )?(?:cross(?:ing|es)|handover|sequence|build|pedal|tutti|thirds|sixths|tenths)))"
    r"(?:\b|(?<=\s)|(?<='))(?! only)(?! (?:(?:for|on|in|at|with) )?(?:all|every(?:body|one|thing)?|always|quite|entirely|completely|exactly|the (?:whole|entire))\b)"
)
#: "Oboe 1, not flute 1, doubles ...".
_NOT_WHO = re.compile(r"\b(?:not|nicht|never)\s+(?:the )?<\d")
#: "They are not the tune, they only accent": what is denied and what is said stand side by side.
_NOT_BUT = re.compile(
    r"[,;:.]\s*(?:(?:but|and|rather|instead) )*(?:they|it|he|she|these) (?:do |does |are |is )?"
    r"(?:only|just|merely|rather|instead)\b"
    r"(?=.*\b(?:punctuat|accompan|accent|doubl|hold|rest|fill|support|figur|harmon|answer)\w*)"
)
#: "A sequence in seconds": an interval, no violins.
_IN_SECONDS = re.compile(
    r"\b(?P<by>(?:in|by|through) (?:\w+ing )?)seconds\b"
    r"(?=.*\b(?:sequen|ris|fall|ascend|descend|climb)\w*)"
    r"|(?<=sequence )(?P<of>in |by |of )seconds\b"
)
#: "A follows B an octave above them".
_THAN_THEM = re.compile(
    r"(<\d+>.*<\d+>.*\[(?:up|down):\d\]) (?:than |of |from )?(?:them|it|those|these)\b"
)
_PRONOUN = re.compile(r"\b(they|them|both|these|those|he|she)\b(?! <)|^(?:@\s*[:,]?\s*)?(it)\b")
#: "After oboe 1 it is clarinet 1 who ...".
_CLEFT = re.compile(r"\bit (?:is|was|' s) (?=(?:the )?<\d)")
#: "The violas ..., they have the tune": the only ones who are named.
_SAME_ONES = re.compile(
    r"(?P<name><\d+>.*?)(?P<lead>(?:[,;.:]|\bbecause|\bsince|\band|\bbut|\bso)\s+)(?:they|it|these|both|he|she)\b(?: ' (?:ve|re|s))?"
)
#: "Voice crossing": a term, no singer.
_TERM = re.compile(r"\bvoices?[\s-](?=(?:cross|lead|exchang)\w*)")
#: A voice that leads is a line, no singer either.
_LEADING = re.compile(r"\b((?:lead|leading|main|principal|melody|melodic)\s+)voices?\b")
#: A string of an instrument, no section.
_OPEN_STRING = re.compile(r"\bopen (?:(?P<note>[a-g]) )?strings?\b")
#: "vl I > ob 1": an arrow as some write it, between words; "in pitch" it says who is higher.
_ARROW = re.compile(r"(?<=\w)\s+>{1,2}\s+(?=\w)(?!.*\bpitch)")
#: "Root pos.", no trombone.
_ROOT = re.compile(r"\broot pos\b\.?")
_FIDDLES = re.compile(r"\bfiddle(s?)\b")
#: Where the levels of "in three octaves" lie, which the levels say.
_ON_WHICH = re.compile(
    r"\b(?:(?:on|at|in) (?:the )?(?:very )?(?:top|bottom|middle)|in between|between them)\b"
)
#: "The second oboe is above the first": the other player of the same instrument.
_THE_OTHER = re.compile(
    r"\b(?:first|second|third|fourth|1st|2nd|3rd|4th) (?P<who>[a-z]{4,})\b(?P<between>[^@,;.]*"
    r"\b(?:above|below|over|under|beneath|than|with|doubles?|crosse?s?)) the (?P<other>first|second|third|fourth|1st|2nd|3rd|4th)"
    r"(?: one)?(?=\s*(?:$|[@,.:;)]|(?:an|one|two|three|at|in) ))"
)
_ONLY_THAT = re.compile(
    r"^(?P<before>(?:@\s*[:,]?\s*)?)(?P<who><\d+>)\s+(?:really |actually )?(?:have|has|doubles?|plays?|follows?|shares?|takes?)\s+(?P<whom><\d+>)"
    r"(?:\s+(?:line|tune|melody|part|notes|theme))?(?:\s*(?P<place>@))?\s*(?:,|;|-)?\s*(?:(?:but|they|it|rather|instead)\s+)+(?:only|just|merely)\s+(?P<rest>(?:gives?|lends?|adds?|accent\w*|reinforc\w*|strengthens?|supports?|stress\w*|underlines?|picks? out|punctuates?)\b[^;]+)$"
)


def read_sentence(text: str, table: ScoreTable, movement: int = 0) -> Sentence:
    """The sentence with what every reader of it needs."""
    text = with_octaves(_ARROW.sub(" -> ", text[:LONGEST]))
    cut = cut_places(text, table, movement)
    s = shorten(text, cut, table, movement)
    strange = unknown_names(s.short, table)
    return replace(s, questions=(*s.questions, *strange)) if strange else s


def names_somebody(text: str, table: ScoreTable, movement: int = 0) -> bool:
    """Whether a piece of text names a part, or stands for one that is named elsewhere."""
    short, groups = mark_names(folded(text), table, movement)
    return bool(groups) or bool(unknown_names(short, table))


def shorten(text: str, cut: Cut, table: ScoreTable, movement: int) -> Sentence:
    """The sentence with tokens for places, distances and names."""
    short = _LEADING.sub(r"\1line", _TERM.sub("", without_fillers(without_remarks(cut.text))))
    short = _FIDDLES.sub(r"violin\1", _ROOT.sub("root position", short))
    short = _plural(_abbreviations(short), table, movement)
    short = _IN_SECONDS.sub(lambda m: f"{m['by'] or m['of'] or ''}step", short)
    short = _OPEN_STRING.sub(lambda m: f"{m['note'] or ''} openstring".strip(), short)
    short = _THE_OTHER.sub(_other_player, short)
    negated = _NOT.search(short) is not None
    asked = cut.questions
    if negated and _NOT_WHO.search(mark_names(short, table, movement)[0]):
        asked = [*asked, "“Not ...”: say of whom it is so."]
    short = as_it_sounds(mark_distances(_NOT.sub(" ", short)))
    if "[levels:" in short:
        short = _ON_WHICH.sub(" ", short)
    short, groups = mark_names(short, table, movement)
    short, groups, negated = _but_rather(
        *_told_again(plainer(short, negated), groups, table), negated
    )
    if negated and _NOT_BUT.search(short):
        asked = [*asked, "One thing is denied and another said: say each by itself."]
    short, groups = _with_pronoun(short, groups)
    return Sentence(text, short, groups, tuple(cut.places), table, movement, negated,
                    tuple(asked), tuple(cut.notes), cut.text)  # fmt: skip


#: "Neither oboe", "horn accents": all players of that name.
_NEITHER_ONE = re.compile(r"\bneither (?:the |of the )?([a-z]{4,})\b(?! [\w ]*nor\b)")
_OF_ALL = re.compile(
    r"\b(?<!first )(?<!second )(?<!solo )(?<!1st )(?<!2nd )([a-z]{4,}) (?=(?:accents|chords|notes|calls|entries|parts|lines|thirds|sixths|octaves|section|group|players|fifths|stabs|strokes|signals|fanfares)\b)"
)


#: As people write in a hurry.
_SHORT_FOR = tuple(
    (re.compile(rf"(?<![\w<])(?:{short})(?!\w)"), long)
    for short, long in (
        (r"seqs?\.?(?=\W|$)", "sequence"), (r"acc(?:omp)?\.", "accompaniment"), (r"accomp\.?", "accompaniment"), (r"mel\.", "melody"), (r"harm\.", "harmony"), (r"imit\.", "imitation"),
        (r"(?:dbl|doubl)s?\.?", "doubles"), (r"ctr-?mel\.?|countermel\.?|cpt\.?", "countermelody"), (r"inv\.", "inversion"), (r"w/o", "without"), (r"w/", "with"), (r"b/c|bc", "because"), (r"diff\.?", "different"),
        (r"orch\.", "orchestra"), (r"mvt\.?", "movement"), (r"fig\.", "figuration"), (r"reg\.", "register"), (r"maj\.", "major"), (r"dom\.", "dominant"), (r"dim\.(?= ?(?:7|chord|seventh))", "diminished"),
        (r"sust\.?", "sustained"), (r"cm(?= \()", "countermelody"), (r"mod\. (?=to)", "modulates "), (r"transp\.", "transposes"), (r"rh(?:y)?\.", "rhythm"), (r"c\.? ?m\.(?= |$)", "countermelody"), (r"ped\.?", "pedal"),
    )
)  # fmt: skip


def _abbreviations(short: str) -> str:
    for pattern, long in _SHORT_FOR:
        short = pattern.sub(long, short)
    return short


def _plural(short: str, table: ScoreTable, movement: int) -> str:
    def all_of(match: re.Match[str]) -> str:
        many = f"{match[1]}s"
        if (
            match[1].endswith("s")
            or not parse_label(match[1]).candidates
            or not names_somebody(many, table, movement)
        ):
            return match[0]
        return match[0].replace(match[1], many)

    short = _NEITHER_ONE.sub(
        lambda m: all_of(m).replace("neither", "not", 1) if all_of(m) != m[0] else m[0], short
    )
    return _OF_ALL.sub(all_of, short)


def _other_player(match: re.Match[str]) -> str:
    if not parse_label(match["who"]).candidates:
        return match[0]
    return (
        f"{match[0]} {match['who']}"
        if not match[0].endswith(" one")
        else f"{match[0][:-4]} {match['who']}"
    )


def _told_again(
    short: str, groups: tuple[Group, ...], table: ScoreTable
) -> tuple[str, tuple[Group, ...]]:
    """ "Oboe 1 imitates flute 1, flute in 20": the bare name is of the player named before."""
    if not re.search(r"\b(?:imitat|canon|follow|answer)", short):
        return short, groups
    again = list(groups)
    for i, group in enumerate(groups):
        if (
            group.units
            or len(group.names) != 1
            or not re.search(rf"<{i}> (?:in |at |from )?@", short)
        ):
            continue
        keys = set(parse_label(group.names[0]).candidates)
        meant = {
            g.units[0]: g.names for g in groups[:i] if len(g.units) == 1
            and keys & {table.lines[n].instrument for n in g.units[0].lines}
        }  # fmt: skip
        if len(meant) == 1:
            ((unit, names),) = meant.items()
            again[i] = Group(names, (unit,))
    return short, tuple(again)


def _but_rather(
    short: str, groups: tuple[Group, ...], negated: bool
) -> tuple[str, tuple[Group, ...], bool]:
    """ "A don't have B's line, they only accent it": what is denied leads to what is said."""
    match = _ONLY_THAT.search(short) if negated else None
    if match is None:
        return short, groups, negated
    rest = match["rest"]
    if re.search(r"\b(?:gives?|lends?|adds?) (?:it|them) ", rest):
        rest = re.sub(
            r"\b(gives?|lends?|adds?) (?:it|them) (an? |some )?(\w+)",
            rf"\1 \2\3 to {match['whom']}",
            rest,
            count=1,
        )
    else:
        rest = re.sub(r"\b(?:its|their|it|them)\b", match["whom"], rest, count=1)
    if match["whom"] not in rest:
        return short, groups, negated
    return f"{match['before']}{match['who']} {rest} {match['place'] or ''}".strip(), groups, False


#: "The violas have help: bassoon 1 goes with them": of two names the one of the clause before.
_OBJECT = re.compile(
    r"^(?P<lead>[^<]*)(?P<one><\d+>)(?P<first>[^<\[]*?)\s*(?:[:;,.-]|\band\b|\bwhere\b|\bwhile\b)+\s*(?:and |where |while |that is |namely )?(?P<other><\d+>)(?P<said>[^<]*?\b(?:doubl\w+|with|support\w*|reinforc\w*|strengthen\w*|above|below|under|over|beneath|shadow\w*|mirror\w*|accent\w*|than)(?: [a-z]+)? )(?:them|it|those|these)\b(?P<rest>[^<]*)$"
)
#: A pronoun of the only name: "the lowest note they get", "nobody beside them".
_THE_ONLY = re.compile(
    r"(?P<before><\d+>[^<]*?\b(?:lowest|highest|deepest|top|bottom|note|notes|tone|pitch|what|everything)\s+)(?:that )?(?:they|it|he|she)\s+(?:ever )?(?=\w)"
)
_NONE_BESIDE = re.compile(
    r"(<\d+>[^<]*\b(?:nobody|no ?one|nothing|none|no other)\b[^<@]*?)\s+(?:them|it|him|her)\b"
)


def _resolved(short: str) -> str:
    """Without the pronouns of which only one name can be meant."""
    names = re.findall(r"<\d+>", short)
    if len(names) == 1:
        short = _NONE_BESIDE.sub(r"\1", _THE_ONLY.sub(r"\g<before>", short))
    elif len(names) == 2 and (match := _OBJECT.match(short)) is not None:
        short = f"{match['lead']}{match['other']}{match['said']}{match['one']}{match['rest']}"
    return short


def _with_pronoun(short: str, groups: tuple[Group, ...]) -> tuple[str, tuple[Group, ...]]:
    """ "They" stands where a name should: a group of nobody, with a question."""
    short = _CLEFT.sub("", short)
    if len(re.findall(r"<\d+>", short)) == 1:
        short = _SAME_ONES.sub(r"\g<name>\g<lead>", short)
    if len(re.findall(r"<\d+>", short)) > 1:
        short = _THAN_THEM.sub(r"\1", short)
    short = _resolved(short)
    match = _PRONOUN.search(short)
    if match is None:
        return short, groups
    word = match.group(1) or match.group(2)
    start, end = match.span(1 if match.group(1) else 2)
    nobody = Group((), (), f"Who is “{word}”? Name the part.")
    return f"{short[:start]}<{len(groups)}>{short[end:]}", (*groups, nobody)
