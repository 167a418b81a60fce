"""One staff as groups of notes struck together in one voice, with who else is present."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from analysis.engine.model import NoteFlag
from analysis.engine.reader.raw import REST

_COLUMNS = ("flags", "voice", "kind", "dur", "stem", "order", "bar")


@dataclass(slots=True)
class Group:
    """Notes of one voice at one onset (graces: of one order), highest first.

    `others` are the voices that have a note or a printed rest at that onset,
    `others_sound` those of them that have a note there.
    """

    onset: int
    order: int
    bar: int
    voice: int
    rows: list[int]  # indices into the raw rows, by sounding pitch from above
    stem: int
    others: tuple[int, ...] = ()
    others_sound: tuple[int, ...] = ()
    rank: int = 0  # among the voices present, 0 = upper


@dataclass(slots=True)
class _Voice:
    starts: list[int] = field(default_factory=list)
    ends: list[int] = field(default_factory=list)
    notes: list[bool] = field(default_factory=list)
    stems: list[int] = field(default_factory=list)

    def at(self, onset: int) -> int | None:
        """Index of what the voice holds at `onset`; None where it is absent."""
        i = bisect_right(self.starts, onset) - 1
        while i >= 0 and self.ends[i] <= onset and self.starts[i] == onset:
            i -= 1
        if i >= 0 and self.starts[i] <= onset < self.ends[i]:
            return i
        return None


def groups_of(
    raw: NDArray[np.void],
    rows: Sequence[int],
    onset: NDArray[np.int64],
    pitch: NDArray[np.int64],
) -> list[Group]:
    """The groups of one staff in time order.

    Parameters
    ----------
    raw : array of RAW
    rows : sequence of int
        Rows of this staff, rests too, in document order. Cues and hidden
        rests are nobody's playing and are passed over.
    onset, pitch : array of int
        By raw row: ticks from the start of the file, sounding MIDI.
    """
    voices: dict[int, _Voice] = {}
    groups: dict[tuple[int, int, int], Group] = {}
    cue, grace = int(NoteFlag.CUE), int(NoteFlag.GRACE)
    index = np.asarray(rows, dtype=np.int64)
    columns = [raw[name][index].tolist() for name in _COLUMNS]
    onsets = onset[index].tolist()
    for row, start, flags, voice, kind, duration, stem, order, bar in zip(
        index.tolist(), onsets, *columns, strict=True
    ):
        if flags & cue:
            continue
        is_note = kind != REST
        if not flags & grace:
            held = voices.get(voice)
            if held is None:
                held = voices[voice] = _Voice()
            held.starts.append(start)
            held.ends.append(start + duration)
            held.notes.append(is_note)
            held.stems.append(stem)
        if not is_note:
            continue
        key = (start, order, voice)
        group = groups.get(key)
        if group is None:
            groups[key] = Group(start, order, bar, voice, [row], stem)
        else:
            group.rows.append(row)
            group.stem = group.stem or stem
    for held in voices.values():
        _sort(held)
    out = [groups[key] for key in sorted(groups)]
    for group in out:
        if len(group.rows) > 1:
            group.rows.sort(key=lambda r: -int(pitch[r]))
        if len(voices) > 1:
            _look_round(group, voices)
    return out


def _sort(voice: _Voice) -> None:
    order = sorted(range(len(voice.starts)), key=lambda i: (voice.starts[i], voice.ends[i]))
    voice.starts = [voice.starts[i] for i in order]
    voice.ends = [voice.ends[i] for i in order]
    voice.notes = [voice.notes[i] for i in order]
    voice.stems = [voice.stems[i] for i in order]


def _look_round(group: Group, voices: dict[int, _Voice]) -> None:
    present: list[tuple[int, int]] = []  # voice, stem
    sounding = []
    for number, voice in voices.items():
        if number == group.voice:
            continue
        i = voice.at(group.onset)
        if i is None:
            continue
        present.append((number, voice.stems[i]))
        if voice.notes[i]:
            sounding.append(number)
    group.others = tuple(sorted(n for n, _ in present))
    group.others_sound = tuple(sorted(sounding))
    stems = [*(s for _, s in present), group.stem]
    by_stem = len(present) == 1 and 0 not in stems and stems[0] != stems[1]
    if by_stem:
        # Stem up is the upper player, whatever number the voice has.
        group.rank = 0 if group.stem > 0 else 1
    else:
        group.rank = sum(1 for n, _ in present if n < group.voice)
