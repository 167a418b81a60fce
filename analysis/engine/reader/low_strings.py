"""Cellos and basses on one staff: two sounding lines, the basses an octave lower."""

from __future__ import annotations

from collections.abc import Sequence

from analysis.engine.model import UNKNOWN_PLAYERS, NoteFlag
from analysis.engine.reader.player_words import PlayerWord
from analysis.engine.reader.shares import Shares, with_words
from analysis.engine.reader.staff_groups import Group

_A2, _CHORD = int(NoteFlag.A2), int(NoteFlag.CHORD)
CELLOS, BASSES = 0, 1


class LowStrings:
    """The staff "Vc. e Cb.", "Bassi", "Violoncello e Basso".

    `out` takes rows for line `first_line` (cellos) and the one after it
    (basses, an octave below what is printed).
    """

    def __init__(self, first_line: int, out: Shares) -> None:
        self.first_line = first_line
        self.out = out
        self.playing: tuple[int, ...] = (CELLOS, BASSES)
        self.said_at = -1

    def read(self, groups: Sequence[Group], words: Sequence[tuple[int, PlayerWord]]) -> None:
        """Give every note of the staff to cellos, basses or both."""
        for group, new in with_words(groups, words):
            for onset, word in new:
                self._take(onset, word)
            self._give(group)

    def _take(self, onset: int, word: PlayerWord) -> None:
        if word.sign in ("cellos-and-basses", "tutti", "unis"):
            self.playing = (CELLOS, BASSES)
        elif word.sign in ("cellos", "basses"):
            one = CELLOS if word.sign == "cellos" else BASSES
            # "Vc." above and "Cb." below at the same place: both, each with its stem.
            beside = onset == self.said_at and one not in self.playing
            self.playing = (CELLOS, BASSES) if beside else (one,)
            self.said_at = onset

    def _give(self, group: Group) -> None:
        notes = group.rows
        both = len(self.playing) == 2
        if both and group.others:
            self._add(notes, min(group.rank, 1))
        elif both and len(notes) == 2:
            # Upper note cellos, lower note basses - or double-stops of the cellos.
            self.out.unknown.add(group.bar)
            self._add(notes[:1], CELLOS, unknown=True)
            self._add(notes[1:], BASSES, unknown=True)
        else:
            for who in self.playing:
                self._add(notes, who, shared=both)

    def _add(
        self, notes: Sequence[int], who: int, *, shared: bool = False, unknown: bool = False
    ) -> None:
        flags = (_A2 if shared else 0) | (_CHORD if len(notes) > 1 else 0)
        for note in notes:
            mask = UNKNOWN_PLAYERS if unknown else 0
            self.out.add(note, self.first_line + who, mask, flags, -1 if who == BASSES else 0)
