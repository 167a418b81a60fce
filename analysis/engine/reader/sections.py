"""Strings and voices: a section on one staff, divided or not (trade-facts 7.2).

Under "div." the notes of a chord are two or three lines, each note once; else
they are double-stops of one line. The upper half goes on the section's own
line, each lower half has a line of its own.
"""

from __future__ import annotations

from collections.abc import Sequence

from analysis.engine.model import UNKNOWN_PLAYERS, NoteFlag
from analysis.engine.reader.player_words import PlayerWord
from analysis.engine.reader.shares import Shares, bit, with_words
from analysis.engine.reader.staff_groups import Group

_DIVISI, _CHORD, _A2 = int(NoteFlag.DIVISI), int(NoteFlag.CHORD), int(NoteFlag.A2)
MOST_HALVES = 8


class Section:
    """One staff of a section.

    Parameters
    ----------
    first_line : int
        The section's own line within the part; halves below take the next ones.
    always_divides : bool
        Voices: a singer has no double-stops, so chords divide without a word.
    out : Shares
        Takes the rows.
    """

    def __init__(self, first_line: int, *, always_divides: bool, out: Shares) -> None:
        self.first_line = first_line
        self.always_divides = always_divides
        self.out = out
        self.halves = 1  # lines needed
        self.div = 0  # number of halves in force by a word
        self.together = False  # "non div."
        self.solo = False

    def read(self, groups: Sequence[Group], words: Sequence[tuple[int, PlayerWord]]) -> None:
        """Give every note of the staff to its lines."""
        apart = self._divided_bars(groups, words)
        for group, new in with_words(groups, words):
            for _, word in new:
                self._take(word)
            self._give(group, apart.get(group.bar, 1))

    def _take(self, word: PlayerWord) -> None:
        if word.sign == "div":
            self.div, self.together, self.solo = max(word.numbers[0], 2), False, False
        elif word.sign in ("unis", "together"):
            self.div, self.together = 0, False
        elif word.sign == "non-div":
            self.div, self.together = 0, True
        elif word.sign == "tutti":
            self.div, self.together, self.solo = 0, False, False
        elif word.sign == "solo" or word.solo:
            self.solo, self.div = True, 0

    def _divided_bars(
        self, groups: Sequence[Group], words: Sequence[tuple[int, PlayerWord]]
    ) -> dict[int, int]:
        """Bars where a "div." in force really divides, and into how many lines."""
        out: dict[int, int] = {}
        for group, new in with_words(groups, words):
            for _, word in new:
                self._take(word)
            if self.div:
                ways = max(len(group.rows), 1 + len(group.others_sound))
                out[group.bar] = min(max(out.get(group.bar, 1), ways), MOST_HALVES)
        self.div, self.together, self.solo = 0, False, False
        return out

    def _give(self, group: Group, ways: int) -> None:
        notes = group.rows
        if group.others and not self.together:
            self._of_voice(group)
        elif len(notes) > 1 and (self.div or self.always_divides) and not self.together:
            for half, note in enumerate(notes):
                self._add(note, half, bit(half + 1), _DIVISI)
        elif self.div and ways > 1 and not self.together:
            # A unison in a divided bar: every half plays it.
            for half in range(ways):
                self._add(notes[0], half, bit(half + 1), _DIVISI | _A2)
        else:
            chord = len(notes) > 1 or (self.together and bool(group.others_sound))
            for note in notes:
                self._add(note, 0, 1 if self.solo else 0, _CHORD if chord else 0)

    def _of_voice(self, group: Group) -> None:
        """Two stems: two lines. Without "div." the strings may also play both: unsure."""
        sure = bool(self.div) or self.always_divides
        if not sure:
            self.out.divided.add(group.bar)
        chord = _CHORD if len(group.rows) > 1 else 0
        for note in group.rows:
            mask = bit(group.rank + 1) if sure else UNKNOWN_PLAYERS
            self._add(note, group.rank, mask, _DIVISI | chord)

    def _add(self, note: int, half: int, players: int, flags: int) -> None:
        half = min(half, MOST_HALVES - 1)
        self.halves = max(self.halves, half + 1)
        self.out.add(note, self.first_line + half, players, flags)
