"""From the broad classes to the trade's words for a part's job.

The corpora know three classes. Which word a class gets in a cell is a rule of
rhythm and register, each one stated below; the rules are common practice,
without a printed source, and no corpus could calibrate them, so a word that
needs more than the class is held a little less sure (`SURE`).
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from analysis.engine.analyses import role_melody
from analysis.engine.analyses.role_cells import Bools, Floats, Ints
from analysis.engine.analyses.role_features import NAMES
from analysis.engine.analyses.role_model import CLASSES, Estimate

WORDS = (
    "melody", "countermelody", "answer", "bass line", "held harmony", "moving harmony",
    "pulse", "pedal", "punctuation", "figuration", "unclear",
)  # fmt: skip
_INDEX = {word: n for n, word in enumerate(WORDS)}
NONE = -1

#: Class of each word; figuration has none of its own (it keeps those of its cell).
CLASS_OF: Mapping[str, str] = MappingProxyType(
    {
        "melody": "melody",
        "countermelody": "melody",
        "answer": "melody",
        "pulse": "rhythm",
        "punctuation": "rhythm",
        "bass line": "harmony",
        "held harmony": "harmony",
        "moving harmony": "harmony",
        "pedal": "harmony",
    }
)

#: Probability of the word given its class; judgement, not measured.
SURE: Mapping[str, float] = MappingProxyType(
    {"melody": 1.0, "countermelody": 0.85, "answer": 0.85, "bass line": 1.0, "held harmony": 1.0,
     "moving harmony": 0.95, "pulse": 1.0, "pedal": 0.9, "punctuation": 0.9, "figuration": 0.85}
)  # fmt: skip

_LOW = 62.0  # a bass line lies, in the mean of the bar, below this sounding pitch (D4)
_NEAR_BASS = 1.0  # semitones above the lowest line that still count as the lowest
_HELD = np.log2(1.5 + 1 / 16)  # mean length of a held harmony's notes, at least 1.5 quarters
_FAST = np.log2(1 + 2.0)  # figuration: two attacks a quarter or more
_FIGURE_REPEATS = 0.2  # and hardly a repeated note
_FEW = np.log2(1 + 0.75)  # punctuation, single chords: fewer than three attacks in four quarters
_CLEARLY = 0.15  # by so much of probability another line has the melody: common practice, no source
_ANSWER_BARS = 2
_PEDAL_BARS = 2
_CHANGED = 0.85  # cosine of what sounds around a pedal from bar to bar; below: it changes


def words(found: Estimate) -> NDArray[np.int64]:
    """The word for each class named in each cell.

    Returns
    -------
    ndarray, shape (lines, bars, 3)
        Indices into `WORDS`, `NONE` where the class is not named.
    """
    lines, bars, _ = found.named.shape
    out = np.full((lines, bars, len(CLASSES)), NONE, dtype=np.int64)
    feature = {name: found.measured.values[..., k] for k, name in enumerate(NAMES)}
    figure = _figuration(feature)
    choices = (_melody(found, feature), _rhythm(feature, figure), _harmony(found, feature, figure))
    for k, chosen in enumerate(choices):
        out[..., k] = np.where(found.named[..., k], _steady(chosen, found.named[..., k]), NONE)
    both = (out[..., 1] == _INDEX["figuration"]) & (out[..., 2] == _INDEX["figuration"])
    out[both, 1] = NONE  # one word is said once
    return out


def _figuration(feature: Mapping[str, Floats]) -> Bools:
    """Fast, even, moving all the time."""
    fast = (feature["density"] >= _FAST) & (feature["repeated"] <= _FIGURE_REPEATS)
    moving: Bools = fast & (feature["pitches"] >= 3) & (feature["even"] >= 0.5)
    return moving


def _leaders(found: Estimate) -> tuple[Ints, Bools]:
    """The line that has the melody in each bar, and who leads or doubles it.

    The main line, unless another is clearly likelier to be a tune, and then until the main one is
    as clearly likelier again: a busy figure over a tune may catch the ear and still be no melody.
    """
    leading = role_melody.main_lines(found).copy()
    melody = found.probability[..., 0]
    other = -1
    for b in np.flatnonzero(leading >= 0).tolist():
        main = melody[leading[b], b]
        rests = other < 0 or not found.measured.there[other, b]
        if rests or melody[other, b] <= main - _CLEARLY:
            best = int(melody[:, b].argmax())
            other = best if melody[best, b] >= main + _CLEARLY else -1
        if other >= 0:
            leading[b] = other
    return leading, role_melody.together_with(found, leading)


def _melody(found: Estimate, feature: Mapping[str, Floats]) -> Ints:
    """With the leader: melody. Else a countermelody, or an answer in its gaps."""
    leading, together = _leaders(found)
    named = found.named[..., 0]
    quiet = np.zeros(len(leading), dtype=bool)  # the leader rests or holds
    for b, line in enumerate(leading.tolist()):
        quiet[b] = line < 0 or feature["density"][line, b] <= _FEW
    apart = named & ~together
    run = _run_lengths(apart)
    chosen = np.where(apart, _INDEX["countermelody"], _INDEX["melody"])
    short = apart & (run <= _ANSWER_BARS)
    chosen = np.where(short & quiet[None, :], _INDEX["answer"], chosen)
    # a short stretch beside a busy leader is neither: it shares the tune or fills in
    return np.where(short & ~quiet[None, :], _INDEX["melody"], chosen)


def _rhythm(feature: Mapping[str, Floats], figure: Bools) -> Ints:
    """Few and short: punctuation. Else a pulse."""
    few = (feature["density"] <= _FEW) & (feature["sounding"] <= 0.75)
    chosen = np.where(few, _INDEX["punctuation"], _INDEX["pulse"])
    return np.where(figure, _INDEX["figuration"], chosen)


def _harmony(found: Estimate, feature: Mapping[str, Floats], figure: Bools) -> Ints:
    """Pedal, then bass line, then held or moving."""
    pitch = found.cells.pitch
    lowest = (feature["above-bass"] <= _NEAR_BASS) & np.isfinite(pitch) & (feature["players"] > 1)
    bass = lowest & (np.nan_to_num(pitch, nan=999.0) < _LOW)
    for b in range(bass.shape[1]):  # who doubles the bass line is the bass line
        doubling = found.measured.doubled[b][:, bass[:, b]].any(axis=1)
        bass[:, b] |= doubling & (np.nan_to_num(pitch[:, b], nan=999.0) < _LOW)
    held = (feature["held"] >= _HELD) | (feature["density"] <= _FEW)
    chosen = np.where(held, _INDEX["held harmony"], _INDEX["moving harmony"])
    chosen = np.where(figure, _INDEX["figuration"], chosen)
    chosen = np.where(bass, _INDEX["bass line"], chosen)
    return np.where(_pedal(found), _INDEX["pedal"], chosen)


def _pedal(found: Estimate) -> Bools:
    """One pitch held or repeated over `_PEDAL_BARS` bars and more while the rest changes."""
    s = found.cells.strokes
    lines, bars = found.cells.shape
    pitch = found.cells.pitch
    one = np.isfinite(pitch) & (np.abs(pitch - np.round(pitch)) < 1e-9)
    high, low = np.full((lines, bars), -1), np.full((lines, bars), 999)
    np.maximum.at(high, (s.line, s.bar), s.top)
    np.minimum.at(low, (s.line, s.bar), s.top)
    struck = high >= 0
    one &= ~struck | ((high == low) & (high == np.nan_to_num(np.round(pitch), nan=-2)))
    changing = _changing(found)
    same = np.zeros((lines, bars), dtype=bool)
    same[:, 1:] = one[:, 1:] & one[:, :-1] & (pitch[:, 1:] == pitch[:, :-1])
    out = np.zeros((lines, bars), dtype=bool)
    for line in range(lines):
        b = 0
        while b < bars:
            end = b + 1
            while end < bars and same[line, end]:
                end += 1
            if end - b >= _PEDAL_BARS and one[line, b] and changing[b + 1 : end].any():
                out[line, b:end] = True
            b = end
    return out


def _changing(found: Estimate) -> Bools:
    """Whether the attacked pitch classes differ from those of the bar before, shape (bars,)."""
    bars = found.cells.shape[1]
    tokens, where = found.cells.tokens, found.cells.token_bar
    tuned = tokens >= 0
    heard = np.zeros((bars, 12))
    np.add.at(heard, (where[tuned], tokens[tuned] % 12), 1.0)
    heard /= np.maximum(np.linalg.norm(heard, axis=1, keepdims=True), 1e-9)
    out = np.zeros(bars, dtype=bool)
    out[1:] = (heard[1:] * heard[:-1]).sum(axis=1) < _CHANGED
    return out


def _run_lengths(flags: Bools) -> Ints:
    """Length of the run of true bars each bar belongs to, 0 where false."""
    out = np.zeros(flags.shape, dtype=np.int64)
    for line, row in enumerate(flags):
        edges = np.flatnonzero(np.diff(np.r_[False, row, False].astype(np.int8)))
        for a, b in zip(edges[::2], edges[1::2], strict=True):
            out[line, a:b] = b - a
    return out


def _steady(chosen: Ints, named: Bools) -> Ints:
    """Take out single-bar changes of word within an unbroken stretch."""
    out = chosen.copy()
    for b in range(1, out.shape[1] - 1):
        odd = (out[:, b - 1] == out[:, b + 1]) & (out[:, b] != out[:, b - 1])
        odd &= named[:, b - 1] & named[:, b] & named[:, b + 1]
        out[odd, b] = out[odd, b - 1]
    return out
