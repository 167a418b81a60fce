"""From written to sounding pitch, by steps and semitones, for whole columns at once."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

#: Semitones of C D E F G A B above C.
NATURALS = np.array([0, 2, 4, 5, 7, 9, 11], dtype=np.int64)

Column = NDArray[Any]


def midi(step: Column, alter: Column, octave: Column) -> NDArray[np.int64]:
    """MIDI numbers of spelled pitches; C4 = 60."""
    natural: NDArray[np.int64] = NATURALS[step]
    return 12 * (octave.astype(np.int64) + 1) + natural + alter


def transpose(
    step: Column, alter: Column, octave: Column, semitones: Column, steps: Column
) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]:
    """Sounding step, alter and octave of written pitches.

    Parameters
    ----------
    step, alter, octave : array of int, shape (n,)
        As written; step 0 = C .. 6 = B.
    semitones, steps : array of int, shape (n,)
        From written to sounding, octaves included: a horn in E flat is
        -9 semitones and -5 steps.

    Notes
    -----
    The letter moves by `steps`, the accidental takes up what is left of
    `semitones`, even if that makes more than a double accidental: the spelling
    says how the interval was written.
    """
    place: NDArray[np.int64] = octave.astype(np.int64) * 7 + step + steps
    target: NDArray[np.int64] = midi(step, alter, octave) + semitones
    return place % 7, target - _natural(place), place // 7


def _natural(place: NDArray[np.int64]) -> NDArray[np.int64]:
    """MIDI numbers of natural notes counted in steps above C0."""
    out: NDArray[np.int64] = 12 * (place // 7 + 1) + NATURALS[place % 7]
    return out
