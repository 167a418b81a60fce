""" "The oboes rest", "only strings play", "tutti", "general pause"."""

from __future__ import annotations

import re

from analysis.engine.prose.phrase import Found, groups_in, has, search, told_singly
from analysis.engine.prose.sentence import Sentence

_REST = r"(?:rests?|resting|schweig(?:t|en)|pausier(?:t|en)|tac(?:ciono|e)|se taisent|(?:is|are|falls?|stays?|remains?) (?:silent|tacet|quiet|out)|silent|tacet|pauses?|drops? out|dropped out|stops?(?: playing)?|(?:has|have) (?:a )?rests?|leaves? off|(?:is|are) (?:left out|omitted|missing(?! (?:the|their|its|some|an?)\b))|(?:has|have) nothing(?: (?:at all|to (?:play|do)))?(?=\W*(?:@|$)))"
_PLAY = r"(?:(?:keeps? (?:on )?|goes? on |continues? (?:to )?|carr(?:y|ies) on )play(?:ing)?|plays?|playing|spiel(?:t|en)|suona(?:no)?|jouent|sounds?|enters?|comes? (?:in|back)|joins? in|(?:is|are) (?:playing|heard|present)|starts?|begins?)"

_OTHERS = r"(?:(?:all )?(?:the )?(?:others?|other (?:parts|instruments|players))|(?:everyone|everybody|everything|all) else|(?:all )?the (?:rest|remainder)(?: of the orchestra)?)"
_NONE_ELSE = r"(?:nobody|no one|nothing|none) else\W*(?:@\W*)?$"
_THE_ONLY = r"\bthe only (?:one|such|time|place|passage|bars?|(?:\w+ )?(?:silence|pause|tutti))\b|\bnowhere else\b"

#: Words beside "plays" that say no more than that.
_NO_MORE = frozenset(
    re.findall(
        r"\w+",
        "play plays playing spielt spielen suona suonano jouent sound sounds enter enters come comes join joins"
        " heard present start starts begin begins the and are also again here only too for first time already"
        " now all with place passage bar bars from until then still other others both together into once more"
        " loudly softly quietly strongly suddenly finally nobody anything anybody after before rest bis der die"
        " das une des les sections section parts part passages whole entire that this there they can hear"
        " well keep keeps goes continue continues carry carries through throughout"
        " used active present appear appears participate participates take takes participating hear back",
    )
)


def more(short: str) -> list[str]:
    """A sentence that says more than "they play" was perhaps not understood."""
    words = [w for w in re.findall(r"(?<![\[\w])[a-z]{3,}", short) if w not in _NO_MORE]
    return [f"“{words[0]}”: is it more than that they play here?"] if words else []


def unique(s: Sentence) -> dict[str, bool]:
    """ "The only one in the movement"."""
    return {"unique": True} if has(_THE_ONLY, s) else {}


def says_no_play(s: Sentence) -> bool:
    """ "They are silent, they don't play at all": silence said twice, not denied."""
    return (
        s.negated
        and re.search(
            r"(?:n't|\bnot|\bnever|\bno longer)(?: even| really| ever)? (?:play|sound|be heard|enter|come in|have anything)",
            s.whole,
        )
        is not None
        and not re.search(rf"(?:n't|\bnot|\bnever)(?: \w+)? {_REST}\b", s.whole)
    )


def sole_of(s: Sentence, token: str) -> Found | None:
    """The only place where they play, play alone or rest; nothing where that is denied."""
    said = s.short[s.short.index(f"<{token}>") :]
    alone = re.search(
        r"\b(?:alone|(?:by|on) (?:themselves|itself|their own|its own)|unaccompanied)\b", said
    )
    rests = re.search(rf"\b{_REST}\b", said)
    if s.negated or (alone and rests):
        return None
    mode = "only" if alone else "rest" if rests else "play"
    return Found({"mode": mode, "unique": True, "parts": s.parts(token)}, (token,))


def _against_the_others(s: Sentence) -> Found | None:
    """Those who play, or rest, set against everybody else."""
    each = told_singly(s)
    if each and not s.negated and has(rf"<{each[1]}>\W*(?:and |but )?{_NONE_ELSE}", s):
        return Found({"mode": "only", "parts": s.parts(each[1])}, each)
    for pattern, mode in (
        (rf"\b(?:only|just|nobody but|none but) A! (?:\w+ )?{_REST}\b", "rest"),
        (rf"A! ~\bthe only (?:\w+ )?(?:who|that|which|to) (?:\w+ )?{_REST}\b", "rest"),
        (rf"\bthe only (?:\w+ )?(?:who|that|which|to) (?:\w+ )?{_REST}\b ~\b(?:is|are) A!", "rest"),
        (rf"\bthe only (?:\w+ )?(?:who|that|which|to|playing\b) ?(?:\w+ )?(?:{_PLAY})? ~\b(?:is|are) A!", "only"),
        (rf"A! ~\bthe only (?:\w+ )?(?:who|that|which|to|playing\b) ?(?:\w+ )?(?:{_PLAY})?\W*(?:@\W*)?$", "only"),
        (rf"A! ~\b{_REST}\b ~\b{_OTHERS} (?:\w+ )?{_PLAY}\b", "rest"),
        (rf"A! ~\b{_PLAY}\b ~\b{_OTHERS} (?:\w+ )?{_REST}\b", "only"),
        (rf"A! ~\b{_PLAY}\b ~\b(?:nobody|no one|nothing|none) else\b", "only"),
        (rf"A!\W*(?:and |but )?{_NONE_ELSE}", "only"),
        (rf"^(?:[@,:]|\s)*{_OTHERS} (?:\w+ )?{_REST}\b ~(?:\b(?:only|just|while)\b ~)?A! (?:\w+ )?{_PLAY}\b", "only"),
        (rf"A!\W*(?:(?:play )?(?:only|alone|by (?:themselves|itself)|on (?:their|its) own)\b)?(?:[@,;:.(-]|\s)*(?:(?:and|but|while) )?{_OTHERS} (?:\w+ )?{_REST}\b", "only"),
    ):  # fmt: skip
        if match := search(pattern, s):
            fields = {"mode": mode, "parts": s.parts(match["a"]), "negated": False}
            return None if s.negated else Found(fields, (match["a"],))
    left = search(
        rf"A! ~{_REST}\b ~\bleav(?:es?|ing) B! (?:all )?(?:alone|on (?:their|its) own|by (?:themselves|itself))\b",
        s,
    )
    if left is not None and not s.negated:
        return Found({"mode": "only", "parts": s.parts(left["b"])}, (left["a"], left["b"]))
    match = search(r"A! (?:only|alone)\b\W*(?:and |but )?(?:no|without|not) B!", s) or search(
        r"\bonly A!\W*(?:and |but )?(?:no|without|not) B!", s
    )
    if match is None or set(s.group(match["a"]).units) & set(s.group(match["b"]).units):
        return None
    return Found({"mode": "only", "parts": s.parts(match["a"])}, (match["a"], match["b"]))


def read(s: Sentence) -> Found | None:
    """See the module."""
    if has(r"\b(?:general pause|g\.?p\.|nobody (?:plays|sounds)|everybody (?:rests|is silent)|"
           r"everyone (?:rests|is silent)|(?:complete )?silence|(?:all|all (?:the )?(?:parts|instruments|players)) (?:rest|are silent)"
           r"|(?:whole|full|entire) orchestra (?:rests|pauses|(?:is|stays) silent))\b", s):  # fmt: skip
        return Found({"mode": "silence", **unique(s)})
    tokens = groups_in(s)
    if not tokens and has(r"\btutti\b|\b(?:everybody|everyone|all|(?:full|whole|entire) orchestra"
                          r"|all (?:the )?(?:parts|instruments))\b ?(?:plays?|sounds?|@|is playing"
                          r"|are playing|\W*$)", s):  # fmt: skip
        return Found({"mode": "tutti", **unique(s)})
    if (
        tokens
        and has(
            r"^(?:[@,:]|it|this|is|<\d+>|\s)*\b(?:a |the )?(?:real |true |full |proper |complete )?tutti\b(?! <)",
            s,
        )
        and not has(r"<\d+> (?:\w+ )?(?:plays?|has|have)\b", s)
    ):
        return Found({"mode": "tutti"})  # with parts beside it, which are asked about
    if tokens and (
        with_ := search(
            r"\b(?:everybody|everyone) (?:is |are )?play(?:s|ing)?\b[^<]*\b(?:even|including|incl\.?) A!\W*(?:@\W*)?$",
            s,
        )
    ):
        return Found({"mode": "tutti"}, (with_["a"],))  # who is named is one of all
    if found := _against_the_others(s):
        return found
    if sole := search(r"\bonly (?:place|passage|time|bars?)\b ~A!", s):
        return sole_of(s, sole["a"])
    sole = search(rf"A! ~\bonly (?:ever )?{_PLAY} @", s) or (
        search(rf"A! ~{_PLAY}", s) if has(r"\bnowhere else\b|\bonly (?:here|there)\b", s) else None
    )
    if sole is not None:
        return Found({"mode": "play", "unique": True, "parts": s.parts(sole["a"])}, (sole["a"],))
    if no := search(r"(?:^|@ |, )no A!", s):
        return Found({"mode": "rest", "parts": s.parts(no["a"]), "negated": False}, (no["a"],))
    only = search(rf"\b(?:only|just|nobody but|no one but|none but|nothing but|nothing except) ~A!(?: ~{_PLAY}|\W*(?:is|are) left\b(?! out)|\W*(?:remains?|stays?)\b|\W*(?:@\W*)?$)", s) \
        or search(r"A! ~(?:plays?|sounds?|is|are|play|left) (?:\w+ )?(?:alone|by themselves|by itself"
                  r"|unaccompanied)", s) or search(r"A! (?:only|alone|by (?:themselves|itself)|on (?:their|its) own"
                  r"|unaccompanied)\W*(?:@\W*)?$", s)  # fmt: skip
    if only is not None:
        return Found({"mode": "only", "parts": s.parts(only["a"])}, (only["a"],))
    rest = search(rf"A! ~\b{_REST}\b", s) or search(r"A! (?:is |are )?out\W*(?:@\W*)?$", s)
    if rest is not None:
        others = search(rf"A! ~{_OTHERS} (?:\w+ )?{_REST}\b", s)
        asked = ["Who rests: they, or the others?"] if others else []
        mode = (
            "play" if s.negated and not says_no_play(s) else "rest"
        )  # "do not rest" is said of who plays
        return Found(
            {"mode": mode, "parts": s.parts(rest["a"]), "negated": False}, (rest["a"],), asked
        )
    if play := search(rf"A! ~\b{_PLAY}\b", s):
        mode = "rest" if s.negated else "play"
        fields = {"mode": mode, "parts": s.parts(play["a"]), "negated": False}
        return Found(fields, (play["a"],), more(s.short))
    return None
