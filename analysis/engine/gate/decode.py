"""From bytes to checked UTF-8: encodings, and everything before the root element.

The parser behind this gate never sees a byte order mark, an XML declaration,
a document type or bytes in another encoding, so no difference between
parsers in these matters can make two readings of one file.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterator
from dataclasses import dataclass

from analysis.engine.errors import Refused
from analysis.engine.gate.limits import Limits
from analysis.engine.gate.names import other_format
from analysis.engine.gate.notices import Notices

_CHUNK = 1 << 16
_AGAIN = "Export the score again as MusicXML and upload the new file."
_PLAIN = {
    "utf-8": "utf-8",
    "utf8": "utf-8",
    "us-ascii": "ascii",
    "ascii": "ascii",
    "iso-8859-1": "latin-1",
    "iso8859-1": "latin-1",
    "latin1": "latin-1",
    "windows-1252": "cp1252",
    "cp1252": "cp1252",
}
_DECLARATION = re.compile(
    rb"""<\?xml\s[^>]{0,100}?encoding\s*=\s*["']([A-Za-z0-9._\-]{1,40})["']"""
)
_ROOT = re.compile(r"<([^\s<>/&]{1,80})[\s/>]")
_ROOTS = {
    "mei": "MEI inside an archive",
    "opus": "an opus, a list of scores and not a score",
    "html": "a web page",
    "svg": "a drawing",
    "museScore": "a notation program's own file",
}


@dataclass(frozen=True, slots=True)
class Opened:
    """What follows the prolog, as chunks of UTF-8; `root` is the first element's name."""

    root: str
    chunks: Iterator[bytes]


def open_xml(data: bytes, limits: Limits, notices: Notices) -> Opened:
    """Decode `data` and step over its prolog.

    Line breaks of the prolog are kept, so that line numbers stay true.

    Raises
    ------
    Refused
        If the bytes are no XML in an encoding that is taken, or if the file
        defines entities or anything else in a document type of its own.
    """
    encoding, skip = _encoding(data, notices)
    pieces = _decoded(data[skip:] if skip else data, encoding)
    head = ""
    for piece in pieces:
        head += piece
        if len(head) >= limits.prolog_characters:
            break
    root, at = _prolog(head, notices)
    rest = "\n" * head.count("\n", 0, at) + head[at:]

    def chunks() -> Iterator[bytes]:
        yield rest.encode("utf-8")
        for piece in pieces:
            yield piece.encode("utf-8")

    return Opened(root, chunks())


def _encoding(data: bytes, notices: Notices) -> tuple[str, int]:
    """Codec name and length of the byte order mark."""
    if not data.strip(b" \t\r\n\0"):
        raise Refused(f"The file is empty. {_AGAIN}", code="empty")
    if data.startswith(b"\x1f\x8b"):
        raise Refused(
            "The file is packed with gzip; unpack it first and upload the MusicXML inside.",
            code="gzip",
        )
    if data.startswith((b"\xff\xfe\0\0", b"\0\0\xfe\xff", b"<\0\0\0", b"\0\0\0<")):
        raise _encoding_refused("UTF-32")
    for mark, codec in (
        (codecs.BOM_UTF8, "utf-8"),
        (codecs.BOM_UTF16_LE, "utf-16-le"),
        (codecs.BOM_UTF16_BE, "utf-16-be"),
    ):
        if data.startswith(mark):
            return codec, len(mark)
    for start, codec in ((b"<\0", "utf-16-le"), (b"\0<", "utf-16-be")):
        if data.startswith(start):
            notices.add("no-mark", "The file does not mark its encoding; it was read as UTF-16.")
            return codec, 0
    if not data.lstrip(b" \t\r\n").startswith(b"<"):
        raise Refused(f"This is no score in a format that is read here. {_AGAIN}", code="type")
    declared = _DECLARATION.match(data.lstrip(b" \t\r\n")[:200])
    name = declared[1].decode("ascii").lower() if declared else "utf-8"
    if name not in _PLAIN:
        raise _encoding_refused(name.upper())
    return _PLAIN[name], 0


def _encoding_refused(name: str) -> Refused:
    return Refused(
        f"The file says its letters are encoded as {name}, which is not taken or not true; "
        "export it again as UTF-8.",
        code="encoding",
    )


def _decoded(data: bytes, encoding: str) -> Iterator[str]:
    decoder = codecs.getincrementaldecoder(encoding)("strict")
    for at in range(0, len(data), _CHUNK):
        last = at + _CHUNK >= len(data)
        held = len(decoder.getstate()[0])
        try:
            text = decoder.decode(data[at : at + _CHUNK], last)
        except UnicodeDecodeError as error:
            raise Refused(
                f"Byte {at - held + error.start + 1} of the file is no letter in the encoding "
                "the file declares; export it again as UTF-8.",
                code="encoding-bytes",
            ) from None
        if "\0" in text:
            raise Refused(f"The file holds empty (NUL) characters. {_AGAIN}", code="nul")
        yield text


def _prolog(head: str, notices: Notices) -> tuple[str, int]:
    """Name of the root element and the offset where it begins."""
    at = 0
    while True:
        at += len(head) - at - len(head[at:].lstrip(" \t\r\n"))
        if head.startswith("<?", at):
            if not re.match(r"<\?xml\s", head[at : at + 6]):
                notices.add(
                    "instruction",
                    "Instructions to other programs were in the file; they were left out.",
                )
            at = _after(head, "?>", at)
        elif head.startswith("<!--", at):
            at = _after(head, "-->", at + 4)
        elif head.startswith("<!DOCTYPE", at):
            at = _doctype_end(head, at)
        else:
            break
    found = _ROOT.match(head, at)
    if found is None:
        raise Refused(f"This is not MusicXML: no score begins in it. {_AGAIN}", code="type")
    return found[1], at


def _after(head: str, mark: str, at: int) -> int:
    end = head.find(mark, at)
    if end < 0:
        raise Refused(f"The file's head is too long or never ends. {_AGAIN}", code="prolog")
    return end + len(mark)


def _doctype_end(head: str, at: int) -> int:
    """Step over a plain public document type; one with definitions of its own is refused."""
    quote = ""
    for i in range(at, len(head)):
        c = head[i]
        if quote:
            quote = "" if c == quote else quote
        elif c in "\"'":
            quote = c
        elif c == "[":
            raise Refused(
                "The file defines its own document type (entities), which is not taken; "
                "export the score again from a notation program.",
                code="dtd",
            )
        elif c == ">":
            return i + 1
    raise Refused(f"The file's head is too long or never ends. {_AGAIN}", code="prolog")


def check_root(name: str) -> None:
    """Refuse anything but the two roots of a MusicXML score."""
    if name in ("score-partwise", "score-timewise"):
        return
    raise other_format(_ROOTS.get(name, "an XML file of another kind"))
