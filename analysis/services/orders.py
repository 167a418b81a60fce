"""The sound of a run in another order of its bars: with repeats, or once through."""

from __future__ import annotations

import json
from functools import lru_cache

from analysis import storage
from analysis.engine.sound import midi_file, perform
from analysis.engine.sound import timeline as timeline_of
from analysis.engine.sound.performance import Order
from analysis.models import Run

ORDERS: dict[str, Order] = {"printed": "printed", "played": "played", "once": "once"}


@lru_cache(maxsize=4)
def _made(run_pk: int, table: str, order: Order) -> tuple[bytes, bytes]:
    score = storage.table_of(Run.objects.get(pk=run_pk))
    performance = perform(score, order=order)
    times = json.dumps(timeline_of(performance, score), separators=(",", ":")).encode()
    return midi_file(performance, score), times


def sound_in(run: Run, order: Order) -> tuple[bytes, bytes]:
    """MIDI and timeline; the last few stay warm, for a page asks for both."""
    return _made(run.pk, run.table.name, order)
