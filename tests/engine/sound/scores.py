"""Small scores as MusicXML text, for the sound tests only."""

from __future__ import annotations

from analysis.engine.model import ScoreTable
from analysis.engine.reader import read

Part = tuple[str, str, list[str]]  # label, transpose xml or "", bars as xml


def score(*parts: Part, beats: int = 4) -> ScoreTable:
    """Read a score of parts whose bars are given as MusicXML."""
    heads = "".join(
        f'<score-part id="P{i}"><part-name>{label}</part-name></score-part>'
        for i, (label, _, _) in enumerate(parts, 1)
    )
    bodies = "".join(
        f'<part id="P{i}">{_bars(bars, transpose, beats)}</part>'
        for i, (_, transpose, bars) in enumerate(parts, 1)
    )
    return read(
        f'<score-partwise version="4.0"><part-list>{heads}</part-list>{bodies}'
        "</score-partwise>".encode()
    )


def _bars(bars: list[str], transpose: str, beats: int) -> str:
    head = (
        f"<attributes><divisions>2</divisions><time><beats>{beats}</beats>"
        f"<beat-type>4</beat-type></time>{transpose}</attributes>"
    )
    return "".join(
        f'<measure number="{n}">{head if n == 1 else ""}{bar}</measure>'
        for n, bar in enumerate(bars, 1)
    )


def note(step: str, octave: int, length: int = 8, extra: str = "", notations: str = "") -> str:
    """A note of `length` quavers' eighths (divisions 2: 8 = a whole bar of 4/4)."""
    marks = f"<notations>{notations}</notations>" if notations else ""
    return (
        f"<note>{extra}<pitch><step>{step}</step><octave>{octave}</octave></pitch>"
        f"<duration>{length}</duration>{marks}</note>"
    )


def grace(step: str, octave: int) -> str:
    return (
        f"<note><grace/><pitch><step>{step}</step><octave>{octave}</octave></pitch>"
        "<type>16th</type></note>"
    )


def words(text: str) -> str:
    return f"<direction><direction-type><words>{text}</words></direction-type></direction>"


def dynamic(mark: str) -> str:
    return f"<direction><direction-type><dynamics><{mark}/></dynamics></direction-type></direction>"


OCTAVE_DOWN = (
    "<transpose><diatonic>0</diatonic><chromatic>0</chromatic>"
    "<octave-change>-1</octave-change></transpose>"
)
