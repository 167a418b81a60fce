"""All kinds of statements. A new kind is a file here and a line below."""

from __future__ import annotations

from analysis.engine.claims import (
    build_up,
    chord,
    comparison,
    course,
    crossing,
    doubling,
    free,
    handover,
    imitation,
    key,
    key_route,
    layout,
    marking,
    open_tones,
    parallel,
    pedal,
    playing,
    reinforcement,
    role,
    sequence,
    share,
    sides_with,
    texture,
)
from analysis.engine.claims import range as extremes
from analysis.engine.claims.base import Kind

RULED: tuple[Kind, ...] = (
    playing.KIND,
    doubling.KIND,
    reinforcement.KIND,
    crossing.KIND,
    extremes.KIND,
    open_tones.KIND,
    key.KIND,
    layout.KIND,
    role.KIND,
    sequence.KIND,
    imitation.KIND,
    course.KIND,
    sides_with.KIND,
    build_up.KIND,
    handover.KIND,
    parallel.KIND,
    marking.KIND,
    pedal.KIND,
    chord.KIND,
    key_route.KIND,
    texture.KIND,
    share.KIND,
    comparison.KIND,
)

KINDS: dict[str, Kind] = {kind.name: kind for kind in (*RULED, free.KIND)}
