""" "Violin 2 crosses above violin 1", "the viola dips below the cello"."""

from __future__ import annotations

from analysis.engine.prose.phrase import Found, groups_in, search
from analysis.engine.prose.sentence import Sentence

_OVER = r"(?:cross(?:es|ing)? (?:over|above)|(?:sounds?|lies?|go(?:es)?|rises?|is|are|climbs?|gets?|plays?|moves?) (?:~)?(?:above|over|higher than)|(?<=> )(?:above|higher than)(?= <))"
_UNDER = r"(?:cross(?:es|ing)? (?:under|below|beneath)|(?:sounds?|lies?|go(?:es)?|falls?|is|are|dips?|gets?|plays?|moves?|drops?) (?:~)?(?:below|under|beneath|lower than)|(?<=> )(?:below|lower than)(?= <))"


def read(s: Sentence) -> Found | None:
    """See the module."""
    if match := search(rf"A! ~{_OVER} ~B!", s):
        return of(s, above=match["a"], below=match["b"])
    if match := search(rf"A! ~{_UNDER} ~B!", s):
        return of(s, above=match["b"], below=match["a"])
    return met(s)


def met(s: Sentence) -> Found | None:
    """Two parts of which it is only said that they cross."""
    tokens = groups_in(s)
    if not search(r"\bcross(?:es|ing|ed|ings)?\b", s) or not tokens:
        return None
    names = list(s.sides(tokens[0])) if len(tokens) == 1 else s.parts(*tokens)
    if len(names) != 2:
        return Found({}, tuple(tokens), ["Which two parts cross?"])
    by_page = _page_order(s, names, tokens)
    return Found({"upper": by_page[0], "lower": by_page[1]}, tuple(tokens))


def of(s: Sentence, above: str, below: str) -> Found:
    """`lower` is lower on the page and sounds above."""
    top, bottom = s.group(above), s.group(below)
    asked = []
    if len(top.names) != 1 or len(bottom.names) != 1:
        asked.append("A crossing is between two parts; say each pair by itself.")
    if top.units and bottom.units and top.units[0].part <= bottom.units[0].part:
        asked.append(
            f"{top.units[0].label} stands above {bottom.units[0].label} on the page, so to sound above"
            " it is no crossing. Which one crosses?"
        )
    fields = {f: g.names[0] for f, g in (("upper", bottom), ("lower", top)) if g.names}
    return Found(fields, (above, below), asked)


def _page_order(s: Sentence, names: list[str], tokens: list[str]) -> list[str]:
    units = [unit for token in tokens for unit in s.group(token).units]
    if len(units) == 2 and units[0].part > units[1].part:
        return names[::-1]
    return names
