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
    r"|\bnot an? (?:[\w-]+ ){1,3}but (?:rather )?(?=an? )"
)
_SINCE_WHEN = (
    r"(?:\s+(?:that|this|it|them|at|the|first|last|all|thing|things|before|once|immediately|straight away|until now|too|either"
    r"|myself|really|in|beginning|start|reading|hearing|listening|glance|time|when|coming|would|be|so|right|away))*"
)
#: What it did to the one who writes: "which as a horn player I noticed first", "this I had not expected".
_MYSELF = re.compile(
    r"\s*[,(-]\s*(?:(?:and|but|though|so)\s+)?(?:(?:which|that|this|it|what|as)\s+)?(?:as an? \w+(?: \w+){0,2}\s+)?(?:i|we|you|one)\s*"
    r"(?:(?:'d|'ve|'m|have|had|did|do|would|could|can|was|am|must)\s*)?(?:not\s+|n't\s+|never\s+|nearly\s+|almost\s+|always\s+|only\s+|also\s+)*"
    rf"(?:say\s+)?(?:miss(?:ed)?|overlook(?:ed)?|expect(?:ed)?|notic(?:e|ed)|kn[eo]wn?|guess(?:ed)?|realis(?:e|ed)|realiz(?:e|ed)|spot(?:ted)?|surprised|admit|love|like|liked|loved|enjoy(?:ed)?)\b"
    rf"{_SINCE_WHEN}(?=\s*(?:$|[.,!)]))\)?"
)
#: How sure the writer is: as "I think".
_UNSURE = re.compile(
    r"\s*[,(-]\s*(?:(?:but|though|although|and)\s+)?i\s*(?:'m|am)\s+not\s+(?:quite |really |entirely |completely |totally |absolutely |so |very |100 ?% )*(?:sure|certain)"
    r"(?: (?:about|of) (?:it|this|that))?(?: though| yet)?(?=\s*(?:$|[.!)]))\)?"
)
#: "Not surprisingly it is ..." says that it is.
_OF_COURSE = re.compile(
    r"\b(?:not (?:at all |very |really |too |so |exactly )?(?:surpris|unexpected|unusual|uncommon|astonish|by chance|by accident|without reason|for nothing)\w*"
    r"|no wonder|no surprise|needless to say|without (?:any )?doubt|no doubt),?(?: that\b)?"
)
#: "A is doubled by B, not the other way round".
_NOT_TURNED = re.compile(
    r"\s*[,(-]?\s*\b(?:and |but )?not (?:the other way (?:a?round|about)|vice versa|the reverse|the opposite|conversely)\b[^@<.;:)]*\)?"
)
#: What the writer could not hear of the octave leaves the octave open.
_OCTAVE_OPEN = re.compile(
    r"\s*[,(-]?\s*\b(?:(?:but|though|although|and)\s+)?(?:i|we|one|you)(?:'m| am)?\s*(?:(?:could|can|ca|did|do|would)\s*(?:not|n't)|cannot|not sure|unsure)\s*"
    r"(?:quite |really |yet )?(?:work out|make out|tell|hear|say|see|find out|figure out|know|decide)?\s*(?:in |at )?(?:which|what) (?:octave|distance|register)s?\b"
    r"(?: (?:it is|they are|they play|it was|that is))?(?=\s*(?:$|[.,;)]))\)?"
    r"|\s*[,(-]?\s*\b(?:but |though )?(?:in )?(?:which|what) octave[^@.;,]*\b(?:unclear|open|not clear)\b[^@.;,)]*\)?"
)
#: A remark in brackets on how it feels: "(nice blend if the hornist doesn't force)".
_LIKED = re.compile(
    r"\s*\(\s*(?:what an? |such an? |a |an |very |so |rather |really |quite )*(?:nice|beautiful|lovely|great|wonderful|gorgeous|effective|difficult|hard|tricky|risky"
    r"|easy|awkward|strange|funny|odd|typical|clever|brilliant|fun|good|bad|annoying|delicate|dangerous)(?:ly)?\b[^()@]*\)"
    r"|\s*[,(-]\s*(?:at least )?if (?:the )?(?:\w+ ){1,3}(?:do|does|is|are|can)(?:n't| not)\b[^()@,.]*\)?(?=\s*(?:$|[.)]))"
)
#: "The lowest note they get": whose it is stands elsewhere.
_THEIR_NOTE = re.compile(
    r"\b(notes?|pitch|tone) (?:that )?(?:they|it|he|she) (?:ever |can |could |must |has to |have to )?(?:gets?|plays?|has|have|reach(?:es)?|touch(?:es)?|sounds?)\b"
)
#: Notes that were named: "picks out a few notes and plays them along".
_THOSE_NOTES = re.compile(
    r"(\bnotes\b[^;]*?)\s+and (?:then )?(?:plays?|doubl\w+|sounds?|takes?) (?:them|these|those)\b(?: along| too| as well)?"
)
_TASTE = r"(?:soft|loud|warm|bright|dark|sweet|full|rich|light|heavi|round|strong|weak|clear|thin|thick|sharp|gentl)er"
#: How it sounds beside something else: "softer than violins alone".
_THAN_OTHERS = re.compile(
    rf"(?:\s*[,(]|\s+-)\s+(?:(?:much|far|a bit|even) )?{_TASTE} than\b[^@,.;]*$"
)
#: What it is like after something else: "which is a welcome relief after all that brass".
_AFTER_ALL = re.compile(
    r"\s*[,(-]\s*(?:and )?(?:which|that|this|it)(?: is|'s| was| comes as| makes| feels like) (?:such |quite |really )?an? (?:\w+ )?"
    r"(?:relief|change|contrast|surprise|shock|effect|rest|colou?r|moment|sound)\b(?: (?:after|from|to|of|with|for)\b[^@.;]*)?(?=\s*(?:$|[.!)]))\)?"
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
    text = _OF_COURSE.sub(" ", _LIKED.sub(" ", text))
    text = _OPENING.sub(r"\g<before>", text.strip(), count=1)
    text = _THOSE_NOTES.sub(r"\1", _THEIR_NOTE.sub(r"\1", text))
    for pattern in (
        _MYSELF,
        _UNSURE,
        _NOT_TURNED,
        _OCTAVE_OPEN,
        _LISTEN,
        _LISTENER,
        _AUDIBLE,
        _CONTRAST,
        _THAN_OTHERS,
        _EFFECT,
        _AFTER_ALL,
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
