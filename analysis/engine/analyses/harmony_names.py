"""What a chord is called: qualities, root by spelling where the sound has none, inversion.

Names of qualities are those of claims of kind "chord": "major", "minor", "diminished",
"augmented", "dominant seventh", "major seventh", "minor seventh", "half-diminished seventh",
"diminished seventh", the augmented sixths by their country names, and "open fifth" where no third
sounds at all. A single pitch class is no chord: its quality is "".
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from math import exp
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from analysis.engine.model import NoteArray
from analysis.engine.pitch import NATURAL, from_midi, in_words, spelled

Ints = NDArray[np.int64]
Member = Literal["root", "third", "fifth", "seventh", "foreign"]

MEMBERS: tuple[Member, ...] = ("root", "third", "fifth", "seventh")
#: a member counts as sounding from this weight on (time in the chord's slices): common practice
PRESENT = 0.12


@dataclass(frozen=True, slots=True)
class Quality:
    """A kind of chord: semitones of its members above the root."""

    name: str
    tones: tuple[int, ...]
    prior: float = 0.0  # how readily it is heard beside a triad; common practice


QUALITIES: tuple[Quality, ...] = (
    Quality("major", (0, 4, 7)),
    Quality("minor", (0, 3, 7)),
    Quality("diminished", (0, 3, 6), -0.15),
    Quality("augmented", (0, 4, 8), -0.4),
    Quality("dominant seventh", (0, 4, 7, 10), -0.1),
    Quality("minor seventh", (0, 3, 7, 10), -0.3),
    Quality("major seventh", (0, 4, 7, 11), -0.4),
    Quality("half-diminished seventh", (0, 3, 6, 10), -0.25),
    Quality("diminished seventh", (0, 3, 6, 9), -0.15),
    Quality("French sixth", (0, 4, 6, 10), -0.5),
)
_DOMINANT = 4
_FRENCH = 9
#: index of chords of equal steps: any member may be the root by sound, the spelling decides
EQUAL = {3: 4, 8: 3}


@dataclass(frozen=True, slots=True)
class Chord:
    """One chord over ``start <= t < end`` (ticks).

    Attributes
    ----------
    root : int
        Pitch class; of an augmented sixth the note in the bass of its usual form.
    quality : str
        See the module; "" for a single pitch class.
    tones : tuple of int
        Semitones of root, third, fifth, seventh above the root.
    inversion : int
        0 root in the bass .. 3 seventh in the bass; -1 if the bass is no member.
    bass : int
        Lowest pitch (MIDI) of the first slice that has one.
    present : frozenset of int
        Pitch classes that sound for long enough to be heard as part of it, foreign ones too.
    covered : float
        Share (0..1) of the weight that is of the chord.
    first, last : int
        Slices, inclusive.
    confidence : float
        0..1; covered weight and the distance to the next best root (see `harmony`).
    """

    root: int
    quality: str
    tones: tuple[int, ...]
    inversion: int
    bass: int
    start: int
    end: int
    first: int
    last: int
    present: frozenset[int]
    covered: float
    confidence: float

    @property
    def classes(self) -> frozenset[int]:
        """Pitch classes of the full chord, sounding or not."""
        return frozenset((self.root + t) % 12 for t in self.tones)

    @property
    def members(self) -> tuple[Member, ...]:
        """What its tones are called."""
        return ("root", "fifth") if self.quality == "open fifth" else MEMBERS[: len(self.tones)]

    @property
    def missing(self) -> tuple[Member, ...]:
        """Members that do not sound."""
        return tuple(
            member
            for member, t in zip(self.members, self.tones, strict=True)
            if (self.root + t) % 12 not in self.present
        )

    @property
    def foreign(self) -> frozenset[int]:
        """Pitch classes that sound and are no member."""
        return self.present - self.classes

    @property
    def named(self) -> bool:
        """Whether it is a chord at all: three members, or an open fifth."""
        return bool(self.quality)

    @property
    def dominant(self) -> bool:
        """Major triad or dominant seventh: what can lead to a tonic a fourth higher."""
        return self.quality in ("major", "dominant seventh")

    def member(self, pitch: int) -> Member:
        """Which member a pitch (MIDI or class) is."""
        above = (pitch - self.root) % 12
        return self.members[self.tones.index(above)] if above in self.tones else "foreign"


@dataclass(frozen=True)
class Stretch:
    """What is known of the slices of one chord: their state, mean weights and fits."""

    state: int  # 12 * quality + root
    slices: tuple[int, int]  # first, end
    start: int
    end: int
    bass: int  # lowest pitch of the first slice that has one; -1
    weight: list[float]  # of the twelve pitch classes, by time
    margin: float  # distance to the next best root


def chord_of(spelling: Spelling, stretch: Stretch) -> Chord:
    """The chord of a stretch of slices: named, and told who is missing."""
    present = frozenset(pc for pc, w in enumerate(stretch.weight) if w >= PRESENT)
    index, root = divmod(stretch.state, 12)
    quality = QUALITIES[index]
    name, tones = quality.name, quality.tones
    span = (stretch.start, stretch.end)
    if index in EQUAL:
        root = _spelled_root(spelling.letters(*span), root, EQUAL[index], stretch.bass)
    elif index in (_DOMINANT, _FRENCH):
        name = _sixth(spelling.letters(*span), root, name, present)
    name, tones = _thin(name, tones, root, present)
    inside = sum(stretch.weight[(root + t) % 12] for t in tones)
    covered = min(inside / max(sum(stretch.weight), 1e-9), 1.0)
    above = (stretch.bass - root) % 12
    return Chord(
        root=root,
        quality=name,
        tones=tones,
        inversion=tones.index(above) if stretch.bass >= 0 and above in tones else -1,
        bass=stretch.bass,
        start=stretch.start,
        end=stretch.end,
        first=stretch.slices[0],
        last=stretch.slices[1] - 1,
        present=present,
        covered=covered,
        confidence=_confidence(covered, stretch.margin),
    )


def _thin(
    name: str, tones: tuple[int, ...], root: int, present: frozenset[int]
) -> tuple[str, tuple[int, ...]]:
    """Chords of which too little sounds: an open fifth, or no chord."""
    there = [(root + t) % 12 in present for t in tones]
    if len(tones) == 3 and there[0] and not there[1] and there[2]:
        return "open fifth", (0, tones[2])
    if sum(there) < 2:
        return "", tones
    return name, tones


def _confidence(covered: float, margin: float) -> float:
    """Covered weight, less where another root fits nearly as well."""
    return min(max(covered / (1 + exp(-(0.2 + 2.5 * margin))), 0.05), 0.97)


@dataclass(frozen=True)
class Spelling:
    """How notes are spelled, by onset."""

    onset: Ints
    name: Ints  # pitch class, step and alteration in one number

    @classmethod
    def of(cls, rows: NoteArray) -> Spelling:
        pc = rows["pitch"].astype(np.int64) % 12
        name = (pc * 7 + rows["step"]) * 16 + rows["alter"].astype(np.int64) + 8
        return cls(rows["onset"].astype(np.int64), name)

    def letters(self, start: int, end: int) -> dict[int, tuple[int, int]]:
        """Commonest (step, alter) of each pitch class attacked in ``start <= t < end``."""
        low, high = np.searchsorted(self.onset, (start, end))
        found: dict[int, tuple[int, int]] = {}
        for name, _ in Counter(self.name[low:high].tolist()).most_common():
            pc, step = divmod(name >> 4, 7)
            alter = (name & 15) - 8
            if (NATURAL[step] + alter) % 12 == pc:
                found.setdefault(pc, (step, alter))
        return found

    def root(self, chord: Chord) -> str:
        """The root as the passage spells it, "Eb"; where it does not sound, by third or fifth."""
        return spelled(*self._root(chord))

    def _root(self, chord: Chord) -> tuple[int, int]:
        known = self.letters(chord.start, chord.end)
        if chord.root in known:
            return known[chord.root]
        for k, tone in enumerate(chord.tones[1:], start=1):
            found = known.get((chord.root + tone) % 12)
            if found:
                step = (found[0] - 2 * (k if len(chord.tones) > 2 else 2)) % 7
                alter = (chord.root - NATURAL[step] + 6) % 12 - 6
                if abs(alter) <= 2:
                    return step, alter
        plain = from_midi(60 + chord.root)
        return plain.step, plain.alter

    def words(self, chord: Chord) -> str:
        """ "C major", "the open fifth on D", "a dominant seventh on G"; "" for no chord."""
        root = in_words(*self._root(chord))
        if chord.quality in ("major", "minor"):
            return f"{root} {chord.quality}"
        if chord.quality == "open fifth":
            return f"the open fifth on {root}"
        if not chord.quality:
            return ""
        article = "an" if chord.quality[0] in "aeioIAEO" else "a"
        triad = " triad" if chord.quality in ("diminished", "augmented") else ""
        return f"{article} {chord.quality}{triad} on {root}"


def _spelled_root(known: dict[int, tuple[int, int]], root: int, step: int, bass: int) -> int:
    """Root of a chord of equal steps: the one on which its letters stand in thirds."""
    roots = [(root + k) % 12 for k in range(0, 12, step)]
    for candidate in roots:
        wanted = [(candidate + k) % 12 for k in range(0, 12, step)]
        if candidate in known and all(
            pc not in known or (known[pc][0] - known[candidate][0]) % 7 == 2 * k
            for k, pc in enumerate(wanted)
        ):
            return candidate
    return bass % 12 if bass >= 0 and bass % 12 in roots else root


def _sixth(known: dict[int, tuple[int, int]], root: int, name: str, present: frozenset[int]) -> str:
    """A dominant seventh whose seventh is written as an augmented sixth is one."""
    seventh = known.get((root + 10) % 12)
    low = known.get(root)
    sixth = seventh is not None and low is not None and (seventh[0] - low[0]) % 7 == 5
    if name == "French sixth":
        return name if sixth else "dominant seventh with lowered fifth"
    if not sixth:
        return name
    return "German sixth" if (root + 7) % 12 in present else "Italian sixth"
