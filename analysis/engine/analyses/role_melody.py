"""Which line carries the melody, bar by bar, as one continuous thread through handovers."""

from __future__ import annotations

import numpy as np

from analysis.engine.analyses.role_cells import Bools, Floats, Ints
from analysis.engine.analyses.role_features import NAMES
from analysis.engine.analyses.role_model import Estimate

_STAY = 0.4  # cost of a change of line, in log odds
_HEIGHT = 0.3  # of the top line against the lowest: of several, the upper one is heard to lead
_GROUP = 0.5  # weight of the odds of a line's group, beside which line of the bar comes first
#: Part of the choice that goes by all who double a line, so that a tune is not lost to another
#: line because many share it; the rest goes by the line itself.
_SHARED = 0.35
_LEAST = 1e-4  # probability below which lines are alike
_JOINS = 0.4  # probability from which another line is named beside the leading one
_RESTS = -12.0
#: Where there are voices they are heard to lead (common practice, no source). The trees hardly know
#: voices: one annotated work has them, so these two were chosen on that work alone. The first is
#: for who leads, the second for who is named beside.
_VOICE, _VOICE_JOINS = 4.0, 1.0


def main_lines(found: Estimate) -> Ints:
    """The line that leads in each bar, -1 where nothing sounds, shape (bars,).

    The path over the lines with the highest sum of log probabilities to lead (`role_lead`) less
    the cost of changing line (Viterbi); lines that rest cannot lead.
    """
    score = _score(found)
    lines, bars = score.shape
    leading: Ints = np.full(bars, -1, dtype=np.int64)
    if not lines or not bars:
        return leading
    best, back = score[:, 0].copy(), np.zeros((lines, bars), dtype=np.int64)
    for b in range(1, bars):
        change = int(best.argmax())
        stay = best >= best[change] - _STAY
        back[:, b] = np.where(stay, np.arange(lines), change)
        best = np.where(stay, best, best[change] - _STAY) + score[:, b]
    line = int(best.argmax())
    for b in range(bars - 1, -1, -1):
        leading[b] = line if found.measured.there[line, b] else -1
        line = int(back[line, b])
    return leading


def ranked(found: Estimate, most: int = 3) -> list[list[int]]:
    """Lines with the melody in each bar, the leading one first, then by probability.

    Parameters
    ----------
    found : Estimate
    most : int
        No more lines than this in a bar.

    Returns
    -------
    list of list of int
        Empty where nothing sounds.
    """
    leading = main_lines(found)
    score = _score(found)
    joins = found.measured.there & (1 / (1 + np.exp(-_group(found))) >= _JOINS)
    out: list[list[int]] = []
    for b, line in enumerate(leading.tolist()):
        if line < 0:
            out.append([])
            continue
        others = [int(k) for k in np.argsort(-score[:, b], kind="stable") if k != line]
        others = [k for k in others if joins[k, b]]
        out.append([line, *others[: most - 1]])
    return out


def with_leader(found: Estimate) -> Bools:
    """Which lines double the leading one, or lead, shape (lines, bars)."""
    return together_with(found, main_lines(found))


def together_with(found: Estimate, leading: Ints) -> Bools:
    """The same for any line a bar, -1 for none."""
    together = np.zeros(found.measured.there.shape, dtype=bool)
    for b, line in enumerate(leading.tolist()):
        if line >= 0:
            together[:, b] = found.measured.doubled[b, line]
            together[line, b] = True
    return together


def _voice(found: Estimate) -> Floats:
    voice: Floats = found.measured.values[..., NAMES.index("voice")]
    return voice


def _group(found: Estimate) -> Floats:
    odds: Floats = found.lead.group + _VOICE_JOINS * _voice(found)
    return odds


def _score(found: Estimate) -> Floats:
    """Log probability to lead by line and bar, with what doubling lines lend each other."""
    there = found.measured.there
    if not there.size:
        return np.zeros(there.shape)
    height = found.measured.values[..., NAMES.index("height")]
    odds = found.lead.first + _GROUP * found.lead.group
    odds = np.where(there, odds + _HEIGHT * height + _VOICE * _voice(found), -np.inf)
    some = there.any(axis=0)
    top = np.where(some, odds.max(axis=0), 0.0)
    chance = np.exp(odds - top)
    chance = chance / np.where(some, chance.sum(axis=0), 1.0)
    doubled = found.measured.doubled.astype(np.float64)  # bars x lines x lines
    shared = chance + np.matmul(doubled, chance.T[..., None])[..., 0].T
    mixed = (1 - _SHARED) * chance + _SHARED * shared
    return np.where(there, np.log(mixed + _LEAST), _RESTS)
