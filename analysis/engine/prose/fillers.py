"""Words that say nothing of the music: how sure somebody is, how long, how nice, chat."""

from __future__ import annotations

import re

#: Anywhere.
_ANYWHERE = re.compile(
    r"\b(?:basically|literally|honestly|frankly|obviously|apparently|evidently|certainly|definitely|surely|undoubtedly|indeed|admittedly|arguably|seemingly|of course|needless to say"
    r"|as (?:usual|always|ever|before|expected|so often|it were|you know|we know|you can (?:see|hear)|we can (?:see|hear)|i (?:hear|see|read|understand) it|far as i (?:can )?(?:see|hear|tell|know|understand))"
    r"|in (?:fact|my (?:humble )?(?:opinion|view|ears?|eyes)|effect|essence|principle|reality)|to (?:my|our) (?:ears?|mind|eyes?)|for me|to me(?! the\b)|if (?:you ask me|i (?:hear|see|count|read) (?:it )?(?:right|rightly|correctly|well)|i'm not (?:mistaken|wrong)|i am not (?:mistaken|wrong)|my ears (?:do not|don't) deceive me)"
    r"|from what i (?:can )?(?:hear|see|tell)|i(?:'d| would) say|i (?:suppose|reckon|assume|presume|bet|imagine|feel|would guess)(?: that)?|you (?:know|see)|by the way|for once|for a change|for the first time|once more|once again|all of a sudden|suddenly|at last|finally|eventually"
    r"|meanwhile|in the meantime|kind of|sort of|so to (?:say|speak)|more or less(?= (?:the|a)\b)|(?<!not )(?<!n't )(?:all the time|the whole time|the entire time|all the way(?: through)?)|all through(?= @|\W*$)|throughout(?=\W*(?:$|[,.:;)]))|from beginning to end|from start to finish|consistently|constantly|continuously|steadily|permanently|the entire passage|the whole passage"
    r"|faithfully|loyally|beautifully|nicely|happily|merrily|cheerfully|bravely|proudly|discreetly|elegantly|gracefully|busily|patiently|quietly|softly|gently|loudly|strongly|tenderly|lovingly|dutifully|obediently|lazily|remarkably|interestingly|surprisingly|strangely|curiously|amazingly|unexpectedly|funnily enough|oddly enough|strangely enough|interestingly enough"
    r"|i (?:think|believe|guess|hear|see|find)(?: that)?|maybe|perhaps|probably|clearly|again|also|simply|(?<!not )(?<!n't )always|now(?! and then)"
    r"|lol|omg|haha+|wow|btw|tbh|imo|imho|afaik|yeah|yep|ugh|hmm+|guys|folks|(?<!they )(?<!you )please|poor (?:them|fellows?|things?|guys)|luckily|sadly|unfortunately|fortunately|thankfully|super|really|actually|truly|genuinely|pretty much|(?<!not )quite(?= (?:clearly|simply|obviously))|this time|at this point|at that point|in this (?:passage|place|section|spot|excerpt|bit|part)|here)\b",
)
#: "The bars 5-8", "in measures nr. 5".
_THE_BARS = re.compile(r"\bthe (?=(?:bars?|measures?|takt|mm?\.|bb?\.) ?\d)")
_MORE_HIGH = re.compile(r"\bmore (high|low|deep|loud|quiet|fast|slow|thick|thin|strong|soft)\b")
_NEVER = re.compile(
    r"\b(?:nowhere(?! else)(?: near)?|at no (?:time|point|moment|place)|by no means|in no way|on no account|not at any (?:time|point|moment)|not once|not ever|no way(?: that)?|fails? to|failed to|refuses? to|refused to|is far from|are far from)\b"
)
_NOBODY = re.compile(
    r"\b(?:not (?:a single|one single|one) (?:instrument|player|part|voice|soul|person|note)|no single (?:instrument|player|part) (?:at all )?|absolutely (?:nobody|no one|nothing)|not anybody|not anyone)(?! (?:doubl|else))\b"
)
_LIKE = re.compile(r"\b(the same (?:\w+ ){0,2})like\b")


def without_fillers(text: str) -> str:
    """Folded text, places cut out, without words that say nothing."""
    text = _LIKE.sub(r"\1as", _MORE_HIGH.sub(lambda m: _comparative(m[1]), _THE_BARS.sub("", text)))
    text = _NEVER.sub("not", _NOBODY.sub("nobody ", text))
    return re.sub(r"\s+", " ", re.sub(r"(?:^|(?<=,))\s*,", "", _ANYWHERE.sub(" ", text))).strip()


def _comparative(word: str) -> str:
    return f"{word}er" if word != "thin" else "thinner"
