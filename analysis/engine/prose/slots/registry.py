"""The filler of each kind."""

from __future__ import annotations

from analysis.engine.prose.kinds import course
from analysis.engine.prose.phrase import Reader
from analysis.engine.prose.slots import pairs, single, whole

FILLERS: dict[str, Reader] = {
    "playing": single.fill_playing,
    "doubling": pairs.fill_doubling,
    "parallel": pairs.fill_parallel,
    "reinforcement": pairs.fill_reinforcement,
    "course": course.read,
    "sides-with": pairs.fill_side,
    "role": single.fill_role,
    "handover": pairs.fill_handover,
    "crossing": pairs.fill_crossing,
    "marking": single.fill_marking,
    "range": single.fill_range,
    "open-tones": whole.fill_open_tones,
    "chord": whole.fill_chord,
    "key": whole.fill_key,
    "key-route": whole.fill_route,
    "sequence": whole.fill_sequence,
    "imitation": whole.fill_imitation,
    "pedal": whole.fill_pedal,
    "build-up": whole.fill_build_up,
    "texture": whole.fill_texture,
    "share": single.fill_share,
    "comparison": whole.fill_comparison,
    "layout": whole.fill_layout,
}
