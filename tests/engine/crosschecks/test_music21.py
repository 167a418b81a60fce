"""Intervals, keys, scales, chords and profile correlations beside music21's (10.5.1) own."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from music21 import chord as m21chord
from music21 import interval as m21interval
from music21 import key as m21key
from music21 import note as m21note
from music21 import pitch as m21pitch
from music21 import stream as m21stream
from music21.analysis import discrete

from analysis.engine import pitch
from analysis.engine.analyses import parallel
from analysis.engine.analyses.harmony import harmony
from analysis.engine.analyses.keys_profiles import correlations
from analysis.engine.settings import Settings
from tests.engine.properties import changes
from tests.engine.properties.tables import random_table
from tests.engine.tables import table

KEYS = [(fifths, mode) for fifths in range(-7, 8) for mode in ("major", "minor")]
PITCHES = st.tuples(st.sampled_from("CDEFGAB"), st.integers(-1, 1), st.integers(1, 7))


def theirs(letter: str, alter: int, octave: int) -> m21pitch.Pitch:
    return m21pitch.Pitch(f"{letter}{'#' * alter if alter > 0 else '-' * -alter}{octave}")


def ours(name: str) -> str:
    """A name of music21's as we write it."""
    return name.replace("-", "b")


# --- intervals -------------------------------------------------------------------------


@given(PITCHES, PITCHES)
@settings(deadline=None)
def test_intervals_of_any_two_pitches(low, high):
    between = m21interval.Interval(theirs(*low), theirs(*high))
    a, b = (pitch.parse_pitch(ours(theirs(*p).nameWithOctave)) for p in (low, high))
    steps = 7 * b.octave + b.step - 7 * a.octave - a.step
    assert b.midi - a.midi == between.semitones
    assert steps == between.generic.staffDistance
    if between.specifier.name in {"PERFECT", "MAJOR", "MINOR", "AUGMENTED", "DIMINISHED"}:
        number = abs(steps) + 1
        if number <= 14:  # they name both octaves at once, we say which octave it is
            said = pitch.interval_name(b.midi - a.midi, steps)
            name = between.niceName.lower()
            # no unison is diminished: without a direction both are augmented (common practice)
            name = name.replace("diminished unison", "augmented unison")
            assert said in {name, name.removeprefix("perfect ")}


@pytest.mark.parametrize("seed", range(3))
def test_heights_of_random_lines(seed):
    """What parallels are told by: generic distance and semitones at every common attack."""
    t = random_table(seed)
    steps = parallel.generic_steps(t)
    grid = parallel.attacks(t)
    rng = np.random.default_rng(seed)
    checked = 0
    for a, b in [rng.choice(len(t.lines), 2, replace=False) for _ in range(12)]:
        for at in np.flatnonzero(grid.attacked[a] & grid.attacked[b])[:6]:
            tops = [_top(t, line, grid.onset[at]) for line in (a, b)]
            between = m21interval.Interval(*tops)
            assert steps[b][at] - steps[a][at] == between.generic.staffDistance
            assert grid.top[b][at] - grid.top[a][at] == between.semitones
            checked += 1
    assert checked > 20


def _top(t, line, onset):
    rows = t.by_line[line]
    row = rows[rows["onset"] == onset][-1]
    return theirs("CDEFGAB"[row["step"]], int(row["alter"]), int(row["octave"]))


@pytest.mark.parametrize(("generic", "name"), [(3, "third"), (6, "sixth"), (10, "tenth")])
@pytest.mark.parametrize("mode", ["major", "minor"])
def test_parallels_are_music21s_generic_intervals(generic, name, mode):
    """A tune, and the line so many steps below it in the key, by music21's scale."""
    scale = m21key.Key("E-", mode) if mode == "major" else m21key.Key("c", mode)
    upper = [scale.pitchFromDegree(d) for d in (1, 2, 3, 5, 4, 3, 2, 1)]
    heights = [
        m21interval.GenericInterval(-generic).transposePitchKeyAware(p, scale) for p in upper
    ]
    lines = {
        "Vl I": _bars([ours(p.nameWithOctave) for p in upper]),
        "Vl II": _bars([ours(p.nameWithOctave) for p in heights]),
    }
    (found,) = parallel.find_parallels(table(lines), Settings())
    assert found.value["interval"] == name


def _bars(names):
    halves = (names[:4], names[4:])
    return " | ".join(" ".join(f"{n} q" for n in half) for half in halves)


# --- keys and scales ---------------------------------------------------------------------


@pytest.mark.parametrize(("fifths", "mode"), KEYS)
def test_names_and_scales_of_every_key(fifths, mode):
    key = m21key.KeySignature(fifths).asKey(mode)
    mine = pitch.parse_key(f"{ours(key.tonic.name)} {mode}")
    assert mine.fifths == key.sharps
    assert (mine.relative.name, mine.parallel.name) == (
        f"{ours(key.relative.tonic.name).lower()} {key.relative.mode}",
        f"{ours(key.parallel.tonic.name).lower()} {key.parallel.mode}",
    )
    for note in key.getPitches("C3", "B4"):
        assert pitch.from_midi(int(note.ps), mine.fifths).name == ours(note.nameWithOctave)


@pytest.mark.parametrize(("fifths", "mode"), KEYS)
@pytest.mark.parametrize("interval", ["M2", "-m3", "P4", "m6"])
def test_keys_move_as_music21_moves_them(fifths, mode, interval):
    key = m21key.KeySignature(fifths).asKey(mode)
    there = key.transpose(m21interval.Interval(interval))
    step = m21interval.Interval(interval)
    if abs(there.sharps) > 7:
        return  # not written: the changes of `properties` stay within seven signs
    tonic = pitch.Pitch("CDEFGAB".index(key.tonic.step), int(key.tonic.alter), 4)
    moved = pitch.transpose(tonic, step.semitones, step.generic.staffDistance)
    assert (moved.name[:-1], mode) == (ours(there.tonic.name), there.mode)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize(
    ("change", "interval"), [((2, 1, 2), "M2"), ((-3, -2, 3), "-m3"), ((5, 3, -1), "P4")]
)
def test_transposed_tables_are_what_music21_makes_of_the_notes(seed, change, interval):
    """The change that the property tests rest on, against music21's transposition."""
    t = random_table(seed)
    moved = changes.transposed(t, *change)
    step = m21interval.Interval(interval)
    pitched = np.flatnonzero(t.notes["pitch"] >= 0)
    for i in np.random.default_rng(seed).choice(pitched, 40, replace=False):
        old, new = t.notes[i], moved.notes[i]
        for prefix in ("", "w"):
            names = [prefix + n for n in ("step", "alter", "octave")]
            letter, alter, octave = (int(old[n]) for n in names)
            expected = step.transposePitch(
                theirs("CDEFGAB"[letter], alter, octave), maxAccidental=None
            )
            got = theirs("CDEFGAB"[new[names[0]]], int(new[names[1]]), int(new[names[2]]))
            assert got.nameWithOctave == expected.nameWithOctave


# --- chords ------------------------------------------------------------------------------

#: Forte's set class of each quality (music21: Chord.forteClassTn), blind to spelling and octave
CLASSES = {
    "3-11B": "major", "3-11A": "minor", "3-10": "diminished", "3-12": "augmented",
    "4-27B": "dominant seventh", "4-27A": "half-diminished seventh", "4-26": "minor seventh",
    "4-20": "major seventh", "4-28": "diminished seventh", "4-25": "French sixth",
}  # fmt: skip
#: other names of the same sounds, told by their spelling: a German sixth sounds as a dominant
#: seventh, and a dominant seventh with a lowered fifth as a French sixth
SAME_SOUND = {
    "German sixth": "dominant seventh",
    "dominant seventh with lowered fifth": "French sixth",
}


def _sets():
    for size in (2, 3):
        for above in combinations(range(1, 12), size):
            yield (0, *above)


@pytest.mark.parametrize("classes", list(_sets()), ids=str)
def test_every_set_of_three_or_four_over_a_bass(classes):
    """A sound of a known class has its name; no other sound has one without a foreign tone."""
    numbers = [36 + classes[0], *(48 + 12 * k + c for k, c in enumerate(classes[1:]))]
    names = ("Cb", "Vc", "Vla", "Vl")
    t = table({n: f"{pitch.from_midi(p).name} w" for n, p in zip(names, numbers, strict=False)})
    (found,) = harmony(t).chords
    known = CLASSES.get(m21chord.Chord(list(classes)).forteClassTn)
    whole = not found.foreign and not found.missing
    if known:
        assert SAME_SOUND.get(found.quality, found.quality) == known
        assert whole
        unordered = known in {"augmented", "diminished seventh", "French sixth"}
        if not unordered:  # equal steps: the spelling decides, which a pitch class has not
            root = _root(classes, known)
            assert found.root == root
            inversion = sorted((c - root) % 12 for c in classes).index(-root % 12)
            assert found.inversion == inversion
    else:
        assert not whole or found.quality == "Italian sixth"  # three of a dominant seventh's


def _root(classes, known):
    """The pitch class under which the set is that of the quality, by music21's normal order."""
    of = {"major": "C E G", "minor": "C E- G", "diminished": "C E- G-",
          "dominant seventh": "C E G B-", "half-diminished seventh": "C E- G- B-",
          "minor seventh": "C E- G B-", "major seventh": "C E G B"}  # fmt: skip
    model = {p.pitchClass for p in m21chord.Chord(of[known]).pitches}
    (root,) = (r for r in range(12) if {(c - r) % 12 for c in classes} == model)
    return root


# --- profiles ------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(4))
def test_krumhansls_key_of_windows(seed):
    """Duration-weighted pitch classes of four bars: the same key and coefficient as music21's."""
    t = random_table(seed)
    for first in range(0, 24, 8):
        rows = t.notes[(t.notes["bar"] >= first) & (t.notes["bar"] < first + 4)]
        rows = rows[rows["duration"] > 0]
        weights = np.bincount(rows["pitch"] % 12, rows["duration"], 12)
        mine = correlations(weights)
        s = m21stream.Stream()
        for row in rows:
            one = m21note.Note(int(row["pitch"]))
            one.quarterLength = int(row["duration"]) / 10080
            s.insert(int(row["onset"]) / 10080, one)
        best = discrete.KrumhanslKessler().getSolution(s)
        index = best.tonic.pitchClass + (12 if best.mode == "minor" else 0)
        assert int(mine.argmax()) == index
        assert mine[index] == pytest.approx(best.correlationCoefficient, abs=1e-3)
