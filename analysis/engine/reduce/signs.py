"""Clefs, key signatures and accidentals of a short score at sounding pitch."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from analysis.engine.describe.page import Passage
from analysis.engine.engrave.sounding import key_alteration
from analysis.engine.formats.piece import Clef, Event
from analysis.engine.reduce.voices import Chord

TREBLE, BASS_CLEF = Clef("G", 2), Clef("F", 4)
#: middle lines of both clefs, semitones from there to the first ledger line, cost of a change,
#: semitones more that the staff's own clef bears
CENTRES, STAFF, CHANGE, EASE = (71, 50), 11, 6.0, 5

_SIGNS = {
    -2: "flat-flat", -1: "flat", 0: "natural", 1: "sharp", 2: "double-sharp",
    -1.5: "three-quarters-flat", -0.5: "quarter-flat", 0.5: "quarter-sharp",
    1.5: "three-quarters-sharp",
}  # fmt: skip
#: they write their signatures as the others do; horns, trumpets and drums mostly write none
_SIGNING = {"strings", "woodwind", "keyboard", "plucked", "voice"}


def clefs(bars: Sequence[list[Chord]], usual: Clef) -> list[Clef]:
    """The clef of each bar: what needs few ledger lines, the usual one bearing a few more.

    Parameters
    ----------
    bars : sequence of list of Chord
        What begins in each bar.
    usual : Clef
        The staff's own.
    """
    both = (TREBLE, BASS_CLEF)
    costs = [0.0 if clef == usual else CHANGE / 2 for clef in both]
    room = [STAFF + (EASE if clef == usual else 0) for clef in both]
    came: list[list[int]] = []
    for chords in bars:
        pitches = [n.pitch for chord in chords for n in chord.notes]
        come = [0 if costs[0] + CHANGE * k <= costs[1] + CHANGE * (1 - k) else 1 for k in (0, 1)]
        costs = [costs[come[k]] + CHANGE * (come[k] != k) + _beyond(pitches, CENTRES[k], room[k])
                 for k in (0, 1)]  # fmt: skip
        came.append(come)
    at = 0 if costs[0] <= costs[1] else 1
    found = []
    for come in reversed(came):
        found.append(both[at])
        at = come[at]
    return found[::-1]


def _beyond(pitches: list[int], centre: int, room: int) -> float:
    """Mean semitones by which pitches lie further than `room` from the middle line."""
    if not pitches:
        return 0.0
    return sum(max(0, abs(pitch - centre) - room) for pitch in pitches) / len(pitches)


def signatures(p: Passage) -> list[int]:
    """Sounding key signature of each bar in fifths: that of most parts which sign their key."""
    signing = _signs(p, _SIGNING) or _signs(p, None)
    found = []
    for bar in p.bars:
        votes: Counter[int] = Counter()
        for part, signs in signing.items():
            standing = [fifths for at, fifths in signs if at <= bar]
            if standing:
                reading = p.table.reading_at(part, bar)
                votes[standing[-1] + 7 * reading.transposition - 12 * reading.diatonic] += 1
        best = max(votes, key=lambda f: (votes[f], -abs(f)), default=0)
        found.append(best if -7 <= best <= 7 else 0)
    return found


def _signs(p: Passage, families: set[str] | None) -> dict[int, list[tuple[int, int]]]:
    """Part to (bar from which, fifths as written)."""
    found: dict[int, list[tuple[int, int]]] = {}
    for mark in p.table.marks:
        if mark.kind != "key" or mark.part < 0 or mark.staff > 1:
            continue
        if families and p.table.reading_at(mark.part, mark.bar).family not in families:
            continue
        later = mark.onset > p.table.bars[mark.bar].start  # within a bar: from the next one on
        found.setdefault(mark.part, []).append((mark.bar + later, round(mark.number)))
    return found


def accidentals(bars: Sequence[list[Event]], keys: Sequence[int]) -> None:
    """Write the accidentals a staff needs: against its key, and against what stands in the bar."""
    for events, fifths in zip(bars, keys, strict=True):
        standing: dict[tuple[str, int], float] = {}
        for event in sorted(events, key=lambda e: (e.onset, e.voice)):
            for head in event.heads:
                place = head.step, head.octave
                before = standing.get(place, key_alteration("CDEFGAB".index(head.step), fifths))
                if head.tie_stop:
                    continue
                standing[place] = head.alter
                if head.alter != before:
                    head.accidental = _SIGNS.get(head.alter, "")
