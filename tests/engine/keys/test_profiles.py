"""Key profiles against the published rows and what others computed from them."""

import numpy as np
import pytest
from music21 import corpus
from music21.analysis import discrete

from analysis.engine.analyses.keys_profiles import PROFILES, correlations, rotations
from analysis.engine.errors import EngineError

A_MINOR, G_MAJOR, C_MINOR = 12 + 9, 7, 12

# music21 10.5.1 carries the same published tables: an independent copy of each row.
ORACLE = {
    "krumhansl-kessler": discrete.KrumhanslKessler,
    "temperley-kostka-payne": discrete.TemperleyKostkaPayne,
    "bellmann-budge": discrete.BellmanBudge,
}


@pytest.mark.parametrize("name", ORACLE)
@pytest.mark.parametrize("mode", ["major", "minor"])
def test_rows_equal_an_independent_copy(name, mode):
    theirs = ORACLE[name]().getWeights(mode)
    assert PROFILES[name][mode == "minor"] == pytest.approx(theirs, abs=1e-9)


@pytest.mark.parametrize(
    ("name", "mode", "total"),
    [
        ("krumhansl-kessler", 0, 41.79),
        ("krumhansl-kessler", 1, 44.51),
        ("albrecht-shanahan", 0, 1.000),
        ("albrecht-shanahan", 1, 0.998),
        ("bellmann-budge", 0, 100.00),
        ("bellmann-budge", 1, 100.00),
    ],
)
def test_sums_are_those_of_the_published_tables(name, mode, total):
    """Sums noted from the sources (trade facts, section 8)."""
    assert sum(PROFILES[name][mode]) == pytest.approx(total, abs=0.005)


def test_neighbours_of_c_major_as_published():
    """Krumhansl & Kessler: C-a .651, C-G .591, C-c .511 in print; two-decimal rows give +-.002."""
    r = correlations(rotations("krumhansl-kessler")[0], "krumhansl-kessler")
    assert r[A_MINOR] == pytest.approx(0.651, abs=0.002)
    assert r[G_MAJOR] == pytest.approx(0.591, abs=0.002)
    assert r[C_MINOR] == pytest.approx(0.511, abs=0.002)


@pytest.mark.parametrize("name", PROFILES)
def test_each_profile_is_most_like_itself(name):
    own = rotations(name)
    assert [int(correlations(row, name).argmax()) for row in own] == list(range(24))


def test_equal_weights_speak_for_no_key():
    assert not correlations(np.ones(12)).any()


def test_unknown_profile_and_wrong_shape_are_sentences():
    with pytest.raises(EngineError, match="no key profile"):
        rotations("nobody")
    with pytest.raises(EngineError, match="Twelve"):
        correlations([1, 2, 3])


@pytest.mark.parametrize("piece", ["bach/bwv66.6", "bach/bwv7.7", "haydn/opus74no1/movement3"])
def test_windows_of_real_pieces_have_the_keys_music21_finds(piece):
    """music21's Krumhansl analysis of the same four bars: same key, same correlation.

    Its rows are ours (above), its counting of durations and its correlation are its own.
    """
    score = corpus.parse(piece)
    last = len(score.parts[0].getElementsByClass("Measure"))
    windows = 0
    for first in range(1, min(last, 60) - 3, 4):
        window = score.measures(first, first + 3)
        theirs = discrete.KrumhanslKessler()
        key = theirs.getSolution(window)
        weights = np.zeros(12)
        for note in window.flatten().notes:
            for pitch in note.pitches:
                weights[pitch.pitchClass] += note.quarterLength
        ours = correlations(weights)
        place = key.tonic.pitchClass + (12 if key.mode == "minor" else 0)
        assert ours[place] == pytest.approx(ours.max(), abs=1e-9)
        assert ours[place] == pytest.approx(key.correlationCoefficient, abs=1e-6)
        windows += 1
    assert windows >= 2
