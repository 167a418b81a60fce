"""The gate: nothing of an upload goes further than here but its canonical copy.

>>> from analysis.engine.gate import admit
>>> admit(b"%PDF", "song.pdf")  # doctest: +ELLIPSIS
Traceback (most recent call last):
    ...
analysis.engine.errors.Refused: This site reads MusicXML (.musicxml, .xml), MXL (.mxl), ...
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass

from analysis.engine.errors import Refused
from analysis.engine.gate import container, decode, guard
from analysis.engine.gate.canonical import Writer
from analysis.engine.gate.limits import DEFAULT, Limits
from analysis.engine.gate.names import check_name, fits
from analysis.engine.gate.notices import Notices
from analysis.engine.model import Notice

__all__ = ["DEFAULT", "Admitted", "Limits", "admit"]


@dataclass(frozen=True, slots=True)
class Admitted:
    """A score that was let in.

    Attributes
    ----------
    canonical : bytes
        The one copy that everything else reads (see `gate.canonical`).
    sha256 : str
        Of `canonical`.
    title : str
        From the file, or made from its name; never empty.
    notices : tuple of Notice
        Warnings for the tutor; bars are bar indices.
    parts, bars, notes : int
        Counted in the canonical copy; `notes` counts rests too.
    sounding : int
        Notes that are neither rests nor cues.
    """

    canonical: bytes
    sha256: str
    title: str
    notices: tuple[Notice, ...]
    parts: int
    bars: int
    notes: int
    sounding: int


def admit(
    data: bytes, filename: str, *, limits: Limits = DEFAULT, said: Sequence[Notice] = ()
) -> Admitted:
    """Check an uploaded score and write its canonical copy.

    Parameters
    ----------
    data : bytes
        The file as uploaded: MusicXML, MXL, MEI, kern or MIDI, told apart by
        content.
    filename : str
        The client's name for it; only its ending and length matter.
    limits : Limits, optional
        How large it may be.
    said : sequence of Notice, optional
        What was already found out about it; these notices come first.

    Returns
    -------
    Admitted

    Raises
    ------
    Refused
        With one sentence that says what is wrong, where, and what to do.

    Notes
    -----
    Pure and single-threaded; memory is that of the input, the copy and one
    bar; files of other formats are held whole while they are converted. Use
    `sandbox.admit_in_child` for files of strangers.
    """
    stem = check_name(filename, limits)
    notices = Notices(said)
    score = _score_bytes(converted(data, filename, limits, notices), limits, notices)
    opened = decode.open_xml(score, limits, notices)
    decode.check_root(opened.root)
    written = Writer(limits, notices).write(guard.events(opened, limits, notices))
    return Admitted(
        canonical=written.canonical,
        sha256=hashlib.sha256(written.canonical).hexdigest(),
        title=written.title or stem,
        notices=notices.as_tuple(),
        parts=written.parts,
        bars=written.bars,
        notes=written.notes,
        sounding=written.sounding,
    )


def converted(data: bytes, filename: str, limits: Limits, notices: Notices) -> bytes:
    """MusicXML or MXL as it came; a file of another format as MusicXML.

    Raises
    ------
    Refused
        If it is too large, or the reader of its format refuses it.
    """
    from analysis.engine import formats

    kind = formats.recognise(data)
    if not fits(filename, kind):
        notices.add("name", f"The file's name promises another format; it holds "
                    f"{formats.NAMES[kind]} and was read as that.")  # fmt: skip
    if kind not in formats.CONVERTED:
        return data
    _check_size(data, limits)
    return formats.convert(data, kind, limits, notices)


def _score_bytes(data: bytes, limits: Limits, notices: Notices) -> bytes:
    if data.startswith(b"PK"):
        return container.unpack(data, limits, notices)
    _check_size(data, limits)
    return data


def _check_size(data: bytes, limits: Limits) -> None:
    if len(data) > limits.plain_bytes:
        raise Refused(
            f"The file has {len(data) >> 20} MB; at most {limits.plain_bytes >> 20} MB are taken. "
            "Upload the movements as files of their own.",
            code="large",
        )
