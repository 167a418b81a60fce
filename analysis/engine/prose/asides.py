"""What a sentence says beside its statement: how it is heard, what only stands on paper, contrasts.

Such words would otherwise deny the statement ("you can't hear it"), double it or name a distance
that nobody claims to sound.
"""

from __future__ import annotations

import re

_JOINS = r"(?:\s*[,(]?\s*(?:so that|so|but|and|yet|though|although|even if)\b|\s*[,(]|\s+-(?= ))\s*"
_HARDLY = (
    r"(?:hardly|scarcely|barely|almost not|not|n't|never|only just|clearly|easily|really|always)"
)
#: The one who listens, and a pronoun: "you can hardly hear them"; not "I hear the tune in ...".
_LISTENER = re.compile(
    rf"(?:^|{_JOINS})\b(?:you|one|i|we|people|nobody|no one)\s+"
    rf"(?:(?:can|could|ca|will|would|wo|do|does)\s*(?:not\b|n't\b)?\s*)?(?:{_HARDLY}\s+)?(?:even\s+)?"
    r"(?:hears?|notices?|perceives?)\s+(?:it|them|this|that)\b"
    r"(?:\s+(?:at all|clearly|well|very well|really|any ?more|much|too))?(?=\s*(?:$|[,.:)!]))\)?"
)
_AUDIBLE = re.compile(
    rf"{_JOINS}(?:(?:it|they|which|that)\s*(?:is|are|'s|'re)\s+)?(?:{_HARDLY}|in)\s*"
    r"(?:audible|noticeable|heard|to be heard)\b\)?"
)
#: Whoever reads is told to listen: "listen for it when they hold their note".
_LISTEN = re.compile(
    r"\s*[,.:(]\s*(?:and |so |just )?listen (?:out )?(?:for|to) (?:it|them|this|that)\b[^@,.;]*$"
)
#: A contrast that names nobody: "in the cellos and not on top".
_CONTRAST = re.compile(
    r"\s*(?:,|\band|\bbut)\s+not\s+(?:(?:in|on|at)\s+(?:the\s+)?(?:very\s+)?"
    r"(?:(?:top|upper|highest|bottom|lowest|outer|first)\s+(?:staff|stave|line|part|voice|one)|top|bottom"
    r"|surface|treble)\b|(?:as (?:usual|expected|one (?:would|might) \w+)|where (?:one|you) (?:would )?\w+(?: it)?)\b)"
)
#: What it is not, beside what it is: "a sixth lower, so no octaves".
_NO_OCTAVES = re.compile(
    r"\s*(?:,|\band\b|\bbut\b|\bso\b|-)\s*(?:(?:so|and|but|really|just)\s+)?(?:no|not(?: in| at)?(?: the)?)\s+(?:octaves?|unisons?)\b"
    r"(?=\s*(?:$|[.,;:)!]))"
)
#: "Not octaves but tenths".
_NOT_BUT = re.compile(
    r"\bnot (?:in |at )?(?:the )?(?:octaves?|unison|thirds|sixths|tenths)\s*,?\s*(?:but|rather)\s+(?=(?:in |at )?(?:the )?\w)"
)
_TASTE = r"(?:soft|loud|warm|bright|dark|sweet|full|rich|light|heavi|round|strong|weak|clear|thin|thick|sharp|gentl)er"
#: How it sounds beside something else: "softer than violins alone".
_THAN_OTHERS = re.compile(
    rf"(?:\s*[,(]|\s+-)\s+(?:(?:much|far|a bit|even) )?{_TASTE} than\b[^@,.;]*$"
)
#: What comes of it: "so the bass is lighter".
_EFFECT = re.compile(
    rf"\s*,\s*(?:and )?so (?:that )?(?:it|this|that|everything|the \w+) (?:is|gets?|becomes?|feels?|sounds?|seems?)"
    rf" (?:(?:much|far|a bit|even) )?{_TASTE}(?=\s*(?:$|[.!)]))"
)
#: Why it is so is no statement about the part: "because the low strings rest".
_REASON = re.compile(r"\s*,?\s*\bbecause\b[^@.;]*\b(?:rests?|(?:is|are) silent)\s*(?=$|[.!)])")
#: Whom somebody goes with, against whom not.
_RATHER = re.compile(r"(\bwith\b[^.;]*?)\s*,?\s*(?:and |but )?\bnot with (?:the )?(?:other )?")
_ON_PAPER = (
    r"(?:looks?(?: like)?|looking like|(?:(?:is|are) )?(?:written|notated|printed)|seems?(?: to be)?)"
    r"\s+(?:as\s+|like\s+|in\s+|at\s+)?(?:an?\s+)?\[\w+:\d\](?:\s+(?:on|in) (?:the )?(?:page|paper|score|print))?"
)
_BUT_SOUNDS = re.compile(
    rf"\b{_ON_PAPER}(?P<place>\s*@)?\s*,?\s*(?:(?:but|yet|however|though|although|and)\b\s*,?)?\s*"
    r"(?:(?:they|it|these|both)\s+)?(?:(?:actually|really|in fact|of course)\s+)?(?=sound(?:s|ing)?\b)"
)
_THOUGH_WRITTEN = re.compile(
    rf"\s*,?\s*\b(?:al|even )?though\s+(?:(?:it|they)\s+)?{_ON_PAPER}(?=\s*(?:$|[,.:)@]))"
)


#: How a sentence begins before it says anything: "it's the horns that ...", "I noticed that ...".
_OPENING = re.compile(
    r"(?P<before>^|[@:.!,]\s*)(?:(?:and|so|but|well|ok|okay|here|now|then|note|yes)[\s,]+)*"
    r"(?:(?:it|this|that|here)(?:'s| is| was)(?: (?:clear|obvious|interesting|striking|nice|true|funny))?(?: (?:that|how))?"
    r"|(?:i|we|you|one) (?:can |could |would )?(?:also )?(?:notice[ds]?|find|found|think|thought|believe[ds]?|see|saw|saying|say|note[ds]?|guess|feel"
    r"|observe[ds]?|spot(?:ted)?)(?: (?:that|how))?|what (?:surprised|struck|strikes|surprises|i \w+)[^:,@]{0,20}(?:[:,]| is(?: that)?)"
    r"|(?:interesting|surprising|strange|funny|striking|curious)(?:ly)?(?: (?:that|how|is))?\s*[:,]?|it (?:says|reads))\s+"
    r"(?=(?:the |both |all |not )?[a-z@\d\"'])"
)


def without_remarks(text: str) -> str:
    """Folded text without what is said of hearing, and without contrasts that name nobody."""
    text = _NOT_BUT.sub("", text, count=1)
    text = _OPENING.sub(r"\g<before>", text, count=1)
    for pattern in (
        _LISTEN,
        _LISTENER,
        _AUDIBLE,
        _CONTRAST,
        _THAN_OTHERS,
        _EFFECT,
        _REASON,
        _NO_OCTAVES,
    ):
        text = pattern.sub(" ", text)
    return re.sub(r"\s+", " ", _RATHER.sub(r"\1 rather than with ", text)).strip()


def as_it_sounds(short: str) -> str:
    """Text with distances as tokens: one that is only written yields to one that sounds."""
    short = _BUT_SOUNDS.sub(lambda m: f"{m['place'] or ''} ", short)
    if re.search(r"\bsound(?:s|ing)?\b", short):
        short = _THOUGH_WRITTEN.sub("", short)
    return re.sub(r"\s+", " ", short).strip()
