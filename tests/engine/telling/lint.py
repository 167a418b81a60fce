"""Mechanical faults of a sentence: what no musician would print, whatever it says."""

from __future__ import annotations

import re
from collections.abc import Iterable

from analysis.engine.many import is_many

#: pattern -> what is wrong
FAULTS = {
    r"None|nan\b|\[\]|\{|\}|\bTrue\b|\bFalse\b": "a value of the program",
    r"  |\s[,.;:]|\.\.|,,|;;|\( | \)|,\.|;\.|: :": "spacing or stops",
    r"\bn\d+-\d+-\d+\b|\bP\d+\b": "an id",
    r"\b(?:1|one) (?:bars|beats|notes|times|attacks|lines|octaves|semitones|players|parts|places|"
    r"moves|bits|dips)\b": "a plural of one",
    r"\b(?:[2-9]|\d\d+|two|three|four|five|six) (?:bar|beat|note|time|attack|line|octave|"
    r"semitone|player|part|place|move|bit)\b(?! level)": "a singular of many",
    r"\ba (?=[aeio](?!n?e[ -]))|\ban (?=[^aeiou])": "a or an",
    r"\b(\w+) \1\b(?<!\d)": "a word twice",
    r"\b(?:tick|ticks|index|finding|findings|token|enum|onset|midi|tuple|span|spans)\b":
        "a word of the program",
    r"\d%|[^\x00-\x7f–éèàüöäôç♭♯]": "an odd sign",
}  # fmt: skip
_SINGULAR = {
    "doubles", "plays", "rests", "enters", "has", "holds", "keeps", "carries", "answers", "moves",
    "punctuates", "stays", "supports", "strikes", "sides", "changes", "is", "makes",
}  # fmt: skip
_PLURAL = {
    "double", "play", "rest", "enter", "have", "hold", "keep", "carry", "answer", "move",
    "punctuate", "stay", "support", "strike", "side", "share", "make", "are",
}  # fmt: skip
_BARS = re.compile(r"\bb\. ([^\s,;:.)–]+)(?:–([^\s,;:.)]+))?")


def faults(text: str, *, lines: Iterable[str] = (), bars: Iterable[str] = ()) -> list[str]:
    """What is wrong with a sentence.

    Parameters
    ----------
    text : str
    lines : iterable of str
        Names of the score's lines; they are left out of the looks at words and verbs.
    bars : iterable of str
        Printed labels; none: bars are not looked at.
    """
    found = []
    plain = text
    for name in sorted(lines, key=len, reverse=True):
        plain = plain.replace(name, "Xx and Xx" if is_many(name) else "Xx")
    if not text.endswith("."):
        found.append("no stop at the end")
    found += [wrong for pattern, wrong in FAULTS.items() if re.search(pattern, plain)]
    labels = set(bars)
    for match in _BARS.finditer(text) if labels else ():
        found += [f"no bar {label}" for label in match.groups() if label and label not in labels]
    for several in re.finditer(r"(Xx(?:, Xx)* and (?:Xx|\w+ more)|Xx) (\w+)", plain):
        one = several[1] == "Xx"
        before = plain[: several.start()]
        if one and re.search(r"(?:and|,) $", before):
            continue  # the end of a row
        if not one and several[2] in _SINGULAR:
            found.append(f"several {several[2]}")
        if one and several[2] in _PLURAL and not before.endswith(("What ", "does ", "do ")):
            found.append(f"one {several[2]}")
    return found
