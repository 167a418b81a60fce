"""File names: what is offered as a score, and what may be shown of a name."""

from __future__ import annotations

import re

from analysis.engine.errors import Refused
from analysis.engine.gate.limits import Limits

#: Endings that are taken, and what a file with such a name should hold.
OFFERED = {
    "musicxml": ("musicxml",),
    "xml": ("musicxml", "mei"),
    "mxl": ("musicxml",),
    "mei": ("mei",),
    "krn": ("kern",),
    "kern": ("kern",),
    "hum": ("kern",),
    "mid": ("midi",),
    "midi": ("midi",),
}
SHOWN = 150  # characters of a name that are kept

#: Control characters and the marks that turn the direction of writing.
INVISIBLE = re.compile("[\x00-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069\ufeff]")

_FORMATS = {
    "abc": "ABC",
    "ly": "LilyPond",
    "pdf": "PDF",
    "zip": "a plain zip archive",
}


def other_format(what: str) -> Refused:
    """The one sentence for every format that is not read."""
    return Refused(
        "This site reads MusicXML (.musicxml, .xml), MXL (.mxl), MEI (.mei), Humdrum kern (.krn) "
        f"and MIDI (.mid), and this is {what}; export the score as MusicXML from the program it "
        "was made with and upload that file.",
        code="format",
    )


def check_name(filename: str, limits: Limits) -> str:
    """Look at the name a file was sent under; only its ending counts.

    Returns
    -------
    str
        The name's stem, fit for showing as a makeshift title.

    Raises
    ------
    Refused
        If the name is too long or its ending is not offered.
    """
    if len(filename) > limits.name_characters:
        raise Refused(
            f"The file's name has {len(filename)} characters; give it a name of at most "
            f"{limits.name_characters} and upload it again.",
            code="name-long",
        )
    stem, ending = _split(filename)
    if ending not in OFFERED:
        what = _FORMATS.get(ending, "a file of another kind")
        raise other_format(what)
    return tidy(stem) or "Untitled score"


def fits(filename: str, kind: str) -> bool:
    """Whether a name's ending goes with what the file holds."""
    kind = "musicxml" if kind == "mxl" else kind
    return kind in OFFERED.get(_split(filename)[1], ())


def _split(filename: str) -> tuple[str, str]:
    base = INVISIBLE.sub("", filename.replace("\\", "/")).rsplit("/", 1)[-1]
    stem, dot, ending = base.rpartition(".")
    return stem, ending.lower() if dot else ""


def tidy(text: str) -> str:
    """One line of at most `SHOWN` characters without control or direction marks."""
    return " ".join(INVISIBLE.sub(" ", text).split())[:SHOWN].strip()
