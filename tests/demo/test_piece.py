"""The demo piece is playable and well made, by its own files.

Read by lxml alone. Sources stand beside the checks; what no source says is marked.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest

from demo.piece import compose
from tests.demo.scores import Movement, Note, Part, movement, path
from tests.demo.voices import faults
from tests.published import table

MOVEMENTS = (1, 2, 3)
#: The rows of the published table for the labels of the piece.
ROWS = {
    "Flauto": "Flute",
    "Oboe": "Oboe",
    "Clarinetto 1 in La": "Clarinet in A",
    "Clarinetto 2 in La": "Clarinet in A",
    "Clarinetto 1 in Do": "Clarinet in C",
    "Clarinetto 2 in Do": "Clarinet in C",
    "Fagotto": "Bassoon",
    "Violino": "Violin",
    "Viola": "Viola",
    "Violoncello": "Violoncello",
    "Contrabbasso": "Double bass",
    "Timpani": "Timpani",
}
#: label -> (instrument and crook of the published table, usual partials: trade custom, from
#: memory after Prout and Forsyth: horns 2-12, classical trumpets 3-12)
CROOKS = {
    1: {"Corno 1 in Re": ("horn", "D"), "Corno 2 in Re": ("horn", "D"),
        "Trombe 1, 2 in Re": ("trumpet", "D")},
    2: {"Corno 1 in Mi": ("horn", "E"), "Corno 2 in Sol": ("horn", "G"),
        "Trombe 1, 2 in Mi": ("trumpet", "E")},
    3: {"Corno 1 in Re": ("horn", "D"), "Corno 2 in Sol": ("horn", "G"),
        "Trombe 1, 2 in Re": ("trumpet", "D")},
}  # fmt: skip
USUAL = {"horn": range(2, 13), "trumpet": range(3, 13)}
DOUBTFUL = {7, 11, 13, 14}
#: Notes of natural brass that are no open tones, planted: (movement, label, bar, MIDI).
STOPPED: set[tuple[int, str, str, int]] = set()
#: What the drums are tuned to, and in which key, from a bar on (Grove: tonic, and dominant a
#: fourth below, or the other way round); III is tuned anew twice.
DRUMS = {
    1: [("0", "D", {50: "D3", 45: "A2"})],
    2: [("1", "E", {52: "E3", 47: "B2"})],
    3: [("1", "D", {50: "D3", 45: "A2"}), ("25", "G", {43: "G2", 50: "D3"}),
        ("53", "D", {50: "D3", 45: "A2"})],
}  # fmt: skip
#: Parallels that are meant: (movement, bar, lines). None.
MEANT: set[tuple[int, str, tuple[str, str]]] = set()
#: Where a perfect cadence is planned: movement, bar, beat of its last chord (in quarters
#: from 1), tonic pitch class, minor.
CADENCES = [
    (1, "8", 1, 2, False), (1, "16a", 1, 9, False), (1, "24", 3, 7, False),
    (1, "33", 1, 2, False), (1, "40", 1, 2, False), (1, "44", 1, 2, False), (1, "49", 1, 2, False),
    (1, "55", 1, 2, False),
    (2, "8", 1, 4, True), (2, "16", 1, 7, False), (2, "24", 1, 7, False), (2, "32", 1, 11, True),
    (2, "51", 1, 4, True),
    (3, "8", 1, 2, False), (3, "24", 1, 2, False), (3, "36", 1, 7, False), (3, "52", 1, 11, True),
    (3, "82", 1, 2, False),
]  # fmt: skip
#: Half cadences: the dominant (pitch class of its root) is where the phrase rests.
HALVES = [
    (1, "4", 9), (1, "20", 6), (1, "36", 9), (2, "4", 11), (2, "12", 11), (2, "39", 11),
    (3, "4", 9), (3, "40", 6), (3, "66", 9), (3, "78", 9),
]  # fmt: skip
MOST_IDLE = 0.6
LONGEST_REPEAT = 8


def everything() -> list[tuple[int, Part]]:
    return [(k, part) for k in MOVEMENTS for part in movement(k).parts.values()]


def ids(pair: object) -> str:
    return f"{pair[0]} {pair[1].label}" if isinstance(pair, tuple) else str(pair)


def named(number: int, part: Part, note: Note) -> str:
    return f"{number}: {part.label}, bar {movement(number).labels[note.bar]}, MIDI {note.sounding}"


def test_files_are_what_the_script_makes():
    for name, text in compose.files().items():
        assert (compose.HERE / name).read_bytes() == text.encode("utf-8"), name
    assert {path(k).name for k in MOVEMENTS} == set(compose.files())


def test_the_orchestra_and_the_length():
    assert sum(len(movement(k).labels) for k in MOVEMENTS) >= 190
    assert 60 <= len(movement(3).labels) <= 100
    for k in MOVEMENTS:
        assert len(movement(k).parts) == 17
    assert set(CROOKS[2]) < set(movement(2).parts)  # horns in E and in G at once


@pytest.mark.parametrize("pair", everything(), ids=ids)
def test_all_bars_are_full(pair):
    number, part = pair
    whole = movement(number)
    for bar, voices in part.filled.items():
        for length in voices.values():
            assert length == whole.lengths[bar], f"{part.label}, bar {whole.labels[bar]}"
    assert whole.labels[0] == ("0" if number == 1 else "1")


@pytest.mark.parametrize("pair", everything(), ids=ids)
def test_comfortable_ranges(pair):
    number, part = pair
    if part.label in CROOKS[number]:
        return  # their notes are counted one by one below
    name = next(v for k, v in ROWS.items() if part.label.startswith(k))
    row = next(r for r in table("published/ranges.csv") if r["instrument"].startswith(name))
    low, high = int(row["comf_low"]), int(row["comf_high"])
    for note in part.notes:
        assert low <= note.sounding <= high, named(number, part, note)


@pytest.mark.parametrize(
    ("number", "label"), [(k, label) for k in MOVEMENTS for label in CROOKS[k]]
)
def test_natural_brass_has_open_tones_only(number, label):
    instrument, crook = CROOKS[number][label]
    part = movement(number).parts[label]
    tones = {
        _midi(row["sounding"]): int(row["partial"])
        for row in table("published/open_tones.csv")
        if (row["instrument"], row["crook"]) == (instrument, crook)
    }
    good = {m for m, n in tones.items() if n in USUAL[instrument] and n not in DOUBTFUL}
    for note in part.notes:
        place = (number, label, movement(number).labels[note.bar], note.sounding)
        assert note.sounding in good or place in STOPPED, named(number, part, note)


def _midi(name: str) -> int:
    letter, accidental, octave = name[0], name[1:-1], int(name[-1])
    step = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}[letter]
    return 12 * (octave + 1) + step + {"": 0, "#": 1, "b": -1}[accidental]


@pytest.mark.parametrize("number", MOVEMENTS)
def test_timpani_have_two_notes_at_a_time(number):
    part = next(p for name, p in movement(number).parts.items() if name.startswith("Timpani"))
    begins = [movement(number).bar(label) for label, _, _ in DRUMS[number]]
    for k, (first, end) in enumerate(pairwise([*begins, len(movement(number).labels)])):
        _, tonic, tuned = DRUMS[number][k]
        assert {n.sounding for n in part.notes if first <= n.bar < end} == set(tuned)
        row = next(r for r in table("published/timpani_tunings.csv") if r["tonic"] == tonic)
        assert {row["large"], row["small"]} == set(tuned.values())


@pytest.mark.parametrize("number", MOVEMENTS)
def test_no_parallel_fifths_or_octaves(number):
    found = {f for f in faults(movement(number)) if (number, f.bar, f.lines) not in MEANT}
    assert not found, "\n".join(sorted(map(str, found)))


def test_the_follower_of_voices_sees_parallels():
    """The check above can fail: three hand-made cases."""
    for upper, expected in (
        ([79, 81], ["fifths"]),
        ([84, 86], ["octaves"]),
        ([84, 83], []),
    ):
        made = _two_lines(upper, [60, 62])
        assert [f.what for f in faults(made)] == expected
    assert not faults(_two_lines([84, 86, 88, 89], [60, 62, 64, 65]))  # a doubling


def _two_lines(upper: list[int], lower: list[int]) -> Movement:
    parts = {}
    for label, pitches in (("Violino I", upper), ("Viola", lower)):
        notes = [Note(0, Fraction(i), Fraction(1), p, p) for i, p in enumerate(pitches)]
        parts[label] = Part(label, label, notes)
    return Movement(["1"], [Fraction(0)], [Fraction(4)], parts)


# --- cadences (common practice, no source) -------------------------------------------


def classes(number: int, time: Fraction) -> set[int]:
    """Pitch classes that sound at a moment, drums left out."""
    return {
        n.sounding % 12
        for label, part in movement(number).parts.items()
        if not label.startswith("Timpani")
        for n in part.chord_at(time)
    }


def bass(number: int, time: Fraction) -> int:
    """Pitch class of the lowest tuned note at a moment."""
    notes = [
        n.sounding
        for label, part in movement(number).parts.items()
        if not label.startswith("Timpani")
        for n in part.chord_at(time)
    ]
    return min(notes) % 12


@pytest.mark.parametrize("planned", CADENCES, ids=lambda c: f"{c[0]}-{c[1]}")
def test_cadences_in_the_planned_keys(planned):
    number, label, beat, tonic, minor = planned
    whole = movement(number)
    arrival = whole.starts[whole.bar(label)] + beat - 1
    triad = {tonic, (tonic + (3 if minor else 4)) % 12, (tonic + 7) % 12}
    assert classes(number, arrival) <= triad
    third = (tonic + (3 if minor else 4)) % 12
    assert third in classes(number, arrival) or classes(number, arrival) == {tonic}  # all one line
    assert bass(number, arrival) == tonic
    # what comes before: the dominant in the bass, and the leading note in its chord
    before = _lowest_before(number, arrival)
    assert before.sounding % 12 == (tonic + 7) % 12
    heard = {
        n.sounding % 12
        for part in whole.parts.values()
        for n in part.notes
        if n.at < arrival and n.at + n.length > before.at
    }
    assert (tonic + 11) % 12 in heard


def _lowest_before(number: int, arrival: Fraction) -> Note:
    """The lowest note of the last half bar before the arrival."""
    since = arrival - {1: Fraction(2), 2: Fraction(3, 2), 3: Fraction(1)}[number]
    return min(
        (
            n
            for name, part in movement(number).parts.items()
            if not name.startswith("Timpani")
            for n in part.notes
            if n.at < arrival and n.at + n.length > since
        ),
        key=lambda n: n.sounding,
    )


@pytest.mark.parametrize("planned", HALVES, ids=lambda c: f"{c[0]}-{c[1]}")
def test_half_cadences(planned):
    number, label, root = planned
    start = movement(number).starts[movement(number).bar(label)]
    assert bass(number, start) == root
    assert {root, (root + 4) % 12} <= classes(number, start)
    assert classes(number, start) <= {root, (root + 4) % 12, (root + 7) % 12, (root + 10) % 12}


# --- nobody sits idle, nothing is copied out ---------------------------------------------


@pytest.mark.parametrize("pair", everything(), ids=ids)
def test_nobody_is_idle(pair):
    number, part = pair
    if part.label.startswith(("Tromb", "Timpani")):
        return
    whole = movement(number)
    silent = [
        i
        for i, (start, length) in enumerate(zip(whole.starts, whole.lengths, strict=True))
        if not any(n.at < start + length and n.at + n.length > start for n in part.notes)
    ]
    assert len(silent) / len(whole.labels) <= MOST_IDLE


@pytest.mark.parametrize("number", MOVEMENTS)
def test_no_long_block_comes_twice(number):
    whole = movement(number)
    bars = list(zip(*(p.bars for p in whole.parts.values()), strict=True))
    assert _longest_repeat(bars) <= LONGEST_REPEAT
    for part in whole.parts.values():  # nor in one part, its rests left out
        assert _longest_repeat(part.bars, skip=lambda b: b"None" in b) <= LONGEST_REPEAT


def _longest_repeat(bars, skip=lambda bar: False) -> int:
    """Length of the longest stretch of bars that comes a second time, note for note."""
    longest = 0
    before = [0] * (len(bars) + 1)
    for i in range(1, len(bars) + 1):
        now = [0] * (len(bars) + 1)
        for j in range(1, i):
            if bars[i - 1] == bars[j - 1] and not skip(bars[i - 1]):
                now[j] = min(before[j - 1] + 1, i - j)  # stretches do not overlap
                longest = max(longest, now[j])
        before = now
    return longest
