"""Which kind is asked first: the more particular turns of phrase before the general ones."""

from __future__ import annotations

from analysis.engine.prose.kinds import (
    course,
    crossing,
    doubling,
    extremes,
    handover,
    harmony,
    keys,
    marking,
    page,
    parallel,
    playing,
    reinforcement,
    role,
    shape,
)
from analysis.engine.prose.phrase import Reader

READERS: tuple[tuple[str, Reader], ...] = (
    ("layout", page.read_layout),
    ("open-tones", page.read_open_tones),
    ("comparison", page.read_comparison),
    ("course", course.read),
    ("build-up", shape.read_build_up),
    ("sequence", shape.read_sequence),
    ("imitation", shape.read_imitation),
    ("sides-with", shape.read_side),
    ("share", shape.read_share),
    ("key-route", keys.read_route),
    ("range", extremes.read),
    ("pedal", harmony.read_pedal),
    ("handover", handover.read),
    ("reinforcement", reinforcement.read),
    ("parallel", parallel.read),
    ("doubling", doubling.read),
    ("crossing", crossing.read),
    ("chord", harmony.read_chord),
    ("key", keys.read),
    ("texture", shape.read_texture),
    ("role", role.read),
    ("marking", marking.read),
    ("playing", playing.read),
)
