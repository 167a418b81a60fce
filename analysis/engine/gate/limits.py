"""How large a file may be before the gate says no.

The largest of 192 open orchestral movements measured had 26.5 MB unpacked,
1.2 MB packed, a packing ratio of 31.5 and two entries in its archive; the
limits leave room above that.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Limits:
    """Sizes in bytes, the rest counts."""

    plain_bytes: int = 64 << 20  # a bare MusicXML file
    packed_bytes: int = 10 << 20  # an MXL file as uploaded
    unpacked_bytes: int = 64 << 20  # the score inside it
    ratio: int = 100  # unpacked / packed, looked at above one megabyte
    entries: int = 32
    container_bytes: int = 64 << 10  # META-INF/container.xml, unpacked
    name_characters: int = 255  # file name
    prolog_characters: int = 64 << 10  # everything before the root element
    depth: int = 64
    elements: int = 6_000_000
    open_elements: int = 400_000  # in one bar, or in the head of the file
    attributes: int = 64  # of one element
    text: int = 100_000  # characters of one text
    parts: int = 128
    bars: int = 5_000
    notes: int = 500_000
    chord: int = 64
    repeat_times: int = 99


DEFAULT = Limits()
