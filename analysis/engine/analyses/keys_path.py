"""From evidence by bar to a path of keys: a panel of readers, transition costs, best path.

A key is left only when what follows speaks for another by more than the cost
of the change, so a chromatic note or two bars of tonicisation make no region.

One profile and one cost of change fit one composer and miss the next: of 250 settings drawn at
random, the best on either work of S3 reached .726 of the other. So twelve readers are asked, every
counted profile at every cost, and the mean of their probabilities is followed. No reader was
chosen by a score. What they share was: above all how much the movement's own keys weigh, `_HOME`
(exact .758 at 0, .791 at .1, .777 at .2; the other constants move it by less than .01).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import product

import numpy as np
from numpy.typing import NDArray

from analysis.engine.analyses.keys_profiles import KEYS, rotations

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Costs:
    """What a change of key costs, in log units."""

    change: float  # of leaving a key at all
    fifth: float  # and for each step on the circle of fifths
    relative: float
    parallel: float


@dataclass(frozen=True, slots=True)
class Reader:
    """One reader of the panel: whose profile, and how readily it leaves a key."""

    profile: str
    costs: Costs


#: Profiles counted in scores; that of Krumhansl and Kessler is from listening to single tones.
PROFILES = ("temperley-kostka-payne", "albrecht-shanahan", "bellmann-budge")
PANEL = tuple(
    Reader(profile, Costs(change, 0.4, 0.4, 0.4))
    for profile, change in product(PROFILES, (1.0, 2.0, 3.0, 4.0))
)
#: What a change costs against the panel's agreement.
AGREED = Costs(change=1.5, fifth=0.3, relative=0.3, parallel=0.3)

_WEIGHT = 1.4  # of a bar's mean log profile
_COMPRESS = 0.75  # presence to this power: long notes count less than in proportion
_LENGTH = 0.3  # bars count with (quarters / 4) to this power
_CADENCE = 1.2  # of a perfect cadence
_HOME = 0.1  # of the log share of the movement each key holds
_LEAST = 1e-3  # probability added to each key before logs: no reader excludes one


@dataclass(frozen=True, slots=True)
class Reading:
    """What the panel makes of a movement.

    Attributes
    ----------
    path : int64, shape (bars,)
        The agreed keys, as in `keys_profiles`.
    probable : float64, shape (bars, 24)
        Mean probability of each key in each bar.
    fit : float64, shape (bars, 24)
        Mean of how well the notes alone fit each key, log units up to a constant per bar.
    """

    path: Ints
    probable: Floats
    fit: Floats


def changes(costs: Costs) -> Floats:
    """Cost of going from one key (row) to another, shape (24, 24)."""
    tonic, minor = np.arange(KEYS) % 12, np.arange(KEYS) // 12
    signature = (tonic + 3 * minor) % 12  # tonic of the major key with this signature
    away = 7 * (signature[:, None] - signature[None, :]) % 12
    away = np.minimum(away, 12 - away)
    cost = np.where(away == 0, costs.relative, costs.fifth * away)
    cost = np.where(tonic[:, None] == tonic[None, :], costs.parallel, cost) + costs.change
    np.fill_diagonal(cost, 0.0)
    return cost.astype(np.float64)


def read(presence: Floats, cadence: Floats, quarters: Floats, costs: Costs = AGREED) -> Reading:
    """Ask the panel.

    Parameters
    ----------
    presence : ndarray, shape (bars, 12)
    cadence : ndarray, shape (bars, 24)
    quarters : ndarray, shape (bars,)
    costs : Costs
        Of a change in the agreed path.
    """
    shares = presence**_COMPRESS
    shares = shares / np.maximum(shares.sum(axis=1, keepdims=True), 1e-9)
    length = (quarters[:, None] / 4) ** _LENGTH
    fits = {name: _WEIGHT * (shares @ _logs(name).T) * length for name in PROFILES}
    score = np.stack([fits[reader.profile] for reader in PANEL]) + _CADENCE * cadence
    keep = _keep()
    home = posterior(score, keep).mean(axis=1, keepdims=True)
    probable = posterior(score + _HOME * np.log(home + 0.01), keep).mean(axis=0)
    return Reading(agreed(probable, costs), probable, np.mean(list(fits.values()), axis=0))


def agreed(probable: Floats, costs: Costs) -> Ints:
    """The path through the panel's probabilities."""
    return best_path(np.log(probable + _LEAST), costs)


@cache
def _logs(name: str) -> Floats:
    profile = rotations(name)
    logs: Floats = np.log(profile / profile.sum(axis=1, keepdims=True))
    return logs


@cache
def _keep() -> Floats:
    return np.exp(-np.stack([changes(reader.costs) for reader in PANEL]))


def best_path(score: Floats, costs: Costs = AGREED) -> Ints:
    """The keys bar by bar with the highest sum of scores less changes (Viterbi)."""
    cost = changes(costs)
    back = np.zeros(score.shape, dtype=np.int64)
    best = score[0].copy()
    for t in range(1, len(score)):
        options = best[:, None] - cost
        back[t] = options.argmax(axis=0)
        best = options.max(axis=0) + score[t]
    path = np.zeros(len(score), dtype=np.int64)
    path[-1] = int(best.argmax())
    for t in range(len(score) - 1, 0, -1):
        path[t - 1] = back[t, path[t]]
    return path


def posterior(score: Floats, keep: Floats) -> Floats:
    """Probability of each key in each bar, for each reader at once.

    Parameters
    ----------
    score : ndarray, shape (readers, bars, 24)
    keep : ndarray, shape (readers, 24, 24)
        exp(- cost of a change), from row to column.

    Returns
    -------
    ndarray, shape (readers, bars, 24)
    """
    here = np.exp(score - score.max(axis=2, keepdims=True)).transpose(1, 0, 2)[:, :, None, :]
    forward, backward = np.ones_like(here), np.ones_like(here)
    back = np.ascontiguousarray(keep.transpose(0, 2, 1))
    forward[0] = here[0] / here[0].sum(axis=2, keepdims=True)
    for t in range(1, len(here)):
        now = (forward[t - 1] @ keep) * here[t]
        forward[t] = now / now.sum(axis=2, keepdims=True)
    for t in range(len(here) - 2, -1, -1):
        now = (here[t + 1] * backward[t + 1]) @ back
        backward[t] = now / now.sum(axis=2, keepdims=True)
    both = forward * backward
    result: Floats = (both / both.sum(axis=3, keepdims=True))[:, :, 0].transpose(1, 0, 2)
    return result
