"""Short scores of real movements, read back by music21: what stands in them stands in the score.

Outside: music21's own reading of the MusicXML. Scores: OpenScore Orchestra (Gotham et al., CC0)
and the demo piece.
"""

from __future__ import annotations

from functools import cache

import pytest

from analysis.engine import gate
from analysis.engine.analyses import roles
from analysis.engine.analyses.layers import leading_lines
from analysis.engine.model import TICKS
from analysis.engine.reader import read
from analysis.engine.reduce import reduced
from analysis.engine.settings import Settings

from ...corpora import require_corpora
from ...demo.scores import path as demo
from .outside import by_id, parsed

#: works of different size, century, metre and layout
TEN = (
    "Bach_BWV.232_01", "Bach_BWV.1048_1", "Beach_Op.32_2", "Beethoven_Op.21_3",
    "Beethoven_Op.55_2", "Beethoven_Op.67_1", "Beethoven_Op.68_5", "Brahms_Op.68_4",
    "Brahms_Op.90_2", "Schubert_D.485_1",
)  # fmt: skip
#: share of a movement at which a passage begins
PLACES = (0.0, 0.4, 0.8)
BARS = 16


@cache
def score(id_):
    file = demo(int(id_)) if id_.isdigit() else require_corpora() / "scores" / f"{id_}.mxl"
    table = read(gate.admit(file.read_bytes(), file.name).canonical)
    return table, roles.find_roles(table, Settings())


@cache
def made(id_):
    """(reduction, its staves as music21 has them) of three passages of each movement."""
    table, findings = score(id_)
    found = []
    for movement in table.movements:
        count = movement.last_bar - movement.first_bar + 1
        for place in PLACES:
            first = movement.first_bar + int(place * count)
            short = reduced(table, first, min(first + BARS - 1, movement.last_bar), findings)
            found.append((short, parsed(short.xml) if short.xml else []))
    return found


ALL = [
    *(pytest.param(id_, marks=[pytest.mark.corpora, pytest.mark.slow]) for id_ in TEN),
    "1",
    "2",
]


@pytest.mark.parametrize("id_", ALL)
def test_every_note_stands_in_the_table_at_that_pitch_and_onset(id_):
    table, _ = score(id_)
    there = {(int(r["onset"]), int(r["pitch"])) for r in table.notes}
    seen = 0
    for short, staves in made(id_):
        for a in (a for staff in staves for a in staff.attacks):
            onset = table.bars[short.first + a.bar].start + round(a.at * TICKS)
            assert (onset, int(a.pitch)) in there, (short.first, a)
            seen += 1
    assert seen > 200


@pytest.mark.parametrize("id_", ALL)
def test_the_bars_of_every_staff_are_as_long_as_those_of_the_score(id_):
    """Voice 1 fills its bar to the end; no voice is longer."""
    table, _ = score(id_)
    for short, staves in made(id_):
        for staff in staves:
            assert len(staff.lengths) == short.last - short.first + 1
            for n, lengths in enumerate(staff.lengths):
                bar = table.bars[short.first + n]
                assert round(lengths[0] * TICKS) == bar.length, (bar.label, lengths)
                assert max(lengths) * TICKS <= bar.length


@pytest.mark.parametrize("id_", ALL)
def test_the_top_staff_is_the_leading_melody_note_for_note(id_):
    table, _ = score(id_)
    for short, staves in made(id_):
        if not staves:
            continue
        shown = {(short.first + a.bar, round(a.at * TICKS), int(a.pitch))
                 for a in staves[0].attacks}  # fmt: skip
        wanted = set()
        bars = table.bars[short.first : short.last + 1]
        for line, bar in zip(short.leads, bars, strict=True):
            tops = {}
            for r in table.by_line[line] if line >= 0 else []:
                if r["bar"] == bar.index and r["duration"] > 0:
                    at = int(r["onset"])
                    tops[at] = max(tops.get(at, 0), int(r["pitch"]))
            wanted |= {(bar.index, at - bar.start, pitch) for at, pitch in tops.items()}
        assert shown == wanted


@pytest.mark.parametrize("id_", ALL)
def test_the_leading_line_is_the_readings_main_line_or_has_the_melody(id_):
    table, findings = score(id_)
    for short, _ in made(id_):
        movement = table.movements[table.bars[short.first].movement]
        main = leading_lines(table, movement)
        for n, line in enumerate(short.leads):
            bar = short.first + n
            melody = {
                k for f in findings if f.first <= bar <= f.last and f.value["role"] == "melody"
                for k in f.lines
            }  # fmt: skip
            assert line == main[bar - movement.first_bar] or line in melody


@pytest.mark.parametrize("id_", ALL)
def test_every_note_knows_the_notes_it_was_made_from(id_):
    table, _ = score(id_)
    rows = {table.ids[int(r["src"])]: r for r in table.notes}
    for row, src in table.continuations.tolist():
        rows[table.ids[src]] = table.notes[row]
    for short, staves in made(id_):
        heads = by_id(short.xml) if staves else {}
        assert heads.keys() == short.sources.keys()
        for head, (bar, at) in heads.items():
            now = table.bars[short.first + bar].start + round(at * TICKS)
            sources = short.sources[head]
            assert len({int(rows[source]["src"]) for source in sources}) == 1
            row = rows[sources[0]]
            assert row["onset"] <= now < row["onset"] + row["duration"]
