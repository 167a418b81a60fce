"""What a file is, told by its bytes and never by its name."""

from __future__ import annotations

import re

NAMES = {"musicxml": "MusicXML", "mxl": "MXL", "mei": "MEI", "kern": "Humdrum kern", "midi": "MIDI"}

_MEI = re.compile(rb"<(?:[A-Za-z_][\w.-]{0,40}:)?mei[\s>/]")
_KERN = re.compile(rb"(?:\xef\xbb\xbf)?[ \t\r\n]*(?:!![^\n]*\n[ \t\r\n]*)*(?:\*\*|!!!?[^\n]*\s*\Z)")
_HEAD = 1 << 16


def recognise(data: bytes) -> str:
    """One of `NAMES`; "musicxml" also for what is nothing that is known.

    The gate that takes it from there refuses what is no MusicXML either.
    """
    if data.startswith(b"PK"):
        return "mxl"
    if data.startswith(b"MThd"):
        return "midi"
    head = data[:_HEAD]
    if _KERN.match(head):
        return "kern"
    if head[:2] in (b"\xff\xfe", b"\xfe\xff", b"<\0", b"\0<"):
        head = head.replace(b"\0", b"")
    first = _first_element(head)
    if first is not None and _MEI.match(head, first):
        return "mei"
    return "musicxml"


def _first_element(head: bytes) -> int | None:
    """Where the root element begins: after declarations, comments and document types."""
    at = 0
    while True:
        at = head.find(b"<", at)
        if at < 0:
            return None
        if head.startswith(b"<!--", at):
            end = head.find(b"-->", at)
        elif head.startswith(b"<?", at):
            end = head.find(b"?>", at)
        elif head.startswith(b"<!", at):
            bracket, end = head.find(b"[", at), head.find(b">", at)
            if 0 <= bracket < end:
                end = head.find(b"]", bracket)
        else:
            return at
        if end < 0:
            return None
        at = end + 1
