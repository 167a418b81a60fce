"""Other formats than MusicXML: read, and written as MusicXML for the gate.

The canonical copy stays the one input of everything: an MEI, kern or MIDI file
becomes a `Piece`, the piece becomes MusicXML, and that passes the gate like any
upload. What gets lost on the way is told in notices.
"""

from __future__ import annotations

from analysis.engine.formats.piece import Piece
from analysis.engine.formats.recognise import NAMES, recognise
from analysis.engine.formats.write import musicxml
from analysis.engine.gate.limits import Limits
from analysis.engine.gate.notices import Notices

__all__ = ["CONVERTED", "NAMES", "convert", "recognise"]

#: What is read through here; the gate reads the rest itself.
CONVERTED = ("mei", "kern", "midi")


def convert(data: bytes, kind: str, limits: Limits, notices: Notices) -> bytes:
    """A file of another format as MusicXML.

    Parameters
    ----------
    data : bytes
        The upload.
    kind : {"mei", "kern", "midi"}
        As `recognise` told.
    limits : Limits
        As at the gate.
    notices : Notices
        Gets what was lost or assumed.

    Raises
    ------
    Refused
        With one sentence that says what is wrong, where, and what to do.
    """
    return musicxml(_piece(data, kind, limits, notices), notices)


def _piece(data: bytes, kind: str, limits: Limits, notices: Notices) -> Piece:
    if kind == "mei":
        from analysis.engine.formats import mei

        return mei.read(data, limits, notices)
    if kind == "kern":
        from analysis.engine.formats import kern

        return kern.read(data, limits, notices)
    from analysis.engine.formats import midi

    return midi.read(data, limits, notices)
