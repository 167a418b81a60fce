"""The head of a score: titles, and the list of parts made to fit the parts there are."""

from __future__ import annotations

from dataclasses import dataclass

from lxml import etree

from analysis.engine.errors import Refused
from analysis.engine.gate import clean
from analysis.engine.gate.limits import Limits
from analysis.engine.gate.names import SHOWN, tidy
from analysis.engine.gate.notices import Notices

Element = etree._Element

_NAMES = frozenset({"part-name", "part-abbreviation", "work-title", "movement-title",
                    "work-number", "movement-number", "creator", "instrument-name",
                    "instrument-abbreviation", "display-text", "group-name",
                    "group-abbreviation"})  # fmt: skip
_AGAIN = "Correct it in your notation program and export the score again."


@dataclass(frozen=True, slots=True)
class ListedPart:
    """A part as the list announces it."""

    id: str
    name: str


def tidy_head(element: Element, limits: Limits, notices: Notices) -> None:
    """Clean one element above the music in place, with all it holds."""
    unwanted = []
    for depth, inner in _with_depth(element):
        if depth > limits.depth:
            raise Refused(f"The head of the file is nested too deeply. {_AGAIN}", code="depth")
        if not isinstance(inner.tag, str) or clean.unwanted(inner.tag):
            unwanted.append(inner)
            continue
        if len(inner.attrib) > limits.attributes:
            raise Refused(
                f"The head of the file has an element with too many properties. {_AGAIN}",
                code="attributes",
            )
        given = inner.get("id")
        if given is not None and not clean.is_id(given):
            raise Refused(
                f"The head of the file holds an id that is no valid name. {_AGAIN}", code="id"
            )
        if inner.text is not None and len(inner.text) > limits.text:
            raise Refused(f"The head of the file holds a far too long text. {_AGAIN}",
                          code="text-long")  # fmt: skip
        clean.tidy_attributes(inner)
    for inner in unwanted:
        parent = inner.getparent()
        if parent is not None:
            if clean.worth_a_word(str(inner.tag)):
                notices.add("left-out", "Links, pictures or foreign elements were in the file; "
                            "they were left out.")  # fmt: skip
            parent.remove(inner)
    for inner in element.iter():
        _tidy_words(inner, notices)


def _with_depth(element: Element) -> list[tuple[int, Element]]:
    found, level, depth = [], [element], 2
    while level:
        found += [(depth, e) for e in level]
        if depth > 1_000:
            break
        level = [child for e in level for child in e]
        depth += 1
    return found


def _tidy_words(element: Element, notices: Notices) -> None:
    element.tail = None
    if len(element):
        element.text = None
        return
    if element.text is None:
        return
    longest = SHOWN if element.tag in _NAMES else clean.WORDS
    if len(element.text) > longest:
        notices.add("shortened", "Names or texts in the head of the file were shortened.")
    element.text = clean.tidy_words(element.text, longest)


def listed_parts(part_list: Element) -> list[ListedPart]:
    """The parts of a cleaned list, in its order.

    Raises
    ------
    Refused
        If an id is missing or given twice.
    """
    parts: list[ListedPart] = []
    for n, entry in enumerate(part_list.iterchildren("score-part"), 1):
        name = tidy(entry.findtext("part-name") or "")
        id_ = entry.get("id", "")
        if not id_:
            raise Refused(f"Part {n} in the list of parts has no id. {_AGAIN}", code="part-id",
                          where=f"part {n}")  # fmt: skip
        parts.append(ListedPart(id_, name or f"part {n}"))
    ids = [p.id for p in parts]
    for n, id_ in enumerate(ids, 1):
        if id_ in ids[: n - 1]:
            raise Refused(
                f"Two parts of the list share one id (part {n}, {parts[n - 1].name}). {_AGAIN}",
                code="part-id", where=parts[n - 1].name)  # fmt: skip
    return parts


def fit_list(part_list: Element, order: list[str], notices: Notices) -> None:
    """Keep the listed parts that have music, in the order of the music.

    Groups lose brackets that were never opened or never closed; they go
    altogether when the list and the music disagree about the order.
    """
    for entry in part_list.findall("score-part"):
        if entry.get("id") not in order:
            notices.add("no-music", "Parts are listed that have no music; they were left out.")
            part_list.remove(entry)
    entries = {e.get("id"): e for e in part_list.iterchildren("score-part")}
    if list(entries) != order:
        notices.add("part-order", "Parts stood in another order than their list; the music's "
                    "order was kept.")  # fmt: skip
        for child in list(part_list):
            part_list.remove(child)
        part_list.extend([entries[id_] for id_ in order])
        return
    _pair_groups(part_list, notices)
    for entry in entries.values():
        if not tidy(entry.findtext("part-name") or ""):
            notices.add("no-name", "Parts have no name; say who plays them when you look the "
                        "parts over.", part=entry.get("id"))  # fmt: skip


def _pair_groups(part_list: Element, notices: Notices) -> None:
    open_: dict[str, Element] = {}
    lonely: list[Element] = []
    for group in part_list.findall("part-group"):
        number = group.get("number", "1")
        if group.get("type") == "start":
            if number in open_:
                lonely.append(open_[number])
            open_[number] = group
        elif open_.pop(number, None) is None:
            lonely.append(group)
    for group in (*lonely, *open_.values()):
        part_list.remove(group)
        notices.add("group", "Brackets of part groups did not match; the odd ones were left out.")


def title_of(above: list[Element]) -> str:
    """The title in the file's head ("Symphony: 2. Andante"), or an empty string."""
    found = {"work-title": "", "movement-number": "", "movement-title": ""}
    for element in above:
        for inner in element.iter(*found):
            found[str(inner.tag)] = tidy(inner.text or "")
    work, number, movement = found.values()
    if not work or not movement or movement == work:
        return work or movement
    return tidy(f"{work}: {number}. {movement}" if number else f"{work}: {movement}")
