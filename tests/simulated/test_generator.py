"""The class's own rules on tables of a few bars made by hand: what is so, and its flag."""

from __future__ import annotations

import random
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from tests.simulated import pieces
from tests.simulated.drawing import draw
from tests.simulated.expecting import expected
from tests.simulated.judging import Asked, Verdicts, flag_of, place_of, together
from tests.simulated.kinds import KINDS
from tests.simulated.kinds.layout import word
from tests.simulated.kinds.open_tones import state
from tests.simulated.kinds.playing import family, silences
from tests.simulated.music import TICKS, Music, music_of
from tests.simulated.page import Page, PagePart, Sign, read_page

#: semitones above C5, eight quavers a bar: a tune that moves by steps and skips
TUNE = [72, 74, 76, 77, 79, 77, 76, 74]


def quavers(
    part: int, bar: int, pitches: Sequence[int | None]
) -> list[tuple[int, float, float, int]]:
    return [(part, 4 * bar + k / 2, 0.5, p) for k, p in enumerate(pitches) if p is not None]


def music(
    bars: Sequence[Sequence[Sequence[int | None]]],
    shifts: Sequence[int] = (),
    labels: Sequence[str] = (),
    signs: Sequence[Sign] = (),
) -> Music:
    """`bars[part][bar]` = pitches in quavers."""
    parts = tuple(
        PagePart(f"P{p + 1}", labels[p] if labels else f"Part {p + 1}",
                 [shifts[p] if shifts else 0], ["G2"], list(signs) if p == 0 else [])
        for p in range(len(bars))
    )  # fmt: skip
    count = len(bars[0])
    page = Page(parts, tuple(str(n + 1) for n in range(count)), False)
    rows = [
        r for p, own in enumerate(bars) for b, notes in enumerate(own) for r in quavers(p, b, notes)
    ]
    return music_of(
        "made", Path("made"), page, [(4.0 * b, 4.0) for b in range(count)], rows, [1.0] * count
    )


def up(notes: Sequence[int | None], by: int) -> list[int | None]:
    return [None if n is None else n + by for n in notes]


SILENT: list[int | None] = [None] * 8
OTHER = [71, 70, 68, 71, 70, 68, 66, 70]  # meets the tune nowhere


def told(made: Music, kind: str, bars: tuple[int, int], parts: tuple[int, ...] = (), *,
         negated: bool = False, **fields: Any) -> tuple[str, set[str | None]] | None:  # fmt: skip
    """Flag and causes; bars from 1."""
    asked = Asked(kind, bars[0] - 1, bars[1] - 1, parts, fields, negated)
    found = expected(made, asked, KINDS[kind].rule)
    return found and (found.flag, set(found.causes))


# --- verdicts -------------------------------------------------------------------------------


def test_verdicts_become_flags() -> None:
    assert flag_of(Verdicts()) == "agrees"
    assert flag_of(Verdicts(place="near", degree="near")) == "partly"
    assert flag_of(Verdicts("near", "near", "near")) == "ear"
    assert flag_of(Verdicts(place="near", relation="wrong")) == "conflicts"
    assert flag_of(Verdicts(relation="open", place="wrong")) == "ear"


def test_half_of_the_bars_is_near() -> None:
    assert [place_of({1, 2}, range(1, n)) for n in (3, 4, 5, 6)] == [
        "right", "near", "near", "wrong",
    ]  # fmt: skip


def test_one_wrong_part_of_three_is_near() -> None:
    good, bad = Verdicts(), Verdicts(relation="wrong")
    assert together([good, good, bad]) == Verdicts(parts="near")
    assert together([good, bad]).parts == "wrong"
    assert together([bad, bad]).any_wrong


# --- kinds ----------------------------------------------------------------------------------


def pair() -> Music:
    """Violin and flute an octave above in bars 2 to 4; then something else."""
    flute = [SILENT, up(TUNE, 12), up(TUNE, 14), up(TUNE, 12), OTHER, OTHER, SILENT, SILENT]
    violin = [OTHER, TUNE, up(TUNE, 2), TUNE, TUNE, TUNE, TUNE, TUNE]
    return music([flute, violin])


@pytest.mark.parametrize(
    ("bars", "octaves", "flag", "causes"),
    [
        ((2, 4), 1, "agrees", {None}),
        ((2, 3), None, "agrees", {None}),
        ((2, 4), 0, "partly", {"octave-count"}),
        ((2, 4), -1, "partly", {"octave-count"}),
        ((1, 4), 1, "partly", {None}),
        ((3, 5), 1, "partly", {"bar-offset"}),
        ((1, 3), 0, "partly", {"bar-offset", "octave-count"}),
        ((6, 8), 1, "conflicts", {None}),
    ],
)
def test_doubling(bars: tuple[int, int], octaves: int | None, flag: str, causes: set[Any]) -> None:
    found = told(pair(), "doubling", bars, (0,), **{"with": (1,)}, octaves=octaves)
    assert found is not None
    assert (found[0], found[1] & causes) == (flag, causes)


def test_denied_doubling_knows_no_pitch_readings() -> None:
    fields: dict[str, Any] = {"with": (1,), "octaves": 0, "negated": True}
    assert told(pair(), "doubling", (2, 4), (0,), **fields) == ("agrees", {None})
    fields["octaves"] = 1
    assert told(pair(), "doubling", (2, 4), (0,), **fields) == ("conflicts", {None})
    assert told(pair(), "doubling", (4, 7), (0,), **fields) is None, "one bar of four: left open"


def test_a_run_may_end_within_a_bar() -> None:
    half = [*up(TUNE[:4], 12), *OTHER[:4]]
    made = music([[up(TUNE, 12), half, SILENT, SILENT], [TUNE, TUNE, TUNE, TUNE]])
    fields: dict[str, Any] = {"with": (1,), "octaves": 1}
    assert told(made, "doubling", (1, 2), (0,), **fields) == ("agrees", {None})


def test_one_flaw_in_a_long_run_is_no_end_of_it() -> None:
    flawed = [*up(TUNE[:4], 12), 70, *up(TUNE[5:], 12)]
    twice = [up(TUNE, 12)] * 2
    made = music([[*twice, flawed, *twice], [TUNE] * 5])
    fields: dict[str, Any] = {"with": (1,), "octaves": 1}
    assert told(made, "doubling", (1, 5), (0,), **fields) == ("agrees", {None})


def test_half_of_the_notes_is_a_doubling_in_part() -> None:
    share = [n if k in (0, 1, 4, 5) else n - 1 for k, n in enumerate(TUNE)]
    made = music([[share] * 4, [TUNE] * 4])
    fields: dict[str, Any] = {"with": (1,), "octaves": 0}
    found = told(made, "doubling", (1, 4), (0,), coverage="full", **fields)
    assert found is not None
    assert found[0] == "partly"
    assert "partial-as-full" in found[1]


def test_nobody_doubles_it() -> None:
    made = music([[*[up(TUNE, 12)] * 4, OTHER, OTHER], [TUNE] * 6])
    assert told(made, "doubling", (2, 3), (1,), coverage="none") == ("conflicts", {None})
    assert told(made, "doubling", (5, 6), (1,), coverage="none") == ("agrees", {None})
    assert told(made, "doubling", (4, 4), (1,), coverage="none") == ("partly", {"bar-offset"})
    denied = told(made, "doubling", (2, 3), (1,), coverage="none", negated=True)
    assert denied == ("agrees", {None})


def test_thirds_are_no_octaves() -> None:
    made = music([[up(TUNE, 4)] * 4, [TUNE] * 4])
    doubled = told(made, "doubling", (1, 3), (0,), **{"with": (1,)}, octaves=0)
    assert doubled == ("conflicts", {"third-as-octave"})
    fields: dict[str, Any] = {"with": (1,)}
    assert told(made, "parallel", (1, 3), (0,), interval="third", **fields) == ("agrees", {None})
    assert told(made, "parallel", (1, 3), (0,), interval="tenth", **fields) == (
        "partly", {"octave-count"},
    )  # fmt: skip
    denied = told(made, "parallel", (1, 3), (0,), interval="third", negated=True, **fields)
    assert denied == ("conflicts", {None})


def test_what_is_true_on_paper_only() -> None:
    """A clarinet a tone below what is written, over a line that is written alike."""
    made = music([[up(TUNE, -2)] * 3, [TUNE] * 3], shifts=[-2, 0])
    fields: dict[str, Any] = {"with": (1,), "octaves": 0}
    assert told(made, "doubling", (1, 2), (0,), **fields) == ("conflicts", {"untransposed"})


def test_a_bass_as_written() -> None:
    made = music([[up(TUNE, -12)] * 3, [TUNE] * 3], shifts=[-12, 0])
    fields: dict[str, Any] = {"with": (1,), "octaves": 0}
    assert told(made, "doubling", (1, 2), (0,), **fields) == ("partly", {"bass-written"})


def test_playing() -> None:
    made = pair()
    assert told(made, "playing", (2, 6), (0,), mode="play") == ("agrees", {None})
    assert told(made, "playing", (7, 8), (0,), mode="play") == ("conflicts", {None})
    assert told(made, "playing", (7, 7), (0,), mode="play") == ("partly", {"bar-offset"})
    assert told(made, "playing", (5, 8), (0,), mode="rest") == ("partly", {None})
    assert told(made, "playing", (7, 8), (0,), mode="rest", unique=True) is None, "bar 1 too"
    assert told(made, "playing", (7, 8), (1,), mode="only") == ("agrees", {None})
    assert told(made, "playing", (2, 3), (1,), mode="only") == ("conflicts", {None})
    assert told(made, "playing", (2, 3), (0,), mode="rest", negated=True) == ("agrees", {None})


def test_silence_to_the_beat() -> None:
    pause = [*TUNE[:4], None, None, *TUNE[6:]]
    made = music([[TUNE, pause, TUNE]])
    assert silences(made) == [(6 * TICKS, 7 * TICKS)]
    ticks = (6 * TICKS, 7 * TICKS)
    assert told(made, "playing", (2, 2), mode="silence", ticks=ticks) == ("agrees", {None})
    assert told(made, "playing", (2, 2), mode="silence") is None, "a part of the bar: left open"
    assert told(made, "playing", (3, 3), mode="silence", ticks=(8 * TICKS, 9 * TICKS)) == (
        "conflicts", {None},
    )  # fmt: skip


def test_crossing_of_one_note() -> None:
    lower = [60, 60, 60, 84, 60, 60, 60, 60]
    low = [60] * 8
    made = music([[TUNE] * 9, [low, low, lower, low, low, low, low, low, low]])
    pairs: dict[str, Any] = {"upper": (0,), "lower": (1,)}
    assert told(made, "crossing", (2, 4), **pairs) == ("agrees", {None})
    assert told(made, "crossing", (4, 4), **pairs) == ("partly", {"bar-offset"})
    assert told(made, "crossing", (6, 8), **pairs) == ("conflicts", {None})
    assert told(made, "crossing", (1, 9), **pairs) == ("partly", {None}), "more than eight bars"
    assert told(made, "crossing", (2, 4), negated=True, **pairs) is None, "no clear run"
    assert told(made, "crossing", (6, 8), negated=True, **pairs) == ("agrees", {None})


def test_range() -> None:
    made = music([[TUNE, up(TUNE, 2), TUNE, OTHER]], shifts=[-2])
    high: dict[str, Any] = {"extreme": "highest", "within": "movement"}
    assert told(made, "range", (2, 2), (0,), midi=81, **high) == ("agrees", {None})
    assert told(made, "range", (3, 3), (0,), midi=81, **high) == ("partly", {"bar-offset"})
    assert told(made, "range", (2, 2), (0,), midi=93, **high) == ("partly", {"octave-count"})
    assert told(made, "range", (2, 2), (0,), midi=83, **high) == ("conflicts", {"untransposed"})
    assert told(made, "range", (2, 2), (0,), midi=80, **high) == ("conflicts", {None})


def test_marking() -> None:
    loud = [Sign(0, 0, "dynamic", "p"), Sign(2, 2, "dynamic", "f")]
    made = music([[TUNE] * 5, [TUNE] * 5], signs=loud)
    assert told(made, "marking", (1, 3), (0,), mark="p") == ("agrees", {None})
    assert told(made, "marking", (3, 5), (0,), mark="f") == ("agrees", {None})
    assert told(made, "marking", (4, 5), (0,), mark="pp") == ("conflicts", {None})
    assert told(made, "marking", (4, 5), (0,), mark="p") == ("conflicts", {None})
    assert told(made, "marking", (2, 5), (0,), mark="p") == ("partly", {None})
    assert told(made, "marking", (1, 2), (0,), mark="f", negated=True) == ("agrees", {None})


def test_layout() -> None:
    labels = ["Bb Clarinet 1", "Violin 1"]
    made = music([[TUNE], [TUNE]], shifts=[-2, 0], labels=labels)
    assert told(made, "layout", (1, 1), (0,), transposition=-2) == ("agrees", {None})
    assert told(made, "layout", (1, 1), (0,), transposition=2) == ("conflicts", {"reversed"})
    assert told(made, "layout", (1, 1), (0,), transposition=-3) == ("conflicts", {None})
    assert told(made, "layout", (1, 1), (0,), instrument="Klarinette") == ("agrees", {None})
    assert told(made, "layout", (1, 1), absent=["tuba"]) == ("agrees", {None})
    assert told(made, "layout", (1, 1), absent=["clarinet"]) == ("conflicts", {None})
    assert told(made, "layout", (1, 1), (0,), clef="bass", negated=True) == ("agrees", {None})


def test_open_tones() -> None:
    """Horn in E flat, nine semitones down: written C E G sound E flat, G, B flat."""
    made = music([[TUNE], [TUNE]], shifts=[-9, -12], labels=["Eb Horn 1", "C Horn 2"])
    found = {m: state(made, 0, m) for m in (51, 55, 58, 52, 61, 74)}
    assert found == {51: "open", 55: "open", 58: "open", 52: "not", 61: "doubtful", 74: "open"}
    fields: dict[str, Any] = {"pitches": [], "tones": (51, 55)}
    assert told(made, "open-tones", (1, 1), (0,), **fields) == ("agrees", {None})
    assert told(made, "open-tones", (1, 1), (0,), pitches=[], tones=(52,)) == ("conflicts", {None})
    assert told(made, "open-tones", (1, 1), (0,), missing=[], tones=(52,)) == ("agrees", {None})
    assert told(made, "open-tones", (1, 1), (0,), pitches=[], tones=(61,)) is None, "the seventh"
    assert told(made, "open-tones", (1, 1), (0, 1), pitches=[], tones=(52,), pair=(0, 1)) == (
        "agrees", {None},
    )  # fmt: skip
    assert told(made, "open-tones", (1, 1), (0,), crook="C", **fields) == ("conflicts", {None})


# --- words of labels, the page, and drawing -------------------------------------------------


@pytest.mark.parametrize(
    ("label", "found"),
    [("A Bass Clarinet", "woodwind"), ("Bass", "voice"), ("Contrabass", "strings"),
     ("Alto Trombone", "brass"), ("English Horn", "woodwind"), ("B, D, E Timpani", "percussion"),
     ("Tromba 1", "brass"), ("Continuo", "continuo"), ("Contrabassoon", "woodwind")],
)  # fmt: skip
def test_families(label: str, found: str) -> None:
    assert family(label) == found


def test_words_of_labels() -> None:
    labels = ["Bb basso Horn 1", "C, G Timpani", "Violin 2", "A Bass Clarinet", "F Trumpet 2"]
    assert [word(text) for text in labels] == ["Horn", "Timpani", "Violin", "", "Trumpet"]


def test_the_page_of_the_demo_piece() -> None:
    page = read_page(pieces.DEMO / "movement-1.musicxml")
    labels = {p.label: p for p in page.parts}
    assert labels["Contrabbasso"].transposition == -12
    assert labels["Viola"].clefs[0] == "C3"
    assert any(s.sort == "dynamic" for s in labels["Viola"].signs)
    assert len(page.labels) == len(read_page(pieces.DEMO / "movement-1.musicxml").labels) > 40


def test_the_same_seed_draws_the_same_claims() -> None:
    made = music([pair_part for pair_part in _two_lines()], labels=["Flute 1", "Violin 1"])
    wanted = {"doubling": 12, "playing": 12, "crossing": 4}
    first, again, other = (draw(made, seed, wanted).cases for seed in (1, 1, 2))
    assert [c.claim for c in first] == [c.claim for c in again]
    assert [c.claim for c in first] != [c.claim for c in other]
    assert {c.kind for c in first} == set(wanted)
    assert {c.expected.flag for c in first} == {"agrees", "partly", "conflicts"}
    assert not any(k in c.claim for c in first for k in ("ticks", "midi", "tones", "place"))


def _two_lines() -> list[list[list[int | None]]]:
    dice = random.Random(3)
    tune: list[list[int | None]] = [[dice.randrange(67, 84) for _ in range(8)] for _ in range(24)]
    flute = [up(b, 12) if 4 <= n < 14 else SILENT if n > 20 else OTHER for n, b in enumerate(tune)]
    return [flute, tune]
