"""A passage as a short score on two to four staves, out of its layers.

The leading melody above, second tunes, inner parts, the bass; at sounding pitch. It is an
editor's work: made from the computed reading and never by the composer. What goes along in
octaves is left out and told. Every note knows the notes of the score it was made from.
"""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import dataclass

from analysis.engine.claims.speech import say
from analysis.engine.describe.page import Passage, passage
from analysis.engine.errors import EngineError
from analysis.engine.model import Finding, ScoreTable, Sentence
from analysis.engine.reduce.pick import BASS, INNER, MELODY, STAVES, Picks, pick
from analysis.engine.reduce.said import NAMES, Shown, sentences
from analysis.engine.reduce.voices import Chord, Strand, arrange, strands
from analysis.engine.reduce.write import Staff, written

__all__ = ["MOST_BARS", "REDUCTION_VERSION", "Reduction", "bars_of", "reduced"]

#: Raised whenever the same bars would be reduced differently: kept pages are then made anew.
REDUCTION_VERSION = 2
MOST_BARS = 64
TOO_MANY = "A short score holds {most} bars at most; choose fewer."


@dataclass(frozen=True)
class Reduction:
    """Bars ``first..last`` as a short score.

    Attributes
    ----------
    xml : bytes
        MusicXML, one part a staff; empty where nothing pitched sounds.
    staves : tuple of str
        Of "melody", "tune", "inner", "bass", from above.
    sources : dict of str to tuple of str
        Id of each note of `xml` to ids of the score's notes behind it.
    leads : tuple of int
        Line that leads each bar, -1 where nothing sounds.
    sentences : tuple of Sentence
        Who plays what, and what is left out.
    """

    first: int
    last: int
    xml: bytes
    staves: tuple[str, ...]
    sources: dict[str, tuple[str, ...]]
    leads: tuple[int, ...]
    sentences: tuple[Sentence, ...]


def bars_of(table: ScoreTable, first: int, last: int) -> Passage:
    """Bars that may be reduced; EngineError with a sentence about others."""
    p = passage(table, first, last)
    if len(p.bars) > MOST_BARS:
        raise EngineError(TOO_MANY.format(most=MOST_BARS))
    return p


def reduced(
    table: ScoreTable, first: int, last: int, findings: Sequence[Finding] = ()
) -> Reduction:
    """The short score of bars ``first..last`` (indices, inclusive).

    Parameters
    ----------
    table : ScoreTable
    findings : sequence of Finding
        Effective ones; their jobs sort the lines onto the staves.

    Raises
    ------
    EngineError
        If the bars are not in one movement of the score, or too many.
    """
    p = bars_of(table, first, last)
    picks = pick(p, findings)
    leads = tuple(picks.lead[bar] for bar in p.bars)
    if not picks.notes:
        return Reduction(first, last, b"", (), {}, leads, (say("reduce.nothing"),))
    told = Shown()
    used = {place[1] for place in picks.notes} | {MELODY, BASS}
    bass: set[tuple[int, int]] = set()
    for place, notes in picks.notes.items():
        if place[1] == BASS:
            bass.update((n.start, n.pitch % 12) for n in notes)
    nothing: set[tuple[int, int]] = set()
    staves = [
        Staff(key, NAMES[key], _staff(p, picks, key, told, bass if key == INNER else nothing))
        for key in STAVES
        if key in used
    ]
    made = written(p, staves)
    keys = tuple(s.key for s in staves)
    said = tuple(sentences(p, picks, told))
    return Reduction(first, last, made.xml, keys, made.sources, leads, said)


def _staff(
    p: Passage, picks: Picks, key: str, told: Shown, there: Set[tuple[int, int]]
) -> list[Chord]:
    """The chords of a staff; `told` learns whose notes stand on it."""
    bars: list[list[Strand]] = []
    for bar in p.bars:
        lines = {line: notes for (b, staff, line), notes in picks.notes.items()
                 if b == bar and staff == key}  # fmt: skip
        bars.append(strands(lines, there))
        heard = {k for strand in bars[-1] for chord in strand for k in chord.lines}
        for line in lines.keys() - heard:
            told.missing[line].add(bar)
    for bar, made in zip(p.bars, bars, strict=True):
        for chord in (chord for strand in made for chord in strand):
            told.alike |= chord.lines
            for note in chord.notes:
                told.on[key][note.line].add(bar)
    return arrange(bars)
