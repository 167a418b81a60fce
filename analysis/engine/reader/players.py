"""Winds that share a staff: who plays which note (trade-facts 7.2).

1. / I. / primo / solo = the first alone; 2. / II. = the second; a 2 = both the
same; two voices or the notes of a chord = upper and lower player. A single
line without any word belongs to nobody for certain: it goes to the first
player's line, marked as unknown.
"""

from __future__ import annotations

from collections.abc import Sequence

from analysis.engine.model import UNKNOWN_PLAYERS, NoteFlag
from analysis.engine.reader.player_words import PlayerWord
from analysis.engine.reader.shares import Shares, bit, with_words
from analysis.engine.reader.staff_groups import Group

_A2, _CHORD = int(NoteFlag.A2), int(NoteFlag.CHORD)


class SharedStaff:
    """Players of one staff.

    Parameters
    ----------
    players : sequence of int
        Numbers of the players who read this staff, upper first.
    lines : sequence of int
        Their lines within the part.
    out : Shares
        Takes the rows.
    """

    def __init__(self, players: Sequence[int], lines: Sequence[int], out: Shares) -> None:
        self.players = tuple(players)
        self.line_of = dict(zip(players, lines, strict=True))
        self.out = out
        self.state: PlayerWord | None = None

    def read(self, groups: Sequence[Group], words: Sequence[tuple[int, PlayerWord]]) -> None:
        """Give every note of the staff to its players."""
        for group, new in with_words(groups, words):
            for _, word in new:
                self._take(word)
            self._give(group)

    def _take(self, word: PlayerWord) -> None:
        if word.sign in ("numbers", "each"):
            known = tuple(filter(None, map(self._resolve, word.numbers)))
            if known:
                sign = "each" if len(known) == len(self.players) else word.sign
                self.state = PlayerWord(sign, known)
        elif word.sign in ("together", "unis", "soli", "col"):
            count = word.numbers[0] if word.numbers else len(self.players)
            self.state = PlayerWord("together", self.players[:count])
        elif word.sign == "tutti":
            self.state = PlayerWord("each", self.players)
        elif word.sign == "solo":
            self.state = PlayerWord("solo")
        elif word.sign == "div":
            self.state = None

    def _resolve(self, number: int) -> int:
        """A printed number: of the player, or the place among the players of this staff."""
        if number in self.players:
            return number
        return self.players[number - 1] if 1 <= number <= len(self.players) else 0

    def _give(self, group: Group) -> None:
        count = len(self.players)
        if group.others:
            voices = 1 + len(group.others)
            if group.others_sound:
                self._contradict(group)
            self._spread(group, self._of_voice(group.rank, voices), alone=False)
            return
        if len(group.rows) > 1:
            self._contradict(group)
        elif self.state is None and group.stem < 0 and group.voice % 4 == 2 and count == 2:
            # The second voice alone, stem down, the first one left out.
            self._add(group, group.rows, self.players[-1:], unknown=True)
            return
        self._spread(group, self.players, alone=True)

    def _of_voice(self, rank: int, voices: int) -> tuple[int, ...]:
        """Players of a voice when several are present: as even as can be, upper first."""
        players = self.players
        if voices >= len(players):
            return players[min(rank, len(players) - 1) :][:1]
        first = rank * len(players) // voices
        return players[first : (rank + 1) * len(players) // voices]

    def _contradict(self, group: Group) -> None:
        """Two notes at once: "1." and "a 2" are over."""
        if self.state is not None and self.state.sign in ("numbers", "solo", "together"):
            full = self.state.sign == "numbers" and len(self.state.numbers) == len(group.rows) > 1
            if not full:
                self.state = None

    def _spread(self, group: Group, players: tuple[int, ...], *, alone: bool) -> None:
        notes = group.rows
        if len(players) == 1:
            self._add(group, notes, players)
        elif len(notes) == 1:
            self._single(group, players, alone=alone)
        elif len(notes) >= len(players):
            for i, player in enumerate(players[:-1]):
                self._add(group, [notes[i]], (player,))
            self._add(group, notes[len(players) - 1 :], players[-1:])
        else:
            named = self.state.numbers if self.state and self.state.sign == "numbers" else ()
            sure = len(named) == len(notes)
            for note, player in zip(notes, named if sure else players, strict=False):
                self._add(group, [note], (player,), unknown=not sure)

    def _single(self, group: Group, players: tuple[int, ...], *, alone: bool) -> None:
        """One note for several players: the words decide."""
        state = self.state
        if state is None:
            self._add(group, group.rows, players[:1], unknown=True)
            return
        if state.sign == "solo":
            self.out.solo.add(group.bar)
            self._add(group, group.rows, players[:1], unknown=True)
            return
        named = tuple(p for p in players if p in state.numbers)
        if not named:
            self._add(group, group.rows, players[:1], unknown=True)
            return
        # "a 2" over three players: which two is not said.
        unsure = state.sign == "together" and 1 < len(state.numbers) < len(self.players) and alone
        self._add(group, group.rows, named, unknown=unsure)

    def _add(
        self, group: Group, notes: Sequence[int], players: tuple[int, ...], *, unknown: bool = False
    ) -> None:
        flags = (_A2 if len(players) > 1 else 0) | (_CHORD if len(notes) > 1 else 0)
        if unknown:
            self.out.unknown.add(group.bar)
        for note in notes:
            for player in players:
                mask = UNKNOWN_PLAYERS if unknown else bit(player)
                self.out.add(note, self.line_of[player], mask, flags)
