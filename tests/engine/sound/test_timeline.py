"""The timeline against the MIDI file of the same performance (mido as the second clock)."""

from __future__ import annotations

import io
import json

import mido
import pytest

from analysis.engine.sound import midi_file, perform, soundfont_path, timeline
from tests.engine.sound.scores import note, score, words
from tests.engine.sound.test_midi import REPEAT, TEMPO

TABLE = score(
    ("Oboe", "", [TEMPO + note("C", 5), note("D", 5) + REPEAT, words("x") + note("E", 5)]),
    ("Violoncello e Basso", "", [note("C", 3), note("C", 3), note("C", 3)]),
)


def test_bars_and_passes() -> None:
    played = timeline(perform(TABLE, order="played"), TABLE)
    assert [(b["index"], b["pass"]) for b in played["bars"]] == [
        (0, 1),
        (1, 1),
        (0, 2),
        (1, 2),
        (2, 1),
    ]
    starts = [b["start"] for b in played["bars"]]
    assert starts == pytest.approx([0, 2, 4, 6, 8])
    assert played["duration"] == pytest.approx(10)


def test_seconds_agree_with_the_midi_file() -> None:
    performance = perform(TABLE, order="played")
    found = timeline(performance, TABLE)
    file = mido.MidiFile(file=io.BytesIO(midi_file(performance, TABLE)))
    now, heard = 0.0, []
    for message in file:
        now += message.time
        if message.type == "note_on":
            heard.append(round(now, 2))
    ours = sorted(round(n[1], 2) for n in found["notes"])
    assert ours == pytest.approx(sorted(heard), abs=0.011)


def test_parts_know_their_channels() -> None:
    parts = timeline(perform(TABLE), TABLE)["parts"]
    assert [(p["id"], p["channels"]) for p in parts] == [("P1", [0]), ("P2", [1, 2])]


def test_notes_carry_the_ids_of_the_page_and_ties_go_on() -> None:
    start = note("C", 5).replace(
        "<duration>8</duration>", '<duration>8</duration><tie type="start"/>'
    )
    stop = note("C", 5).replace(
        "<duration>8</duration>", '<duration>8</duration><tie type="stop"/>'
    )
    table = score(("Oboe", "", [TEMPO + start, stop]))
    notes = timeline(perform(table), table)["notes"]
    assert [n[0] for n in notes] == ["n0-0-0", "n0-1-0"]
    assert notes[0][1] == 0
    assert notes[1][1] == pytest.approx(2.0)
    assert notes[0][2] == notes[1][2]


def test_it_is_json() -> None:
    found = timeline(perform(TABLE), TABLE)
    assert json.loads(json.dumps(found)) == found


def test_the_soundfont_is_in_its_wheel() -> None:
    path = soundfont_path()
    assert path is not None
    assert path.read_bytes()[:4] == b"RIFF"


def test_once_through_leaves_the_first_ending_out() -> None:
    """Bars 1-4, a first ending over 3, a second over 4: once through 1, 2, 4 (common practice)."""
    first, stop = '<ending number="1" type="start"/>', '<ending number="1" type="stop"/>'
    bars = [
        note("C", 5),
        note("D", 5),
        (
            f'<barline location="left">{first}</barline>{note("E", 5)}'
            f'<barline location="right">{stop}'
            '<repeat direction="backward"/></barline>'
        ),
        (
            '<barline location="left"><ending number="2" type="start"/></barline>'
            f'{note("F", 5)}<barline location="right"><ending number="2" type="stop"/></barline>'
        ),
    ]
    table = score(("Flauto", "", bars))
    orders = {
        order: [b.index for b in perform(table, order=order).bars]  # type: ignore[arg-type]
        for order in ("printed", "played", "once")
    }
    assert orders == {
        "printed": [0, 1, 2, 3],
        "played": [0, 1, 2, 0, 1, 3],
        "once": [0, 1, 3],
    }
    assert [s.pitch for s in perform(table, order="once").strokes] == [72, 74, 77]
