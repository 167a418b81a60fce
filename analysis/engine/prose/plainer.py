"""A sentence in plainer words: turns of one meaning become the word the readers know (`wordings`)."""

from __future__ import annotations

import re
from functools import cache

from analysis.engine.prose import wordings

_IRREGULAR = {
    "be": "is|are|was|were|be|being|been|gets|get", "have": "has|have|had|having", "do": "does|do|doing|did", "go": "goes|go|going|went|gone",
    "keep": "keeps?|keeping|kept", "stick": "sticks?|sticking|stuck", "hang": "hangs?|hanging|hung", "cling": "clings?|clinging|clung",
    "hold": "holds?|holding|held", "run": "runs?|running|ran", "come": "comes?|coming|came", "sing": "sings?|singing|sang|sung",
    "give": "gives?|giving|gave|given", "lend": "lends?|lending|lent", "fall": "falls?|falling|fell|fallen", "say": "says?|saying|said",
    "take": "takes?|taking|took|taken", "make": "makes?|making|made", "sit": "sits?|sitting|sat", "stand": "stands?|standing|stood",
    "get": "gets?|getting|got", "bind": "binds?|binding|bound", "leave": "leaves?|leaving|left", "send": "sends?|sending|sent",
    "throw": "throws?|throwing|threw|thrown", "steal": "steals?|stealing|stole|stolen", "catch": "catch(?:es)?|catching|caught",
    "rise": "rises?|rising|rose|risen", "sink": "sinks?|sinking|sank|sunk", "lie": "lies?|lying|lay", "shut": "shuts?|shutting",
    "set": "sets?|setting", "put": "puts?|putting", "let": "lets?|letting", "see": "sees?|seeing|saw|seen", "show": "shows?|showing|showed|shown",
    "spin": "spins?|spinning|spun", "beat": "beats?|beating", "weave": "weaves?|weaving|wove", "withdraw": "withdraws?|withdrawing|withdrew",
    "become": "becomes?|becoming|became", "can": "can|could", "lay": "lays?|laying|laid", "chime": "chimes?|chiming|chimed",
    "spread": "spreads?|spreading", "overtop": "overtops?|overtopping|overtopped", "lose": "loses?|losing|lost", "shine": "shines?|shining|shone",
}  # fmt: skip
_LINE = (
    r"(?:(?:main|leading|principal|whole|melodic|musical|same) )?(?:lines?|melod(?:y|ies)|tunes?|themes?|parts?|music|notes|subject|motifs?|motives?|phrases?"
    r"|figures?|ideas?|cantilena|song|lead|material|thread|bass[ -]?line|top line|pitches|line)"
)
_SELF = r"(?:itself|themselves|himself|herself)"
_ITS = r"(?:its|their|his|her|the)(?: own)?"
#: How something is done, between a verb and what belongs to it.
_HOW = r"(?:(?:just|only|exactly|precisely|simply|quietly|gently|softly|faithfully|closely|neatly|loyally|mostly|almost|all|along|again|up|down) )?"


def _forms(verb: str) -> str:
    if verb in _IRREGULAR:
        return _IRREGULAR[verb]
    if re.search(r"[^aeiou]y$", verb):
        return rf"{verb}|{verb[:-1]}(?:ies|ied)|{verb}ing"  # copy, copies
    if verb.endswith("e"):
        return rf"{verb}[sd]?|{verb[:-1]}ing"
    twice = verb[-1] if re.search(r"[^aeiou][aeiou][bdgmnpt]$", verb) and len(verb) < 6 else ""
    return rf"{verb}(?:s|es)?|{verb}{twice}(?:ed|ing)"


def _word(word: str) -> str:
    special = {"~line": _LINE, "~self": _SELF, "~its": _ITS, "*": r"(?:[\w-]+ ){0,2}?[\w-]+"}
    if word in special:
        return special[word]
    return "(?:" + "|".join(special.get(w) or re.escape(w) for w in word.split("/")) + ")"


def _pattern(phrase: str, verb: bool = True) -> str:
    """A phrase of `wordings` as a pattern."""
    first, *rest = phrase.split(" ")
    if not verb:
        out = _word(first)
    else:
        aux = r"(?:(?:is|are|was|were|be|to|can|could|may|will|would|has been|have been|does|do|did) )?"
        out = aux + "(?:" + "|".join(_forms(v) for v in first.split("/")) + ")"
    for word in rest:
        if word.startswith("("):
            out += rf"(?: {_word(word.strip('()'))})?"
        else:
            out += (rf" {_HOW}" if verb else " ") + _word(word)
        verb = False
    return out


_A_NAME = (
    r"(?=\s+(?:(?:exactly|precisely|just|simply) )?(?:the |a )?(?:(?:"
    + _LINE
    + r"|sound|colour|voice|notes) (?:of|in|from) (?:the )?)?<\d+>)"
)
_ENDS = r"(?=\s*(?:$|[@,.;:!?()-]|(?:and|but|while|so|until|for|here|again|completely|entirely|altogether|too|then|as|because|since|like|all|the whole|now|still|at all)\b))"
_A_LINE = r"(?:(?<=\bas)|(?<=\b(?:to|of|in|on))|(?<=\b(?:for))|(?<=\bwith)|(?=\s+(?:the|an?|its|their|some|only|just|nothing but|mere|merely|purely|simply)\s))(?=\s+[a-z])"
_ONES_LINE = rf"(?=\s+(?:exactly |precisely |just )?(?:the )?<\d+> {_LINE}\b)"
_HAS = r"(?:(?:is|are) )?(?:has|have|having|play(?:s|ing)?|sing(?:s|ing)?|do(?:es|ing)?|gives?|takes?|follow(?:s|ing)?|cop(?:y|ies|ying)|repeats?)"
#: Turns that are more than a phrase before something.
_WHOLE: tuple[tuple[str, str], ...] = (
    # "plays whatever B plays"
    (
        rf"\b{_HAS} {_HOW}(?:what(?:ever)?|everything(?: that)?|all(?: that)?|every note(?: that)?|note for note what|the (?:very )?same (?:notes|thing|line) (?:that|which)|the notes (?:that|which)) "
        rf"(<\d+>) (?:also )?(?:has|have|plays?|is playing|are playing|do|does|sings?|gives?|is doing|are doing|got)\b(?: to play)?",
        r"doubles \1",
    ),
    # "what A plays in these bars is B's tune"
    (
        rf"\bwhat (<\d+>) (?:plays?|has|have|sings?|does|do|is playing|are playing)\b([^<\[]*?) (?:is|are) {_HOW}(?:nothing (?:but|more than|else than|other than) )?(<\d+>) (?={_LINE}\b)",
        r"\1 doubles \3 ",
    ),
    (rf"(<\d+>) ?[:=] (<\d+>) (?={_LINE}\b)", r"\1 doubles \2 "),
    # "strengthen the bass line played by B"
    (
        rf"(<\d+>[^<]*? (?:strengthen|reinforc|support|doubl|accent|stress|underlin|follow|shadow|mirror|join|copy|copi|imitat|repeat)\w*[^<]*?{_LINE}) (?:that is |which is |that are |which are |as )?(?:played|sung|taken|given|held|carried|stated|provided) by (?=<)",
        r"\1 of ",
    ),
    (
        rf"\b((?:gives?|hands?|passes?|giving|handing|passing)(?: on| over)? the {_LINE}(?: on| over)?) (?:at|in|into|onto|unto) (?=<)",
        r"\1 to ",
    ),
    (
        rf"\b(?:(?:there )?(?:is|are) )?no (?:real |audible )?(?:difference|distinction|deviation)s? (?:at all )?between (?:the )?(?:{_LINE} (?:of|in) )?(<\d+>)(?: {_LINE})? and (?:(?:those|that|the {_LINE}) of )?(<\d+>)(?: {_LINE})?",
        r"\1 doubles \2",
    ),
    (
        r"\brelieves? (<\d+>) of the (?:\w+ )?(?:tune|melody|theme|line|subject)\b",
        r"takes the tune over from \1",
    ),
    (
        r"\b(tune|melody|theme|line|subject|motif|figure|phrase) leaves (<\d+>)(?: behind)? and (?:\w+ )?(?:in|with|at|on|to|into|over to) (?=<)",
        r"\1 goes from \2 to ",
    ),
    (
        r"\bfrom (<\d+>) (?:\w+ )?(?:into|onto|on to|over to|over into|down to|up to|across to) (?=<)",
        r"from \1 to ",
    ),
    (
        r"\b(?:is|are) (?:the )?(?:upper|higher|top) (?:voice|part|line|one|of the two)\b\W* (?:and |while |with )?(<\d+>) (?:is |are |as )?(?:the )?(?:lower|bottom|deeper)(?: voice| part| line| one)?",
        r"lies above \1",
    ),
    (
        r"\b(?:is|are) (?:the )?(?:lower|bottom|deeper) (?:voice|part|line|one|of the two)\b\W* (?:and |while |with )?(<\d+>) (?:is |are |as )?(?:the )?(?:upper|higher|top)(?: voice| part| line| one)?",
        r"lies below \1",
    ),
    (
        rf"(?<=> )(?:is|are|=) {_HOW}(?:nothing (?:but|more than|else than|other than) )?(<\d+>)(?: {_LINE})? (?:but |only |just |again )?(?=(?:@ )?\[)",
        r"doubles \1 ",
    ),
)


@cache
def _turns() -> tuple[tuple[re.Pattern[str], str], ...]:
    made = [(re.compile(pattern), plain) for pattern, plain in _WHOLE]
    for table, where, verb in (
        (wordings.BEFORE_A_NAME, _A_NAME, True),
        (wordings.BEFORE_ONES_LINE, _ONES_LINE, True),
        (wordings.OF_ONE, _ENDS, True),
        (wordings.BEFORE_A_LINE, _A_LINE, True),
        (wordings.THINGS, r"(?![\w-])", False),
    ):
        for plain, phrases in table.items():
            each = sorted((_pattern(p, verb) for p in phrases), key=len, reverse=True)
            made.append((re.compile(rf"(?<![\w<\[-])(?:{'|'.join(each)}){where}"), plain))
    return tuple(made)


def plainer(short: str, negated: bool = False) -> str:
    """A short sentence, names as tokens, with plain words for what is said in other turns.

    Where something is denied, "what B plays" stays: it may be that they do not play it.
    """
    for pattern, plain in _turns()[1 if negated else 0 :]:
        short = pattern.sub(plain, short)
    return short
