"""Small files of other formats by hand."""

from __future__ import annotations

import struct

NOTE = '<note pname="c" oct="4" dur="4"/>'


def mei(
    layer: str = NOTE * 4,
    *,
    staff: str = "",
    after: str = "",
    key: str = "0",
    version: str = "5.0",
    measures: str | None = None,
    groups: str | None = None,
) -> bytes:
    """One staff called Flute, one bar of 4/4, unless told otherwise."""
    groups = groups or (
        f'<staffGrp><staffDef n="1" lines="5" clef.shape="G" clef.line="2" {staff}>'
        "<label>Flute</label></staffDef></staffGrp>"
    )
    music = measures or bar(layer, after=after)
    return (
        f'<mei xmlns="http://www.music-encoding.org/ns/mei" meiversion="{version}"><meiHead>'
        "<fileDesc><titleStmt><title>Piece</title></titleStmt></fileDesc></meiHead><music><body>"
        f'<mdiv><score><scoreDef meter.count="4" meter.unit="4" keysig="{key}">{groups}'
        f"</scoreDef><section>{music}</section></score></mdiv></body></music></mei>"
    ).encode()


def bar(*layers: str, n: int | str = 1, after: str = "", attributes: str = "") -> str:
    """A bar: one staff a layer."""
    staves = "".join(
        f'<staff n="{i}"><layer n="1">{layer}</layer></staff>' for i, layer in enumerate(layers, 1)
    )
    return f'<measure n="{n}" {attributes}>{staves}{after}</measure>'


def kern(*lines: str, head: tuple[str, ...] = ()) -> bytes:
    """One column, 4/4; `lines` is the music of the first bar."""
    music = lines or ("4c", "4d", "4e", "4f")
    rows = ["**kern", "*Iflt", *head, "*clefG2", "*k[]", "*M4/4", "=1", *music, "==", "*-"]
    return ("\n".join(rows) + "\n").encode()


def number(value: int) -> bytes:
    """A variable-length number of MIDI."""
    out = [value & 0x7F]
    while value := value >> 7:
        out.insert(0, value & 0x7F | 0x80)
    return bytes(out)


def midi(
    notes: list[tuple[int, int, int]],
    *,
    division: int = 480,
    metas: bytes = b"",
    channel: int = 0,
    kind: int = 1,
) -> bytes:
    """One track; notes are (on, off, key) in ticks; `metas` stand at the start."""
    events = [(on, 1, key) for on, _, key in notes] + [(off, 0, key) for _, off, key in notes]
    body, at = metas, 0
    for tick, on, key in sorted(events):
        body += number(tick - at) + bytes((0x90 | channel, key, 80 * on))
        at = tick
    body += b"\0\xff\x2f\0"
    head = b"MThd" + struct.pack(">IHHH", 6, kind, 1, division)
    return head + b"MTrk" + struct.pack(">I", len(body)) + body
