"""Signs over a note as they are played: which pitches, from when to when.

The figures are those of C. P. E. Bach, Versuch über die wahre Art das Clavier zu spielen, part I
(Berlin 1753), chapter II: a trill begins with the note above (section 3), a turn is the note above,
the note, the note below, the note (section 4), a mordent the note, the one below, the note (section
5), its counterpart upwards the same with the note above (section 8). How fast a shake, a roll, an
unmeasured tremolo or a broken chord goes, and from when on strokes are too fast to be counted:
common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from analysis.engine.model import TICKS, NoteFlag, strokes

SHAKE = 0.07  # s, each note of a trill, turn or mordent
UNMEASURED = 0.065  # s, each stroke of a tremolo or roll nobody counts
COUNTED = 0.1  # s; demisemiquavers and smaller that are faster are not counted
BROKEN = 0.035  # s between the notes of a broken chord

_TRILL = int(NoteFlag.TRILL)
_TREMOLO = int(NoteFlag.TREMOLO)
_FIGURES = (
    (int(NoteFlag.TURN), (1, 0, -1, 0)),
    (int(NoteFlag.INVERTED_TURN), (-1, 0, 1, 0)),
    (int(NoteFlag.MORDENT), (0, -1, 0)),
    (int(NoteFlag.INVERTED_MORDENT), (0, 1, 0)),
)
#: Any flag that makes a note more than one sound, or another length.
ANY = _TRILL | _TREMOLO | sum(flag for flag, _ in _FIGURES)

Sound = tuple[int, int, int]  # on, off, semitones from the printed note


@dataclass(frozen=True, slots=True)
class Written:
    """A note as it stands: ticks, and what of its surroundings an ornament needs."""

    on: int
    off: int  # where the plain note would end
    length: int  # as printed
    flags: int  # NoteFlag
    above: int  # semitones to the next note of the key
    below: int
    second: float  # ticks
    rolls: bool = False  # a drum: its trill is a roll


def played(note: Written) -> list[Sound]:
    """What sounds of a note; one sound where no sign asks for more."""
    if note.flags & _TRILL:
        return _struck(note, UNMEASURED) if note.rolls else _trill(note)
    if note.flags & _TREMOLO:
        return _struck(note, _stroke(note) / note.second)
    for flag, steps in _FIGURES:
        if note.flags & flag:
            return _figure(note, steps)
    return [(note.on, note.off, 0)]


def counted(length: int, flags: int, second: float) -> bool:
    """Whether the strokes of a tremolo are so slow that one hears how many they are."""
    wanted = unit(length, flags)
    return bool(strokes(flags)) and (wanted >= TICKS // 4 or wanted >= COUNTED * second)


def unit(length: int, flags: int) -> int:
    """Ticks of a stroke as written: each stroke, and each flag of the note itself, halves.

    >>> unit(4 * TICKS, int(NoteFlag.TREMOLO) | 2 << 16) * 4 == TICKS
    True
    """
    own = max(math.ceil(math.log2(TICKS / length)), 0) if length else 0
    return max(TICKS >> (strokes(flags) + own), 1)


def alternating(start: int, length: int, flags: int, second: float, *, later: bool) -> list[Sound]:
    """One of the two notes of a tremolo between notes: it sounds every other stroke.

    Parameters
    ----------
    start, length : int
        Ticks of both together.
    later : bool
        Whether it is the second of the two.
    """
    fast = counted(length, flags, second)
    wanted = unit(length, flags) if fast else UNMEASURED * second
    pairs = max(round(length / wanted / 2), 1)
    step = length / (2 * pairs)
    first = int(later)
    return [
        (round(start + (first + 2 * n) * step), round(start + (first + 2 * n + 1) * step), 0)
        for n in range(pairs)
    ]


def _stroke(note: Written) -> float:
    if counted(note.length, note.flags, note.second):
        return unit(note.length, note.flags)
    return UNMEASURED * note.second


def _struck(note: Written, seconds: float) -> list[Sound]:
    """The same note again and again."""
    times = max(round(note.length / (seconds * note.second)), 1)
    step = note.length / times
    ons = [round(note.on + n * step) for n in range(times)]
    return [
        (on, max(after, on + 1), 0)
        for on, after in zip(ons, [*ons[1:], max(note.off, ons[-1] + 1)], strict=True)
    ]


def _trill(note: Written) -> list[Sound]:
    """Above, note, above, note ...; it ends on the note."""
    times = max(round(note.length / (SHAKE * note.second) / 2), 1) * 2
    step = note.length / times
    ons = [round(note.on + n * step) for n in range(times)]
    offs = [*ons[1:], max(note.off, ons[-1] + 1)]
    return [
        (on, off, 0 if n % 2 else note.above)
        for n, (on, off) in enumerate(zip(ons, offs, strict=True))
    ]


def _figure(note: Written, steps: tuple[int, ...]) -> list[Sound]:
    """A few quick notes, the last of which stays."""
    each = min(SHAKE * note.second, note.length / (len(steps) + 1))
    ons = [round(note.on + n * each) for n in range(len(steps))]
    offs = [*ons[1:], max(note.off, ons[-1] + 1)]
    by = {1: note.above, 0: 0, -1: note.below}
    return [
        (on, max(off, on + 1), by[step]) for on, off, step in zip(ons, offs, steps, strict=True)
    ]
