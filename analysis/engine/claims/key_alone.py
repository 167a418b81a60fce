"""What the notes of the claimed bars say of a key by themselves, without what lies around them.

A region of a key is read over many bars; two bars in the middle of it may well dwell on another
key, and people name such keys. So nobody is contradicted whose key fits the claimed bars at least
as well as the key that was read there: by the correlation of what sounds with the profiles of both
(C. Krumhansl, Cognitive Foundations of Musical Pitch, 1990, ch. 4; profiles in `keys_profiles`).
Where a route or an arrival is denied nobody says in which bars the claimed key is meant: so each
short stretch of the claimed bars is asked, and a key that is best or second best in one of them
is not denied.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from analysis.engine.analyses import keys_evidence as evidence
from analysis.engine.analyses.attacks import memo
from analysis.engine.analyses.keys_path import PROFILES
from analysis.engine.analyses.keys_profiles import correlations
from analysis.engine.model import NoteFlag, ScoreTable
from analysis.engine.pitch import Key

#: bars that are asked at once: a touched key, and a settled one with a cadence
WINDOWS = (2, 4)
#: a key that is among so many best in one of them may be meant: a reader's first or second choice
MEANT = 2


def fits_as_well(table: ScoreTable, claimed: Key, read: Iterable[tuple[Key, int, int]]) -> bool:
    """Whether the claimed key fits the bars by themselves no worse than the keys read there.

    Parameters
    ----------
    read : (key, first, last)
        Other keys than the claimed one, over bars `first` to `last`; these are all that is asked.
    """
    gap = 0.0
    for key, first, last in read:
        fit = fits(table, first, last)
        gap += float(fit[index_of(key)] - fit[index_of(claimed)]) * (last - first + 1)
    return gap <= 0.0


def never_near(
    table: ScoreTable, first: int, last: int, keys: Sequence[Key], nearest: int = MEANT
) -> list[int]:
    """Which keys (by number) no stretch of two or four bars has among its `nearest` best ones."""
    left = set(range(len(keys)))
    for size in WINDOWS:
        for start in range(first, max(first, last - size + 1) + 1):
            fit = fits(table, start, min(start + size - 1, last))
            least = sorted(fit)[-nearest]
            left = {n for n in left if fit[index_of(keys[n])] < least}
            if not left:
                return []
    return sorted(left)


def fits(table: ScoreTable, first: int, last: int) -> NDArray[np.float64]:
    """Mean correlation of what sounds in bars `first` to `last` with each key, shape (24,).

    A pitch class counts for as long as it sounds, however many play it; where none does, zeros.
    """
    return memo(table, f"_key_fits-{first}-{last}", lambda: _fits(table, first, last))


def _fits(table: ScoreTable, first: int, last: int) -> NDArray[np.float64]:
    sounding = memo(table, "_key_presence", lambda: _presence(table))
    weights = sounding[first : last + 1].sum(axis=0)
    found: NDArray[np.float64] = np.mean([correlations(weights, p) for p in PROFILES], axis=0)
    return found


def _presence(table: ScoreTable) -> NDArray[np.float64]:
    """Share of each bar during which each pitch class sounds, shape (bars, 12)."""
    out = np.zeros((len(table.bars), 12))
    rows = table.sounding
    notes = evidence.tones(rows[(rows["flags"] & NoteFlag.GRACE) == 0])
    if len(notes.onset):
        out[:] = evidence.presence(notes, tuple(table.bars))
    return out


def index_of(key: Key) -> int:
    return key.tonic + (12 if key.mode == "minor" else 0)
