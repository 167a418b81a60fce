"""The rows of the note table: printed notes, ties joined, one row a line."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from analysis.engine.model import NOTE, Mark, NoteFlag
from analysis.engine.reader import force, pitch, ties
from analysis.engine.reader.lines import Assigned
from analysis.engine.reader.raw import PITCHED, REST, Scan

Spelled = tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]


def build(
    scan: Scan,
    raw: NDArray[np.void],
    onset: NDArray[np.int64],
    spelled: Spelled,
    given: Assigned,
    marks: Sequence[Mark],
    gap: NDArray[np.int64],
) -> tuple[NDArray[np.void], ties.Joined]:
    """Rows sorted by (onset, part, staff, voice, order), and the ties behind them.

    Parameters
    ----------
    raw, onset : arrays of shape (n,)
        Printed notes and where they begin.
    spelled : (step, alter, octave)
        Sounding pitches of the printed notes.
    given : Assigned
        Which lines play each printed note.
    marks : sequence of Mark
        For what is in force: dynamics, techniques.
    gap : array of int, shape (n,)
        Ticks between a part's last note in a bar and the bar's end, 0 for other notes.

    Returns
    -------
    notes : array of NOTE, shape (m,)
    joined : ties.Joined
        For `continuations`, once all rows are there.
    """
    end = onset + raw["dur"]
    joined = ties.join(raw, onset, pitch.midi(*spelled), end + gap)
    np.maximum.at(end, joined.head, onset + raw["dur"])
    for head, row in joined.also:
        end[head] = max(end[head], end[row])
    is_head = joined.head == np.arange(len(raw))
    use = is_head[given.row] & (raw["kind"][given.row] != REST)
    src = given.row[use]
    mine = raw[src]
    notes = np.zeros(len(src), dtype=NOTE)
    for name in ("part", "staff", "voice", "bar", "cents", "order"):
        notes[name] = mine[name]
    notes["line"] = given.line[use]
    notes["players"] = given.players[use]
    notes["onset"] = onset[src]
    notes["duration"] = end[src] - onset[src]
    _pitches(notes, mine, tuple(column[src] for column in spelled), given.octave[use])
    own = mine["flags"].astype(np.int64) & ~int(NoteFlag.CHORD)
    notes["flags"] = own | given.flags[use]
    # a slur that ends on a note tied over ends with the note that was struck
    slurs = [(part, first, int(joined.head[last])) for part, first, last in scan.slurs]
    slur = force.slurred(slurs, raw["part"], raw["voice"], onset)
    notes["articulation"] = mine["articulation"] | np.where(slur[src], force.SLURRED, 0)
    count = len(scan.heads)
    notes["dynamic"] = force.dynamics(marks, mine["part"], onset[src], count)
    notes["technique"] = mine["technique"] | force.techniques(
        marks, mine["part"], onset[src], count
    )
    notes["src"] = src
    by = np.lexsort(
        (
            notes["line"],
            notes["order"],
            notes["voice"],
            notes["staff"],
            notes["part"],
            notes["onset"],
        )
    )
    return notes[by], joined


def _pitches(
    notes: NDArray[np.void],
    mine: NDArray[np.void],
    spelled: tuple[NDArray[np.int64], ...],
    octave: NDArray[np.int64],
) -> None:
    step, alter, height = spelled
    height = height + octave
    notes["pitch"] = np.where(mine["kind"] == PITCHED, pitch.midi(step, alter, height), -1)
    notes["step"], notes["alter"], notes["octave"] = step, alter, height
    notes["wstep"], notes["walter"], notes["woctave"] = mine["step"], mine["alter"], mine["octave"]


def continuations(src: NDArray[np.int32], joined: ties.Joined) -> NDArray[np.int32]:
    """Pairs (row, `src` of a printed note tied on to it), shape (k, 2)."""
    rows_of: dict[int, list[int]] = {}
    tied = np.flatnonzero(joined.head != np.arange(len(joined.head)))
    tied_on = [(int(joined.head[i]), int(i)) for i in tied] + joined.also
    wanted = {head for head, _ in tied_on}
    for row, source in enumerate(src.tolist()):
        if source in wanted:
            rows_of.setdefault(source, []).append(row)
    pairs = [(row, i) for head, i in tied_on for row in rows_of.get(head, ())]
    return np.array(sorted(pairs), dtype=np.int32).reshape(-1, 2)
