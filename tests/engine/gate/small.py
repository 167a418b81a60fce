"""Small MusicXML files by hand, for tests of the gate."""

from __future__ import annotations

import io
import zipfile

ATTRIBUTES = (
    "<attributes><divisions>4</divisions><key><fifths>0</fifths></key>"
    "<time><beats>4</beats><beat-type>4</beat-type></time>"
    "<clef><sign>G</sign><line>2</line></clef></attributes>"
)
CONTAINER = (
    '<?xml version="1.0"?><container><rootfiles><rootfile full-path="{}"/></rootfiles></container>'
)


def note(step: str = "C", octave: int | str = 4, duration: object = 4, inside: str = "") -> str:
    return (
        f"<note>{inside}<pitch><step>{step}</step><octave>{octave}</octave></pitch>"
        f"<duration>{duration}</duration></note>"
    )


def bar(content: str = note() * 4, number: object = 1, first: bool | None = None) -> str:
    head = ATTRIBUTES if (number == 1 if first is None else first) else ""
    return f'<measure number="{number}">{head}{content}</measure>'


def score(*parts: str, names: tuple[str, ...] = (), head: str = "", version: str = "4.0") -> bytes:
    parts = parts or (bar(),)
    names = names or tuple(f"Part {i}" for i, _ in enumerate(parts, 1))
    listed = "".join(
        f'<score-part id="P{i}"><part-name>{n}</part-name></score-part>'
        for i, n in enumerate(names, 1)
    )
    music = "".join(f'<part id="P{i}">{p}</part>' for i, p in enumerate(parts, 1))
    return (
        f'<score-partwise version="{version}">{head}<part-list>{listed}</part-list>'
        f"{music}</score-partwise>"
    ).encode()


def mxl(xml: bytes, name: str = "score.xml", extra: dict[str, bytes] | None = None) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("META-INF/container.xml", CONTAINER.format(name))
        archive.writestr(name, xml)
        for other, data in (extra or {}).items():
            archive.writestr(other, data)
    return buffer.getvalue()
