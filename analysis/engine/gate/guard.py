"""The pull parser, fed in small pieces and counted while it works.

Only a bar, or the head of the file, is ever held as a tree: an upload of any
size costs the memory of its largest bar.
"""

from __future__ import annotations

from collections.abc import Iterator

from lxml import etree

from analysis.engine.errors import Refused
from analysis.engine.gate.decode import Opened
from analysis.engine.gate.limits import Limits
from analysis.engine.gate.notices import Notices

Element = etree._Element
Event = tuple[str, Element]

_WATCHED = ("score-partwise", "score-timewise", "part-list", "part", "measure")
_AGAIN = "Export the score again from your notation program."


def events(opened: Opened, limits: Limits, notices: Notices) -> Iterator[Event]:
    """Starts and ends of root, part list, parts and bars.

    The consumer must call `forget` on what it has done with.

    Raises
    ------
    Refused
        If the file is not well formed or grows past a limit.
    """
    parser = etree.XMLPullParser(
        events=("start", "end"),
        tag=_WATCHED,
        resolve_entities=False,
        load_dtd=False,
        no_network=True,
        huge_tree=False,
        remove_comments=True,
        remove_pis=True,
    )
    counter = _Counter(limits)
    tail = b""
    try:
        for chunk in opened.chunks:
            counter.feed(chunk)
            if b"<?" in tail + chunk:
                notices.add(
                    "instruction",
                    "Instructions to other programs were in the file; they were left out.",
                )
            tail = chunk[-1:]
            parser.feed(chunk)
            for kind, element in parser.read_events():
                assert isinstance(element, etree._Element)
                if element.tag in ("measure", "part", "part-list") and kind == "end":
                    counter.rest()
                yield kind, element
        parser.close()
        for kind, element in parser.read_events():
            assert isinstance(element, etree._Element)
            yield kind, element
    except etree.XMLSyntaxError as error:
        raise _broken(error) from None
    except (OSError, ValueError, LookupError) as error:
        if isinstance(error, UnicodeError):
            raise
        raise Refused(f"The file cannot be read as XML. {_AGAIN}", code="xml") from None


class _Counter:
    """Counts elements by their opening signs; a little too many is harmless."""

    def __init__(self, limits: Limits) -> None:
        self.limits = limits
        self.all = 0
        self.open = 0

    def feed(self, chunk: bytes) -> None:
        count = chunk.count(b"<") - chunk.count(b"</")
        self.all += count
        self.open += count
        if self.all > self.limits.elements or self.open > self.limits.open_elements:
            raise Refused(
                "The file holds more signs than an orchestral movement can, or one bar holds far "
                "too many. Upload the movements as files of their own.",
                code="elements",
            )

    def rest(self) -> None:
        self.open = 0


def _broken(error: etree.XMLSyntaxError) -> Refused:
    line = error.lineno or 0
    where = f"line {line}" if line else ""
    at = f" near line {line}" if line else ""
    reason = str(error.msg or "")
    if "Entity" in reason:
        text = f"The file uses an abbreviation it does not explain{at}."
    elif "depth" in reason:
        text = f"The file is nested too deeply{at}."
    elif "huge" in reason.lower() or "too long" in reason.lower() or "limit" in reason.lower():
        text = f"The file holds a text that is far too long{at}."
    elif "memory" in reason.lower():
        raise MemoryError
    else:
        text = f"The file is broken{at}: it is cut off or was changed by hand."
    return Refused(f"{text} {_AGAIN}", code="xml", where=where)


def forget(element: Element) -> None:
    """Free what stands before `element` and inside it.

    The element itself stays: the parser may still hold on to it.
    """
    element.clear(keep_tail=True)  # type: ignore[call-arg]
    parent = element.getparent()
    if parent is not None:
        while element.getprevious() is not None:
            del parent[0]
