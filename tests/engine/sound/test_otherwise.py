"""The same bars without a part, or with it an octave away: that part changes, nothing else."""

from __future__ import annotations

from collections import Counter

import pytest

from analysis.engine.errors import EngineError
from analysis.engine.sound.otherwise import HOWS, How, otherwise
from analysis.engine.sound.performance import Performance, Stroke, perform
from tests.engine.written import Part, table

PAGE = table(
    Part("Flauto", "C5 q D5 E5 F5 | G5 w"),
    Part("Piatti", "x q x x x | r"),
    Part("Contrabbasso", "C3 w | r", clef="F4", transpose=(-12, -7)),
)
FLUTE, CYMBALS, BASS = 0, 1, 2


def of(performance: Performance, part: int) -> Counter[tuple[int, int, int]]:
    own = {n for n, voice in enumerate(performance.voices) if voice.part == part}
    return Counter((s.on, s.off, s.pitch) for s in performance.strokes if s.voice in own)


@pytest.mark.parametrize("how", HOWS)
def test_one_part_changes_and_all_others_stay(how: How) -> None:
    before = perform(PAGE, within=(0, 1))
    after = otherwise(before, FLUTE, how)
    by = {"without": None, "higher": 12, "lower": -12}[how]
    wanted = Counter() if by is None else Counter(
        {(on, off, pitch + by): n for (on, off, pitch), n in of(before, FLUTE).items()}
    )  # fmt: skip
    assert of(after, FLUTE) == wanted
    for part in (CYMBALS, BASS):
        assert of(after, part) == of(before, part) != Counter()
    assert (after.bars, after.tempo, after.voices) == (before.bars, before.tempo, before.voices)
    assert [s.on for s in after.strokes] == sorted(s.on for s in after.strokes)


def test_what_has_no_octave_or_does_not_play_is_said() -> None:
    whole, second = perform(PAGE, within=(0, 1)), perform(PAGE, within=(1, 1))
    assert of(otherwise(whole, CYMBALS, "without"), CYMBALS) == Counter()
    with pytest.raises(EngineError, match="no octave"):
        otherwise(whole, CYMBALS, "higher")
    with pytest.raises(EngineError, match="silent"):
        otherwise(second, BASS, "without")


def test_an_octave_out_of_the_range_of_pitches_is_left_out() -> None:
    high = table(Part("Ottavino", "C9 w | C5 w", transpose=(12, 7)))
    sounding: list[Stroke] = list(otherwise(perform(high), 0, "higher").strokes)
    assert [s.pitch for s in sounding] == [84 + 12]
