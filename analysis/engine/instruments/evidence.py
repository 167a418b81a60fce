"""What a file shows of a part, and what the whole score says about each of them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from analysis.engine.instruments.names import LabelReading, parse_label
from analysis.engine.instruments.table import INSTRUMENTS
from analysis.engine.pitch import Language

#: Lowest written notes: what lies below can only be a sounding pitch.
_OCTAVE_PROOF_LOW = {"double-bass": 36, "violone": 36, "contrabassoon": 33}
#: Written notes above this can only be sounding ones.
_OCTAVE_PROOF_HIGH = {"piccolo": 97, "celesta": 97, "xylophone": 97, "glockenspiel": 85}


@dataclass(frozen=True, slots=True)
class PartSeen:
    """What the reader sees of one part, from its start or from a change on.

    Pitches are written MIDI numbers as the file has them (None: no notes).

    Parameters
    ----------
    label, abbreviation : str
        ``<part-name>`` and ``<part-abbreviation>``.
    instrument_names : tuple of str
        Every ``<instrument-name>``.
    transpose : (semitones, steps) or None
        The file's ``<transpose>``, octaves included; None if it has none.
    clefs : tuple of str
        In order of appearance, equal neighbours once: "G2", "F4", "G2/-1".
    low, high : int or None
        Lowest and highest written pitch of the whole part.
    clef_ranges : mapping
        The same for each clef, where the reader can tell: {"F4": (36, 55)}.
    key_fifths : int or None
        First key signature of the part.
    lyrics : bool
        Whether notes carry words to be sung.
    changes : tuple of str
        Words that change something on the way: "muta in A", "La muta in Sol".
    """

    label: str
    abbreviation: str = ""
    instrument_names: tuple[str, ...] = ()
    transpose: tuple[int, int] | None = None
    clefs: tuple[str, ...] = ()
    low: int | None = None
    high: int | None = None
    clef_ranges: Mapping[str, tuple[int, int]] = field(default_factory=dict)
    key_fifths: int | None = None
    lyrics: bool = False
    changes: tuple[str, ...] = ()

    @property
    def printed(self) -> str:
        """The label on one line, for sentences."""
        return " ".join(self.label.split())

    @property
    def octave_clef(self) -> bool:
        """All clefs carry an octave sign: the file's pitches are sounding ones."""
        return bool(self.clefs) and all("/" in c for c in self.clefs)


class ScoreSeen:
    """All parts together: language, voices, concert key, pitch level."""

    def __init__(self, parts: Sequence[PartSeen]) -> None:
        self.parts = tuple(parts)

    @cached_property
    def language(self) -> Language | None:
        """The language most labels can be read in; None if two are level."""
        votes: Counter[Language] = Counter()
        for part in self.parts:
            votes.update(parse_label(part.label).languages)
        ranked = votes.most_common(2)
        if not ranked or (len(ranked) == 2 and ranked[0][1] == ranked[1][1]):
            return None
        return ranked[0][0]

    @cached_property
    def readings(self) -> tuple[LabelReading, ...]:
        return tuple(parse_label(p.label, self.language) for p in self.parts)

    @cached_property
    def instruments(self) -> frozenset[str]:
        """Keys of the parts whose name has one meaning only."""
        return frozenset(r.instrument for r in self.readings if len(r.candidates) == 1)

    @cached_property
    def voices(self) -> frozenset[str]:
        """Sung parts the labels suggest: "Soprano", but "Alto" only beside another voice."""
        named = {r.instrument for r in self.readings if _is_voice(r.instrument)}
        sure = {r.instrument for r in self.readings if _surely_sung(r)}
        tenor = any(r.word in ("tenor", "tenore", "t") for r in self.readings)
        alto = any("alto" in r.candidates for r in self.readings)
        return frozenset(named | sure) if sure or (tenor and alto) else frozenset()

    @cached_property
    def concert_key(self) -> int | None:
        """Key signature of the parts that do not transpose."""
        keys = Counter(
            part.key_fifths
            for part, reading in zip(self.parts, self.readings, strict=True)
            if part.key_fifths is not None
            and part.transpose in (None, (0, 0))
            and INSTRUMENTS[reading.instrument].transposition == 0
            and reading.instrument not in ("timpani", "unknown", "percussion")
        )
        return keys.most_common(1)[0][0] if keys else None

    @cached_property
    def untransposed(self) -> bool:
        """No part of the file has a transposition."""
        return all(p.transpose in (None, (0, 0)) for p in self.parts)

    @cached_property
    def concert_pitch(self) -> bool:
        """The file stands at sounding pitch: nothing transposes and something proves it.

        Proofs: a transposing woodwind, or a horn or trumpet, that carries the
        key signature of the strings; or an octave instrument written where
        only its sounding pitches can be.
        """
        if not self.untransposed:
            return False
        pairs = zip(self.parts, self.readings, strict=True)
        return any(key_proof(p, r, self.concert_key) or octave_proof(p, r) for p, r in pairs)


def key_proof(part: PartSeen, reading: LabelReading, concert_key: int | None) -> bool:
    """A transposing part that carries the key signature of the others is at sounding pitch."""
    if part.key_fifths is None or part.key_fifths != concert_key:
        return False
    record = INSTRUMENTS[reading.instrument]
    if record.family == "brass":
        return concert_key != 0 and bool(record.crooks) and not _named_c(reading)
    if record.crooks:
        return not _named_c(reading)
    return (record.transposition or 0) % 12 != 0


def octave_proof(part: PartSeen, reading: LabelReading) -> bool:
    """An octave instrument with notes that only its sounding pitches reach."""
    low = _OCTAVE_PROOF_LOW.get(reading.instrument)
    high = _OCTAVE_PROOF_HIGH.get(reading.instrument)
    return (low is not None and part.low is not None and part.low < low) or (
        high is not None and part.high is not None and part.high >= high
    )


def _named_c(reading: LabelReading) -> bool:
    return any(c.name == "C" for c in reading.crooks)


def _is_voice(key: str) -> bool:
    return INSTRUMENTS[key].family == "voice"


def _surely_sung(reading: LabelReading) -> bool:
    return _is_voice(reading.instrument) and (
        len(reading.candidates) == 1 or reading.word in ("soprano", "dessus")
    )


def key_shift(semitones: int) -> int:
    """Sharps a part that sounds `semitones` away carries more than the concert key (mod 12).

    >>> key_shift(-2), key_shift(-3), key_shift(-7)
    (2, 9, 1)
    """
    return -semitones * 7 % 12
