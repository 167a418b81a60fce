"""An MEI file as a tree of plain names, checked on the way in."""

from __future__ import annotations

from collections.abc import Iterator

from lxml import etree

from analysis.engine.errors import Refused
from analysis.engine.gate import decode
from analysis.engine.gate.limits import Limits
from analysis.engine.gate.notices import Notices

Element = etree._Element

NAMESPACE = "http://www.music-encoding.org/ns/mei"
ID = "{http://www.w3.org/XML/1998/namespace}id"
_AGAIN = "Export the score again, best as MusicXML, and upload the new file."
_DEPTH = 64
_NOT_COMMON = frozenset({"neume", "nc", "syllable", "mensur", "ligature", "tabGrp", "tabDurSym"})
_POINTERS = ("target", "{http://www.w3.org/1999/xlink}href", "href")


def load(data: bytes, limits: Limits, notices: Notices) -> Element:
    """The root, its elements renamed to their local names.

    Raises
    ------
    Refused
        If it is no well-formed XML, is too large, carries drawings of another
        kind, or is not in common notation.
    """
    told = Notices()
    opened = decode.open_xml(data, limits, told)
    for notice in told.as_tuple():
        if notice.code != "instruction":  # every MEI file names its schema in one
            notices.add(notice.code, notice.text)
    parser = etree.XMLPullParser(
        events=("end",),
        tag="never",
        resolve_entities=False,
        load_dtd=False,
        no_network=True,
        huge_tree=False,
        collect_ids=False,
        remove_comments=True,
        remove_pis=True,
    )
    count = 0
    try:
        for chunk in opened.chunks:
            count += chunk.count(b"<") - chunk.count(b"</")
            if count > limits.elements:
                raise Refused(
                    "The file holds more signs than an orchestral movement can. Upload the "
                    "movements as files of their own.", code="elements")  # fmt: skip
            parser.feed(chunk)
        root = parser.close()
    except etree.XMLSyntaxError as error:
        at = f" near line {error.lineno}" if error.lineno else ""
        raise Refused(f"The file is broken{at}: it is cut off, nested too deeply or was changed "
                      f"by hand. {_AGAIN}", code="xml") from None  # fmt: skip
    _check(root, limits, notices)
    return root


def _check(root: Element, limits: Limits, notices: Notices) -> None:
    ids: set[str] = set()
    for depth, element in _walk(root):
        if depth > _DEPTH:
            raise Refused(f"The file is nested too deeply. {_AGAIN}", code="depth")
        space, _, name = str(element.tag).rpartition("}")
        if space and space[1:] != NAMESPACE:
            raise Refused(
                "The file carries a drawing or another foreign document, which could hold a "
                f"program. {_AGAIN}", code="foreign")  # fmt: skip
        element.tag = name
        _check_one(element, name, limits)
        if any(p in element.attrib for p in _POINTERS):
            notices.add("left-out", "Links, pictures or foreign elements were in the file; they "
                        "were left out.")  # fmt: skip
        given = element.get(ID)
        if given is not None:
            if given in ids:
                raise Refused(
                    f"Several signs share the id “{given[:40]}”, so slurs and ties cannot be "
                    f"told apart. {_AGAIN}", code="id-twice")  # fmt: skip
            ids.add(given)


def _check_one(element: Element, name: str, limits: Limits) -> None:
    if name in _NOT_COMMON:
        raise Refused(
            "The score is in neumes, mensural notation or tablature; common notation is read. "
            f"Transcribe it first. {_AGAIN}", code="not-common")  # fmt: skip
    if name == "symbolDef" and element.find(".//{*}graphic") is not None:
        raise Refused(f"The file takes its signs from pictures elsewhere. {_AGAIN}",
                      code="symbols")  # fmt: skip
    if len(element.attrib) > limits.attributes:
        raise Refused(f"A sign of the file has too many properties. {_AGAIN}", code="attributes")
    if element.text is not None and len(element.text) > limits.text:
        raise Refused(f"The file holds a text that is far too long. {_AGAIN}", code="text-long")


def _walk(root: Element) -> Iterator[tuple[int, Element]]:
    stack = [(1, root)]
    while stack:
        depth, element = stack.pop()
        yield depth, element
        if depth <= _DEPTH:
            stack += [(depth + 1, child) for child in element]


def words(element: Element) -> str:
    """All text inside, on one line."""
    return " ".join("".join(_pieces(element)).split())


def _pieces(element: Element) -> Iterator[str]:
    yield element.text or ""
    for child in element:
        if child.tag == "lb":
            yield " "
        yield from _pieces(child)
        yield child.tail or ""
