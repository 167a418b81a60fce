"""The MXL archive: read by ourselves, because readers disagree about odd archives.

Nothing an archive declares is believed before it is checked: sizes are
counted, checksums compared, entries that overlap are refused, and only the
score that the container names is ever unpacked. The standard library's own
overlap check came with later releases than the one we support.
"""

from __future__ import annotations

import re
import struct
import zlib
from dataclasses import dataclass

from lxml import etree

from analysis.engine.errors import Refused
from analysis.engine.gate import decode
from analysis.engine.gate.limits import Limits
from analysis.engine.gate.notices import Notices

MAGIC = b"PK\x03\x04"
_END = b"PK\x05\x06"
_CENTRAL = b"PK\x01\x02"
_CONTAINER = "META-INF/container.xml"
_CHUNK = 1 << 16
_AGAIN = "Export the score again and upload the new file."


@dataclass(frozen=True, slots=True)
class Entry:
    """One file of the archive; `start` to `start + packed` is its data."""

    name: str
    method: int
    crc: int
    packed: int
    size: int
    header: int  # offset of its own header
    start: int


def _refuse(text: str, code: str) -> Refused:
    return Refused(f"{text} {_AGAIN}", code=code)


def unpack(data: bytes, limits: Limits, notices: Notices) -> bytes:
    """The score inside an MXL archive.

    Raises
    ------
    Refused
        If the archive is damaged, dishonest, too large, or names no score.
    """
    if len(data) > limits.packed_bytes:
        raise Refused(
            f"The archive has {len(data) >> 20} MB; at most {limits.packed_bytes >> 20} MB are "
            "taken. Upload the movements as files of their own.",
            code="zip-large",
        )
    entries = _entries(data, limits)
    by_name = {e.name.replace("\\", "/"): e for e in entries}
    if any("\\" in e.name for e in entries):
        notices.add("zip-backslash", "The archive was packed with unusual names; it was read.")
    root = _root_name(data, by_name, limits, notices)
    extra = [n for n in by_name if n not in (root, _CONTAINER, "mimetype") and n[-1:] != "/"]
    if extra:
        notices.add("zip-extra", "Other files beside the score were in the archive; left out.")
    score = _inflate(data, by_name[root], limits.unpacked_bytes, limits)
    if score.startswith((MAGIC, _END)):
        raise _refuse("The archive holds another archive instead of a score.", "zip-nested")
    return score


def _entries(data: bytes, limits: Limits) -> list[Entry]:
    end = data.rfind(_END, max(0, len(data) - 65_557))
    if end < 0 or len(data) < end + 22:
        raise _refuse("The archive is cut off: its end is missing.", "zip-truncated")
    disk, cd_disk, here, count, cd_size, cd_start, comment = struct.unpack_from(
        "<HHHHIIH", data, end + 4
    )
    if disk or cd_disk or here != count or end + 22 + comment != len(data):
        raise _refuse("The archive is damaged at its end.", "zip-damaged")
    if count > limits.entries:
        raise _refuse(
            f"The archive holds {count} files; a score needs two, at most {limits.entries} "
            "are taken.",
            "zip-entries",
        )
    if cd_start + cd_size != end:
        raise _refuse("The archive's table of contents is not where it says.", "zip-damaged")
    entries, at = [], cd_start
    for _ in range(count):
        entry, at = _entry(data, at, end)
        entries.append(entry)
    if at != end:
        raise _refuse("The archive's table of contents is damaged.", "zip-damaged")
    _check_apart(entries, cd_start)
    names = [e.name.replace("\\", "/") for e in entries]
    if len(set(names)) != len(names):
        raise _refuse("The archive holds two files of the same name.", "zip-duplicate")
    return entries


def _entry(data: bytes, at: int, end: int) -> tuple[Entry, int]:
    """The entry described at offset `at` of the table of contents, and the next offset."""
    if data[at : at + 4] != _CENTRAL or at + 46 > end:
        raise _refuse("The archive's table of contents is damaged.", "zip-damaged")
    made, _, flags, method, _, _, crc, packed, size, n, extra, comment, _, _, mode, header = (
        struct.unpack_from("<HHHHHHIIIHHHHHII", data, at + 4)
    )
    raw = data[at + 46 : at + 46 + n]
    name = raw.decode("utf-8" if flags & 0x800 else "cp437", "replace")
    if flags & 0x2041:
        raise Refused(
            "The archive is locked with a password; upload it without one.", code="zip-encrypted"
        )
    if method not in (0, 8):
        raise _refuse("The archive is packed in an unusual way that is not taken.", "zip-method")
    if made >> 8 == 3 and (mode >> 16) & 0o170000 == 0o120000:
        raise _refuse("The archive holds a link to another file.", "zip-link")
    if 0xFFFFFFFF in (packed, size, header):
        raise _refuse("The archive is made for giant files.", "zip-large")
    _check_entry_name(name)
    start = _data_start(data, header, raw)
    if start + packed > end:
        raise _refuse("The archive is cut off.", "zip-truncated")
    return Entry(name, method, crc, packed, size, header, start), at + 46 + n + extra + comment


def _check_entry_name(name: str) -> None:
    parts = name.replace("\\", "/").split("/")
    if not name or len(name) > 255 or "\0" in name or ":" in name:
        raise _refuse("A file in the archive has a name that is not taken.", "zip-name")
    if ".." in parts or parts[0] == "":
        raise _refuse("A file in the archive points outside the archive.", "zip-traversal")


def _data_start(data: bytes, header: int, name: bytes) -> int:
    if data[header : header + 4] != MAGIC or header + 30 > len(data):
        raise _refuse("The archive's table of contents is damaged.", "zip-damaged")
    n, extra = struct.unpack_from("<HH", data, header + 26)
    if data[header + 30 : header + 30 + n] != name:
        raise _refuse("The archive calls one file by two names.", "zip-damaged")
    return int(header + 30 + n + extra)


def _check_apart(entries: list[Entry], cd_start: int) -> None:
    reached = 0
    for entry in sorted(entries, key=lambda e: e.header):
        if entry.header < reached:
            raise _refuse("Files in the archive overlap each other.", "zip-overlap")
        reached = entry.start + entry.packed
    if reached > cd_start:
        raise _refuse("Files in the archive overlap its table of contents.", "zip-overlap")


def _inflate(data: bytes, entry: Entry, cap: int, limits: Limits) -> bytes:
    """Unpack with a hard cap on what comes out, whatever the entry declares."""
    view = memoryview(data)[entry.start : entry.start + entry.packed]
    too_large = Refused(
        f"The score inside the archive is larger than {cap >> 20} MB unpacked. "
        "Upload the movements as files of their own.",
        code="zip-unpacked",
    )
    if entry.method == 0:
        if entry.packed > cap:
            raise too_large
        out = bytes(view)
    else:
        out = _inflate_deflated(view, cap, too_large)
    if len(out) > 1 << 20 and len(out) > limits.ratio * max(1, entry.packed):
        raise _refuse("The archive unpacks to suspiciously much.", "zip-ratio")
    if len(out) != entry.size or zlib.crc32(out) != entry.crc:
        raise _refuse("The archive is damaged: its checksum does not fit.", "zip-checksum")
    return out


def _inflate_deflated(view: memoryview, cap: int, too_large: Refused) -> bytes:
    unpacker = zlib.decompressobj(-15)
    pieces: list[bytes] = []
    total = 0
    pending: bytes | memoryview = b""
    at = 0
    try:
        while not unpacker.eof:
            if not pending:
                pending = view[at : at + _CHUNK]
                at += _CHUNK
                if not len(pending):
                    raise _refuse("The archive is cut off.", "zip-truncated")
            piece = unpacker.decompress(pending, _CHUNK * 16)
            pending = unpacker.unconsumed_tail
            total += len(piece)
            if total > cap:
                raise too_large
            pieces.append(piece)
    except zlib.error:
        raise _refuse("The archive is damaged inside.", "zip-damaged") from None
    if unpacker.unused_data or at < len(view):
        raise _refuse("The archive is damaged inside.", "zip-damaged")
    return b"".join(pieces)


def _root_name(data: bytes, by_name: dict[str, Entry], limits: Limits, notices: Notices) -> str:
    """The name of the score: what the container says, or the only score there is."""
    entry = by_name.get(_CONTAINER)
    if entry is None:
        scores = [
            n for n in by_name
            if n.lower().endswith((".xml", ".musicxml")) and not n.startswith("META-INF/")
        ]  # fmt: skip
        if len(scores) != 1:
            raise _refuse(
                "The archive does not say which of its files is the score.", "zip-container"
            )
        notices.add("zip-container", "The archive does not name its score; the only one was read.")
        return scores[0]
    name = _named_root(_inflate(data, entry, limits.container_bytes, limits), limits)
    if "://" in name or ".." in name.replace("\\", "/").split("/") or name[:1] in ("/", "\\"):
        raise _refuse("The archive's score is said to lie outside the archive.", "zip-traversal")
    name = name.replace("\\", "/")
    if name not in by_name or name.startswith("META-INF/"):
        raise _refuse("The archive names a score that is not in it.", "zip-dangling")
    return name


def _named_root(xml: bytes, limits: Limits) -> str:
    broken = _refuse("The archive's note on where its score lies cannot be read.", "zip-container")
    try:
        head = decode.open_xml(xml, limits, Notices())
        text = b"".join(head.chunks)
        root = etree.fromstring(text, etree.XMLParser(resolve_entities=False, no_network=True))
    except (etree.XMLSyntaxError, ValueError, Refused):
        raise broken from None
    for element in root.iter("{*}rootfile"):
        kind = element.get("media-type", "").lower()
        name = element.get("full-path", "")
        if name and (not kind or re.search(r"musicxml|text/xml|application/xml", kind)):
            return str(name)
    raise broken
