"""MEI in common notation, versions 3 to 6, read by ourselves.

What is read: staff definitions and their groups, keys, metres, clefs,
transpositions; notes, chords, rests and rests of several bars, spaces, graces,
cues, tuplets, tremolos, beams, articulations, words under the notes; ties,
slurs, dynamics, hairpins, directions, tempi, octave lines, fermatas,
ornaments; repeats and endings; editorial alternatives (one reading).
Bar and beat repeat signs are written out. Neumes, mensural notation,
tablature and files of single parts are refused. The exact places of signs on
the page, figured bass, fingerings and facsimiles are left out.
"""

from __future__ import annotations

from analysis.engine.errors import Refused
from analysis.engine.formats.mei import tree
from analysis.engine.formats.mei.control import Controls
from analysis.engine.formats.mei.music import Walker, titles
from analysis.engine.formats.piece import Piece
from analysis.engine.gate.limits import Limits
from analysis.engine.gate.notices import Notices

__all__ = ["read"]

_VERSIONS = ("3.", "4.", "5.", "6.")


def read(data: bytes, limits: Limits, notices: Notices) -> Piece:
    """An MEI file as a piece.

    Raises
    ------
    Refused
        With one sentence, naming the bar where there is one.
    """
    root = tree.load(data, limits, notices)
    if not root.get("meiversion", "").startswith(_VERSIONS):
        notices.add("version", "The file is written in an old or unknown version of MEI; compare "
                    "it with the printed page.")  # fmt: skip
    music = root if root.tag == "music" else root.find("music")
    if music is None:
        raise Refused(
            "The file holds a description of a score, but no bar of music. Export the score "
            "again, best as MusicXML, and upload the new file.", code="no-music")  # fmt: skip
    walker = Walker(root, limits, notices)
    piece = walker.read(music)
    piece.title, piece.composer = titles(root)
    Controls(piece, walker.known, notices, walker.pitches.sounding).apply()
    if not walker.pitches.explicit and walker.pitches.implied:
        notices.add("accidentals", "The file does not say which notes the key signature and "
                    "earlier signs alter; the usual rules were applied.")  # fmt: skip
    return piece
