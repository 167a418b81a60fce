"""Recordings: which files are one, told by their content; what is typed of the taps, checked."""

from __future__ import annotations

import re
import struct
from typing import Any

from django.core.exceptions import ValidationError
from django.core.files.base import File
from django.utils.translation import gettext as _

from courses.models.recordings import Order

#: Endings the browser offers; what a file is, its content decides.
RECORDING_FILES = ".mp3,.m4a,.aac,.ogg,.oga,.opus,.flac,.wav"
NOT_A_RECORDING = (
    "This is no recording that browsers play. Take an MP3, M4A, AAC, Ogg, Opus, FLAC or WAV file, "
    "without pictures."
)
_HEAD = 4096  # bytes that are enough to know the kind
_MOST_INDEX = 16 * 2**20  # of an MP4 file's "moov"
LONGEST = 6 * 3600.0  # s
MOST_TAPS = 20_000


def media_type_of(file: File[bytes]) -> str:
    """The media type of a recording, by its first bytes; "" if it is none.

    Sources: RFC 9639 (FLAC), RFC 3533, 5334, 7845 (Ogg, Opus), ISO/IEC 11172-3 and 13818-7
    (MPEG audio, ADTS), ISO/IEC 14496-12 (MP4), the RIFF WAVE form.
    """
    file.seek(0)
    head = file.read(_HEAD)
    if head[:4] == b"RIFF" and head[8:12] == b"WAVE":
        return "audio/wav"
    if head[:4] == b"fLaC":
        return "audio/flac"
    if head[:4] == b"OggS":
        return _of_ogg(head)
    if head[4:8] == b"ftyp":
        return _of_mp4(file)
    if head[:3] == b"ID3" and len(head) >= 10:
        return _of_frames(_after_tag(file, head))
    return _of_frames(head)


def _of_ogg(head: bytes) -> str:
    """By the first packet: Opus, Vorbis or FLAC; pictures come in other packets first."""
    packet = head[27 + head[26] :] if len(head) > 27 else b""
    known = (b"OpusHead", b"\x01vorbis", b"\x7fFLAC")
    return "audio/ogg" if packet.startswith(known) else ""


def _of_mp4(file: File[bytes]) -> str:
    """MP4 with a sound track and no moving picture."""
    at, size = 0, file.size or 0
    while at + 8 <= size:
        file.seek(at)
        head = file.read(16)
        length, name = struct.unpack(">I", head[:4])[0], head[4:8]
        if length == 1 and len(head) == 16:
            length = struct.unpack(">Q", head[8:])[0]
        if name == b"moov":
            file.seek(at)
            index = file.read(min(length or size - at, _MOST_INDEX))
            kinds = set(re.findall(rb"hdlr.{8}(soun|vide)", index, re.DOTALL))
            return "audio/mp4" if kinds == {b"soun"} else ""
        if length < 8:
            return ""
        at += length
    return ""


def _after_tag(file: File[bytes], head: bytes) -> bytes:
    """What follows an ID3 tag; its length has seven bits a byte."""
    length = 0
    for byte in head[6:10]:
        length = length << 7 | byte & 0x7F
    file.seek(10 + length)
    rest = file.read(_HEAD)
    return rest.lstrip(b"\0")


def _of_frames(data: bytes) -> str:
    """MPEG audio layer III or ADTS: a sync word and header fields that can be."""
    if len(data) < 4 or data[0] != 0xFF:
        return ""
    if data[1] & 0xF6 == 0xF0:  # ADTS: layer 00
        return "audio/aac" if data[2] >> 2 & 0xF < 13 else ""
    layer_three = data[1] & 0xE6 == 0xE2 and data[1] >> 3 & 3 != 1
    possible = data[2] >> 4 not in (0, 15) and data[2] >> 2 & 3 != 3
    return "audio/mpeg" if layer_three and possible else ""


def read_taps(sent: Any) -> dict[str, Any]:
    """A draft as the page sends it: order, duration, taps in the order of time.

    Raises ValidationError with a sentence.
    """
    try:
        duration = float(sent["duration"])
        taps = [
            {"bar": _whole(t["bar"]), "pass": _whole(t["pass"]), "at": round(float(t["at"]), 3)}
            for t in sent["taps"]
        ]
        known = sent["order"] in Order.values and 0 < duration <= LONGEST
        inside = all(0 <= t["at"] <= duration + 0.5 for t in taps)
    except (KeyError, TypeError, ValueError, OverflowError):
        known = inside = False
        taps, duration = [], 0.0
    once = len({(t["bar"], t["pass"]) for t in taps}) == len(taps)
    if not known or not inside or not once or len(taps) > MOST_TAPS:
        raise ValidationError(
            _("The taps could not be read. Reload the page: it shows what was saved last.")
        )
    return {"order": sent["order"], "duration": duration,
            "taps": sorted(taps, key=lambda t: t["at"])}  # fmt: skip


def _whole(value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value < 10**6:
        raise ValueError(value)
    return value
