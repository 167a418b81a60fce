"""A sentence without what is only said by the way, where the whole was not understood.

Whole clauses are left out, one after another: brackets, what stands between commas or dashes, an
opening ("it seems to me that ..."), a closing remark. Never one that names a part, a place, a
distance, a note or a number, or takes back a bit of the statement ("but not all of it"), so that
what is left says no more than the sentence did.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from itertools import combinations

#: Names somebody: whether a folded piece of text does.
Named = Callable[[str], bool]

_MOST = 4  # clauses of which any may be left out
_PIECE = re.compile(r"\([^()]*\)|\s[-–—]+\s|[,;:!?]|\.(?=\s|$)")
#: Who writes, reads or listens; nobody in the score.
_WE = re.compile(
    r"\b(?:i|i'm|i've|i'd|i'll|we|you|one|people|my|mine|our|ours|your|me|us|myself|ourselves|everyone who|anyone who|imo|imho|tbh|btw|lol|omg|haha|wow|ok|okay|hey|hi|hello|yay|ugh|hmm|please|thanks|sorry for|teacher|conductor|audience|listener|composer|programme|program|book|class|lesson|rehearsal|recording|score says)\b"
)
#: What may begin a remark.
_BY_THE_WAY = re.compile(
    r"^(?:and |but |so |or )?(?:which|who|whom|whose|what an?|how|as|if|although|though|even|since|because|whatever|whichever|however|having|being|so|to|for|like|just like|no|in|of course|by the way|after|before|at|on|very|rather|quite|really|such|poor|dear|nice|nothing|true|not|a|an|the|more|much|that|this|it|while|despite|unlike|thanks|probably|perhaps|maybe|i|we|you|one|my|our|your)\b"
)
#: What hangs on the statement and is no statement itself.
_DEPENDS = re.compile(
    r"^(?:and |but )?(?:which|who|whom|as|if|although|though|even though|since|because|whatever|whichever|however|having|when|whenever|before|after|while|like|just like|where|so)\b"
)
#: Words that belong to a statement: a clause with one of them is left out only if it is of whoever writes.
_MEANS = re.compile(
    r"\b(?:octaves?|8ves?|8vas?|unison\w*|thirds?|sixths?|tenths?|melod\w*|tunes?|themes?|counter\w*|bass|harmon\w*|chords?|pulse|figur\w*|answers?|puncti\w*|rests?|silent|silence|tacet|alone|only|just|nobody|"
    r"nothing|none|everybody|everyone|tutti|solo|mute[sd]?|sord\w*|pizz\w*|arco|div\w*|register|highest|lowest|partly|partially|part|some|all|every|always|notes?|beats?|downbeats?|accents?|minor|major|key|pedal|sequence|"
    r"imitat\w*|canon|crescendo|louder|higher|lower|faster|without|except|apart|but|instead|rather|than|together|same|doubl\w*|cross\w*|hand\w*|pass\w*|takes?|over|first|second|third|times?|step|role|rhythm\w*|inversion|root|new|added|missing|rhythm|ornament\w*|simpl\w*|half|most\w*|mainly|main|less|more|until|from|never|not|no|n't|hardly|barely|"
    r"above|below|higher|lower|under|up|down|enter\w*|entr\w*|texture|movement|whole|entire)\b"
)
_NUMBER = re.compile(r"\d|\b[A-H](?:b|#|♭|♯)?\b(?![\w'])|\b(?:letter|mark|bar|bars|beat|beats)\b")
_TAKES_BACK = re.compile(
    r"\b(?:sorry|i mean|i meant|wait|correction|or rather|no,|doubt|disagree|wrong|whether|unsure|(?:not|n't) (?:quite |really )?(?:sure|certain|believe|think|agree|know|see|say)|wonder|guess not|octave)\b"
)
#: An opening up to "that": "it seems to me that", "I have the impression that".
_OPENING = re.compile(
    r"^(?P<lead>\W*(?:(?:in|from|at|b\.?|bb\.?|mm?\.?|bars?|measures?) [^,:]{1,24}[,:]\s*)?)(?P<says>(?:it|i|we|you|one|what|my|as|to|there|this|here|everybody|everyone|anyone|nobody|if)\b[^,;:()]{2,90}?\b(?:that|how)\s+)(?=\S+ \S+)",
    re.IGNORECASE,
)
_SPEAKS = re.compile(
    r"\b(?:seem\w*|think|thought|believ\w*|impression|opinion|notic\w*|observ\w*|hear\w*|listen\w*|see\w*|saw|find|found|feel\w*|felt|realis\w*|realiz\w*|remember\w*|add|say\w*|said|mention\w*|note|clear|obvious\w*|striking|"
    r"interesting|surpris\w*|funny|fact|true|know|known|learn\w*|told|tells|show\w*|point\w*|remark\w*|convinced|sure|certain|claim|state|guess|discover\w*|spot\w*|look\w*|appear\w*|love|like|strikes|struck|worth|assum\w*|suppos\w*|imagin\w*|conclu\w*|means)\b",
    re.IGNORECASE,
)


def shorter(text: str, named: Named) -> Iterator[tuple[str, str]]:
    """(what is left, what was left aside), the most that is left first.

    Parameters
    ----------
    text : str
        As typed.
    named : callable
        Whether a piece of text names a part of the score.
    """
    opening = _opening(text, named)
    start = opening[0] if opening else text
    pieces = _pieces(start)
    loose = [i for i, (piece, _) in enumerate(pieces) if _by_the_way(piece, named)]
    if len(loose) == len([p for p, _ in pieces if p.strip()]):
        loose = []
    if opening:
        yield opening
    for many in range(1, min(len(loose), _MOST) + 1):
        for out in combinations(loose[-_MOST:], many):
            left = "".join(p + end for i, (p, end) in enumerate(pieces) if i not in out)
            aside = " ".join(pieces[i][0].strip() for i in out)
            yield left, " ".join(filter(None, (opening[1] if opening else "", aside)))


def _opening(text: str, named: Named) -> tuple[str, str] | None:
    match = _OPENING.match(text)
    if match is None or not _SPEAKS.search(match["says"]) or named(match["says"]):
        return None
    if _TAKES_BACK.search(match["says"].lower()) or re.search(
        r"\d|\bnot\b|n't|\bno\b", match["says"].lower()
    ):
        return None
    return match["lead"] + text[match.end() :], match["says"].strip()


def _pieces(text: str) -> list[tuple[str, str]]:
    """Clauses with the sign that ends each; brackets are clauses of their own."""
    found, at = [], 0
    for match in _PIECE.finditer(text):
        if match[0].startswith("("):
            found += [(text[at : match.start()], ""), (match[0], "")]
        else:
            found.append((text[at : match.start()], match[0]))
        at = match.end()
    return [*found, (text[at:], "")]


def _by_the_way(piece: str, named: Named) -> bool:
    """Whether a clause may be left out."""
    said = piece.strip(" ()").lower()
    if not said or _NUMBER.search(piece.strip(" ()")) or _TAKES_BACK.search(said) or named(said):
        return False
    if _WE.search(said):
        if re.search(r"\b(?:call|count|describe|consider|regard|name|term)\b", said):
            return False
        return not _MEANS.search(said) or _DEPENDS.match(said) is not None
    if _MEANS.search(said):
        return False
    return _BY_THE_WAY.match(said) is not None or len(said.split()) <= 3
