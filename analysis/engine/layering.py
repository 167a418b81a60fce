"""Layers on the notes: findings as marks that a page can lay behind its staves.

A mark carries the very notes of its finding, a short word, and the group its pattern comes
from. What stands outside the bars asked for is cut off: neither a note nor a bar of it is told.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from analysis.engine.claims import speech
from analysis.engine.model import Finding, ScoreTable, Sentence
from analysis.engine.sentences import register

register({"layer.together": "with {names}, {how}", "layer.with": "with {names}"})

#: role -> group of roles with one pattern; the word says which
GROUPS = {
    "melody": "leading", "countermelody": "leading", "answer": "leading",
    "bass line": "ground", "pedal": "ground",
    "held harmony": "harmony", "moving harmony": "harmony",
    "pulse": "rhythm", "punctuation": "rhythm", "figuration": "rhythm",
}  # fmt: skip
_TONES = {
    "open-tones.hand": "hand",
    "open-tones.not-available": "not on this crook",
    "open-tones.doubtful": "out of tune",
    "open-tones.valves": "valves",
    "open-tones.crook": "open tones",
}
#: below it a judgement is marked with a question mark; as the page's words for confidence do
SURE = 0.6


@dataclass(frozen=True, slots=True)
class Mark:
    """One finding on the page.

    Attributes
    ----------
    layer : str
        One of `LAYERS`.
    group : str
        What its pattern is chosen by.
    word : Sentence or str
        Said at its start.
    first, last : int
        Bar indices, inclusive.
    parts : tuple of str
        Part ids; () for the whole system.
    ids : tuple of str
        Its notes, all of them and no others.
    """

    layer: str
    group: str
    word: Any
    first: int
    last: int
    parts: tuple[str, ...]
    ids: tuple[str, ...]


def ids_of(finding: Finding) -> tuple[str, ...]:
    """The notes that prove a finding, without repeats."""
    return tuple(dict.fromkeys(i for e in finding.evidence for i in e.ids))


def marks(
    table: ScoreTable, findings: Iterable[Finding], layers: Iterable[str], first: int, last: int
) -> list[Mark]:
    """Marks of some layers over bars `first` to `last`."""
    wanted = [(name, LAYERS[name]) for name in layers]
    found = []
    for finding in findings:
        if finding.first > last or finding.last < first:
            continue
        for name, make in wanted:
            mark = make(table, finding)
            if mark is not None and (cut := _cut(replace(mark, layer=name), first, last)):
                found.append(cut)
    return found


def _cut(mark: Mark, first: int, last: int) -> Mark | None:
    ids = tuple(i for i in mark.ids if first <= int(i.split("-")[1]) <= last)
    if mark.ids and not ids:
        return None
    return replace(mark, ids=ids, first=max(first, mark.first), last=min(last, mark.last))


def _mark(table: ScoreTable, finding: Finding, group: str, word: Any, whole: bool = False) -> Mark:
    parts = dict.fromkeys(table.first_readings[table.lines[n].part].id for n in finding.lines)
    return Mark(
        layer="", group=group, word=_doubted(finding, word), first=finding.first,
        last=finding.last, parts=() if whole else tuple(parts), ids=ids_of(finding),
    )  # fmt: skip


def _doubted(finding: Finding, word: Any) -> Any:
    return f"{word}?" if isinstance(word, str) and finding.confidence < SURE else word


def _role(table: ScoreTable, finding: Finding) -> Mark | None:
    role = str(finding.value.get("role"))
    if finding.kind != "role" or role not in GROUPS:
        return None
    return _mark(table, finding, GROUPS[role], role)


def _melody(table: ScoreTable, finding: Finding) -> Mark | None:
    if finding.kind != "role" or finding.value.get("role") != "melody":
        return None
    return _mark(table, finding, "melody", "melody")


def _doubling(table: ScoreTable, finding: Finding) -> Mark | None:
    value: Mapping[str, Any] = finding.value
    if finding.kind != "doubling" or not value.get("with"):
        return None
    return _mark(table, finding, "doubling", _together(table, finding))


def _together(table: ScoreTable, finding: Finding) -> Sentence:
    """Said at the first part, of the others: "with the cellos, one octave lower"."""
    octaves = finding.value.get("octaves")
    how = speech.octaves(octaves) if isinstance(octaves, int) else ""
    names = speech.line_names(table, finding.lines[1:])
    return Sentence("layer.together" if how else "layer.with", {"names": names, "how": how})


def _crossing(table: ScoreTable, finding: Finding) -> Mark | None:
    return _mark(table, finding, "crossing", "crosses") if finding.kind == "crossing" else None


def _tones(table: ScoreTable, finding: Finding) -> Mark | None:
    word = _TONES.get(finding.sentence.template) if finding.kind == "open-tones" else None
    return _mark(table, finding, "tones", word) if word else None


def _key(table: ScoreTable, finding: Finding) -> Mark | None:
    if finding.kind != "key" or finding.value.get("how") != "region":
        return None
    key = str(finding.value["key"])
    return _mark(table, finding, "key", key[:1].upper() + key[1:], whole=True)


LAYERS = {
    "melody": _melody,
    "doublings": _doubling,
    "roles": _role,
    "crossings": _crossing,
    "open-tones": _tones,
    "keys": _key,
}
