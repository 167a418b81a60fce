"""Published key profiles, and the correlation of a passage with them.

A profile says how much each pitch class, counted in semitones upward from the
tonic, belongs to a key. Rows are copied from the sources named and never
tuned here.

References
----------
.. [1] C. Krumhansl, E. Kessler, "Tracing the dynamic changes in perceived
   tonal organization", Psychological Review 89 (1982), 334-368.
.. [2] D. Temperley, profiles counted in the Kostka-Payne corpus (The Cognition
   of Basic Musical Structures, 2001, and later tables).
.. [3] J. Albrecht, D. Shanahan, "The use of large corpora to train a new type
   of key-finding algorithm", Music Perception 31 (2013), 59-67.
.. [4] H. Bellmann (2005), after H. Budge, A Study of Chord Frequencies (1943).
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analysis.engine.errors import EngineError

Row = tuple[float, ...]

#: Name -> (major, minor), twelve values each, from the tonic upward.
PROFILES: Mapping[str, tuple[Row, Row]] = MappingProxyType(
    {
        "krumhansl-kessler": (
            (6.35, 2.23, 3.48, 2.33, 4.38, 4.09, 2.52, 5.19, 2.39, 3.66, 2.29, 2.88),
            (6.33, 2.68, 3.52, 5.38, 2.60, 3.53, 2.54, 4.75, 3.98, 2.69, 3.34, 3.17),
        ),
        "temperley-kostka-payne": (
            (0.748, 0.060, 0.488, 0.082, 0.670, 0.460, 0.096, 0.715, 0.104, 0.366, 0.057, 0.400),
            (0.712, 0.084, 0.474, 0.618, 0.049, 0.460, 0.105, 0.747, 0.404, 0.067, 0.133, 0.330),
        ),
        "albrecht-shanahan": (
            (0.238, 0.006, 0.111, 0.006, 0.137, 0.094, 0.016, 0.214, 0.009, 0.080, 0.008, 0.081),
            (0.220, 0.006, 0.104, 0.123, 0.019, 0.103, 0.012, 0.214, 0.062, 0.022, 0.061, 0.052),
        ),
        "bellmann-budge": (
            (16.80, 0.86, 12.95, 1.41, 13.49, 11.93, 1.25, 20.28, 1.80, 8.04, 0.62, 10.57),
            (18.16, 0.69, 12.99, 13.34, 1.07, 11.15, 1.38, 21.07, 7.49, 1.53, 0.92, 10.21),
        ),
    }
)

KEYS = 24  # index = tonic pitch class, + 12 for minor


def rotations(name: str) -> NDArray[np.float64]:
    """The profile of every key, by absolute pitch class.

    Parameters
    ----------
    name : str
        A key of `PROFILES`.

    Returns
    -------
    ndarray, shape (24, 12)
        Row ``t`` is major on pitch class ``t``, row ``12 + t`` minor.

    Raises
    ------
    EngineError
        If there is no profile of that name.
    """
    if name not in PROFILES:
        raise EngineError(f"There is no key profile called {name!r}.")
    rows = [np.roll(row, tonic) for row in PROFILES[name] for tonic in range(12)]
    return np.array(rows, dtype=np.float64)


def correlations(weights: ArrayLike, name: str = "krumhansl-kessler") -> NDArray[np.float64]:
    """Pearson correlation of twelve pitch-class weights with every key.

    Parameters
    ----------
    weights : array_like, shape (12,)
        Sounding time of each pitch class, any unit.
    name : str
        A key of `PROFILES`.

    Returns
    -------
    ndarray, shape (24,)
        Order as in `rotations`; zeros where all weights are equal, because
        then nothing speaks for any key.

    Examples
    --------
    >>> major = rotations("krumhansl-kessler")[0]
    >>> round(float(correlations(major)[12 + 9]), 3)  # A minor as seen from C major
    0.65
    """
    given = np.asarray(weights, dtype=np.float64)
    if given.shape != (12,):
        raise EngineError(f"Twelve pitch-class weights are needed, not {given.shape}.")
    profile = rotations(name)
    centred = given - given.mean()
    spread = profile - profile.mean(axis=1, keepdims=True)
    size = np.linalg.norm(centred) * np.linalg.norm(spread, axis=1)
    if not np.linalg.norm(centred) > 0:
        return np.zeros(KEYS)
    result: NDArray[np.float64] = spread @ centred / size
    return result
