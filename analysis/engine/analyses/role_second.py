"""A second look at each cell: what the first look found in the line's company and around it.

The first look (`role_model.log_odds`) judges a cell by itself. Whether a line has the melody also
depends on whether another is likelier to have it, and on what its fellows do: in the labelled
corpora two lines of one family in the same rhythm have the same roles in 97 % (textures) and 86 %
(S3) of their common bars. The second look is a small net (`role_net`) over the first look's log
odds, seen from several sides (`VIEWS`, `SPANS`, and cells that are alike, `role_alike`), and the
measures of the cell, its group and the orchestra. It chooses among six mixtures of the classes
(`MIXTURES`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analysis.engine.analyses import role_alike, role_features, role_net
from analysis.engine.analyses.role_cells import Bools, Floats, Grid, Ints
from analysis.engine.analyses.role_features import Measured
from analysis.engine.analyses.role_net import Net
from analysis.engine.model import Line

#: What the first look gives: the three classes, and whether the line leads or doubles who leads.
FIRST = ("melody", "rhythm", "harmony", "lead")
VIEWS = ("itself", "doubling", "doubling~1", "doubling~2", "doubling~6", "family", "family-most",
         "family~2", "against-most", "all", "against-most~2", "fellows")  # fmt: skip
#: Bars from and to, of what the line and its fellows did before, do next, and do at large.
SPANS = ((-4, -1), (1, 4), (-12, 12))
#: Mixtures of the classes that annotators use; others are under one cell in a hundred.
MIXTURES = ("melody", "rhythm", "harmony", "rhythm+harmony", "melody+rhythm", "melody+harmony")
GROUP = (
    "size",  # lines of the family in the same rhythm, itself included
    "share",  # of the lines that sound
    "rhythm-share",  # the same over all families
    "unison",  # share of its fellows that double it
    "top-height",  # rank by pitch of the highest fellow
    "range",  # semitones from the lowest fellow to the highest
    "rhythms",  # different rhythms in the bar
    "biggest",  # share of the lines in the commonest rhythm
    "families",  # that sound
)
#: The orchestra of the movement, by its lines that sound somewhere. It stands for when and for whom
#: the music was written: what is called rhythm and what harmony differs between repertoires.
ORCHESTRA = ("lines", "tuba", "trombone", "bass-clarinet", "english-horn", "piccolo")
NAMES: tuple[str, ...] = (
    *(f"{view}:{name}" for view in VIEWS for name in FIRST),
    *(f"{a}..{b}:{name}" for a, b in SPANS for name in FIRST),
    *(f"{alike}:{name}" for alike in role_alike.ALIKE for name in (*FIRST, "count")),
    *role_features.NAMES,
    *GROUP,
    *ORCHESTRA,
)

CLASSES = FIRST[:3]
#: Which mixture holds which class, shape (mixtures, classes).
_HOLDS = np.array([[float(c in m.split("+")) for c in CLASSES] for m in MIXTURES])

_SILENT = -9.0  # log odds that no cell has
_LEAST = -6.0
_BLOCK = 256  # bars taken at once, to spare memory


@dataclass(frozen=True)
class Company:
    """Who goes with whom.

    Attributes
    ----------
    fellows : bool, shape (bars, lines, lines)
        Lines that double the line or are of its family and in its rhythm; itself included.
    family : int64, shape (lines,)
        Equal for lines of one family.
    group : float64, shape (lines, bars, len(GROUP))
    orchestra : float64, shape (len(ORCHESTRA),)
    alike : uint64, shape (lines, bars, len(role_alike.ALIKE))
        Equal where cells are alike.
    """

    fellows: Bools
    family: Ints
    group: Floats
    orchestra: Floats
    alike: role_alike.Keys


def company(cells: Grid, measured: Measured, lines: Sequence[Line]) -> Company:
    """Find who goes with whom in every bar of a movement."""
    there = measured.there
    _, family = np.unique([line.family for line in lines], return_inverse=True)
    family = family.astype(np.int64)
    rhythm, _ = role_features.prints(cells)
    sound = there.T
    joined = (rhythm.T[:, :, None] == rhythm.T[:, None, :]) & sound[:, :, None] & sound[:, None, :]
    group = joined & (family[:, None] == family[None, :])
    fellows = group | measured.doubled
    columns = _group(cells, measured, joined, group, family)
    every = np.arange(len(lines))
    fellows[:, every, every] = True
    fellows &= sound[:, None, :]
    orchestra = _orchestra(there, lines)
    return Company(fellows, family, columns, orchestra, role_alike.keys(cells))


def _orchestra(there: Bools, lines: Sequence[Line]) -> Floats:
    """The values of `ORCHESTRA`; lines that rest throughout are not there."""
    heard: Bools = np.any(there, axis=1)
    playing = {line.instrument for line in lines if heard[line.index]}
    some = [float(name in playing) for name in ORCHESTRA[1:]]
    return np.array([np.log2(max(int(heard.sum()), 1)), *some])


def _group(cells: Grid, measured: Measured, joined: Bools, group: Bools, family: Ints) -> Floats:
    """The columns of `GROUP`."""
    there = measured.there
    sounding = np.maximum(there.sum(axis=0), 1)
    size = group.sum(axis=2).T.astype(np.float64)
    crowd = joined.sum(axis=2).T.astype(np.float64)
    pitch = np.where(there, np.nan_to_num(cells.pitch), -1.0)
    high = np.where(group, pitch.T[:, None, :], -np.inf)
    top = high.argmax(axis=2).T
    low = np.where(group, pitch.T[:, None, :], np.inf).min(axis=2).T
    height = measured.values[..., role_features.NAMES.index("height")]
    whole = there.shape
    with np.errstate(invalid="ignore"):
        spread = np.where(there, high.max(axis=2).T - low, 0.0)
    columns = {
        "size": size,
        "share": size / sounding,
        "rhythm-share": crowd / sounding,
        "unison": (measured.doubled & group).sum(axis=2).T / np.maximum(size - 1, 1),
        "top-height": height[top, np.arange(whole[1])[None, :]],
        "range": spread,
        "rhythms": np.broadcast_to(
            np.where(there, 1 / np.maximum(crowd, 1), 0.0).sum(axis=0), whole
        ),
        "biggest": np.broadcast_to(crowd.max(axis=0, initial=0.0) / sounding, whole),
        "families": np.broadcast_to(_families_heard(there, family), whole),
    }
    return np.stack([np.asarray(columns[name], np.float64) for name in GROUP], axis=-1)


def _families_heard(there: Bools, family: Ints) -> Ints:
    """How many families sound in each bar."""
    out: Ints = np.zeros(there.shape[1], dtype=np.int64)
    for k in np.unique(family).tolist():
        out += there[family == k].any(axis=0)
    return out


def views(first: Floats, measured: Measured, with_whom: Company) -> Floats:
    """The values of `NAMES` in the cells that sound.

    Parameters
    ----------
    first : float64, shape (lines, bars, 4)
        Log odds of `FIRST` by the first look.

    Returns
    -------
    float64, shape (cells that sound, len(NAMES))
        In the order of ``numpy.nonzero(measured.there)``.
    """
    there = measured.there
    own = np.where(there[..., None], first, 0.0)
    shared = among(own, measured.doubled, itself=True)
    most, family, family_most = _families(shared, there, with_whom.family)
    count = np.maximum(there.sum(axis=0), 1)[None, :, None]
    mean = np.where(there[..., None], shared, 0.0).sum(axis=0, keepdims=True) / count
    two = around(shared, there, 2)
    fellows = among(own, with_whom.fellows)
    shape = own.shape
    sides = {
        "itself": own,
        "doubling": shared,
        "doubling~1": around(shared, there, 1),
        "doubling~2": two,
        "doubling~6": around(shared, there, 6),
        "family": family,
        "family-most": family_most,
        "family~2": around(family, there, 2),
        "against-most": shared - most,
        "all": np.broadcast_to(mean, shape),
        "against-most~2": two - around(np.broadcast_to(np.maximum(most, _LEAST), shape), there, 2),
        "fellows": fellows,
    }
    out = np.empty((int(there.sum()), len(NAMES)))
    columns = iter(range(len(NAMES)))

    def put(values: Floats) -> None:
        for k in range(values.shape[-1]):
            out[:, next(columns)] = values[..., k]

    for view in VIEWS:
        put(sides[view][there])
    for a, b in SPANS:
        put(between(fellows, there, a, b)[there])
    put(role_alike.means(own, there, with_whom.alike))
    put(measured.values[there])
    put(with_whom.group[there])
    put(with_whom.orchestra)
    return out


def _families(values: Floats, there: Bools, family: Ints) -> tuple[Floats, Floats, Floats]:
    """The most of all lines, and mean and most of each line's family, bar by bar."""
    sounding = there[..., None]
    loud = np.where(sounding, values, _SILENT)
    mean, most = np.zeros(values.shape), np.full(values.shape, _SILENT)
    for k in np.unique(family).tolist():
        mine = family == k
        count = np.maximum(there[mine].sum(axis=0), 1)[:, None]
        mean[mine] = np.where(sounding[mine], values[mine], 0.0).sum(axis=0) / count
        most[mine] = loud[mine].max(axis=0)
    return loud.max(axis=0, keepdims=True, initial=_SILENT), mean, most


def among(values: Floats, pairs: Bools, itself: bool = False) -> Floats:
    """Mean of `values` (lines, bars, k) over the lines that `pairs` (bars, lines, lines) joins.

    With `itself`, the line's own value counts too where `pairs` leaves it out.
    """
    out = np.zeros(values.shape)
    for a in range(0, values.shape[1], _BLOCK):
        block = slice(a, a + _BLOCK)
        weight = pairs[block].astype(np.float64)
        total = np.matmul(weight, values[:, block].transpose(1, 0, 2)).transpose(1, 0, 2)
        many = weight.sum(axis=2).T[..., None]
        if itself:
            total, many = total + values[:, block], many + 1
        out[:, block] = total / np.maximum(many, 1.0)
    return out


def around(values: Floats, there: Bools, reach: int) -> Floats:
    """Mean of `values` (lines, bars, k) over the sounding bars within `reach`, itself included."""
    return between(values, there, -reach, reach)


def between(values: Floats, there: Bools, first: int, last: int) -> Floats:
    """Mean of `values` over the sounding bars from `first` to `last` of each bar; 0 for none."""
    lines, bars, depth = values.shape
    sounding = there[..., None]
    total = np.zeros((lines, bars + 1, depth))
    np.cumsum(np.where(sounding, values, 0.0), axis=1, out=total[:, 1:])
    weight = np.zeros((lines, bars + 1, 1))
    np.cumsum(sounding, axis=1, out=weight[:, 1:])
    low = np.clip(np.arange(bars) + first, 0, bars)
    high = np.clip(np.arange(bars) + last + 1, low, bars)
    mean: Floats = (total[:, high] - total[:, low]) / np.maximum(
        weight[:, high] - weight[:, low], 1.0
    )
    return mean


def look(first: Floats, measured: Measured, with_whom: Company, nets: Sequence[Net]) -> Floats:
    """Log odds of the three classes by the second look, shape (lines, bars, 3)."""
    out = np.zeros((*measured.there.shape, len(CLASSES)))
    if measured.there.any():
        mixed = role_net.shares(nets, views(first, measured, with_whom))
        out[measured.there] = role_net.log_odds(mixed @ _HOLDS)
    return out
