"""Titles and the list of parts."""

from __future__ import annotations

from typing import Any

from analysis.engine.reader.raw import PartHead, Scan


def read_head(out: Scan, element: Any, indices: dict[str, int]) -> None:
    if element.tag == "work-title":
        out.work = text_of(element)
    elif element.tag == "movement-title":
        out.movement = text_of(element)
    elif element.tag == "identification":
        fields = element.iterfind("miscellaneous/miscellaneous-field[@name='source']")
        out.keys_only = any(text_of(f) == "keys-only" for f in fields)
    elif element.tag == "credit":
        kind = element.findtext("credit-type") or ""
        if kind.strip() == "title" and not out.title:
            out.title = " ".join(text_of(w) for w in element.iter("credit-words")).strip()
    else:
        groups: list[tuple[str, str]] = []
        for child in element:
            if child.tag == "part-group":
                number = child.get("number", "1")
                groups = [g for g in groups if g[0] != number]
                if child.get("type") == "start":
                    groups.append((number, text_of(child.find("group-name"))))
            elif child.tag == "score-part":
                indices[child.get("id", "")] = len(out.heads)
                named = [name for _, name in groups if name]
                add_part(out, _score_part(child, named[-1] if named else ""))


def _score_part(element: Any, group: str) -> PartHead:
    head = PartHead(id=element.get("id", ""), group=group)
    # A printed name may carry accidentals that part-name writes as letters.
    head.label = text_of(element.find("part-name")) or _display(element.find("part-name-display"))
    head.abbreviation = text_of(element.find("part-abbreviation"))
    for instrument in element.iter("score-instrument"):
        head.instruments[instrument.get("id", "")] = text_of(instrument.find("instrument-name"))
        if not head.sound:
            head.sound = text_of(instrument.find("instrument-sound"))
    return head


def _display(element: Any) -> str:
    if element is None:
        return ""
    return "".join(child.text or "" for child in element).strip()


def forgotten_part(out: Scan, indices: dict[str, int], key: str) -> int:
    """A part that the part list forgot: taken at the end, without a name."""
    indices[key] = len(out.heads)
    add_part(out, PartHead(id=key or f"P{len(out.heads) + 1}"))
    return indices[key]


def add_part(out: Scan, head: PartHead) -> None:
    out.heads.append(head)
    out.bars.append([])
    out.transposes.append([])
    out.staves.append(1)
    out.lyrics.append(False)
    out.instrument_changes.append([])


def text_of(element: Any) -> str:
    return " ".join((element.text or "").split()) if element is not None else ""
