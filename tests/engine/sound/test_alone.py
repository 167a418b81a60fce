"""Each part alone sounds, left out it is silent: over every score of the corpora.

The player leaves parts out by their channels (`timeline`), the excerpt by their ids. Both are held
against the note table; the MIDI file is read by another library (mido).
"""

from __future__ import annotations

from collections import Counter, defaultdict
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest
from lxml import etree

from analysis.engine.model import NoteFlag, ScoreTable
from analysis.engine.reader import read
from analysis.engine.sound import midi_file, perform, timeline
from analysis.engine.sound.render import mix
from tests.corpora import require_corpora, score_files
from tests.engine.instruments.seen import root_of
from tests.engine.sound.test_midi import hear
from tests.engine.sound.test_render import bank

pytestmark = [pytest.mark.slow, pytest.mark.corpora]
SCORES = score_files()
ALL = pytest.mark.parametrize("path", SCORES or [None], ids=lambda p: p.stem if p else "none")
SOME = pytest.mark.parametrize("path", SCORES[::6] or [None], ids=lambda p: p.stem if p else "none")
BARS = 2  # of an excerpt that is mixed


@lru_cache(maxsize=1)
def table_of(path: Path) -> ScoreTable:
    return read(etree.tostring(root_of(path)))


def sounding(table: ScoreTable) -> Counter[str]:
    """Notes of each part that are to be heard, by the table alone."""
    rows = table.notes[(table.notes["flags"] & NoteFlag.CUE) == 0]
    by_part = Counter(rows["part"].tolist())
    return Counter({table.first_readings[part].id: n for part, n in by_part.items()})


@ALL
def test_the_channels_of_a_part_have_all_its_notes_and_nobody_else_s(path: Path | None) -> None:
    require_corpora()
    assert path is not None
    table = table_of(path)
    performance = perform(table)
    parts = timeline(performance, table)["parts"]
    channels = [channel for part in parts for channel in part["channels"]]
    assert len(channels) == len(set(channels)), "no two parts on one channel"

    heard: dict[int, list[int]] = defaultdict(list)
    for note in hear(midi_file(performance, table)):
        if (note.pitch, note.velocity) != (0, 1):  # marks a port, cannot be heard
            heard[note.channel].append(note.velocity)
    assert set(heard) <= set(channels), "nothing sounds that cannot be left out"
    wanted = sounding(table)
    for part in parts:
        own = [v for channel in part["channels"] for v in heard[channel]]
        assert bool(own) == bool(wanted[part["id"]]), part["label"]
        assert all(own), "none of them so soft that it is none"


@SOME
def test_mixed_alone_it_sounds_and_left_out_it_is_silent(path: Path | None) -> None:
    """The first bars in which each part plays."""
    require_corpora()
    assert path is not None
    table = table_of(path)
    ids = [reading.id for reading in table.first_readings]
    looked = 0
    for reading in table.first_readings:
        own = table.notes[table.notes["part"] == reading.index]
        own = own[((own["flags"] & NoteFlag.CUE) == 0) & (own["pitch"] >= 0)]
        if not len(own):
            continue
        first = int(own["bar"].min())
        performance = perform(table, within=(first, first + BARS - 1))
        others = {name for name in ids if name != reading.id}
        alone = mix(performance, table, bank(), silent=others)
        assert float(np.abs(alone).max()) > 1e-4, reading.label
        assert not mix(performance, table, bank(), silent={*others, reading.id}).any()
        everybody = mix(performance, table, bank())
        without = mix(performance, table, bank(), silent={reading.id})
        assert np.allclose(everybody - without, alone, atol=1e-4), reading.label
        looked += 1
    assert looked
