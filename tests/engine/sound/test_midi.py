"""The MIDI file, parsed back with mido, against the note table it was made from."""

from __future__ import annotations

import io
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import mido
import numpy as np
import pytest

from analysis.engine.errors import EngineError
from analysis.engine.model import TICKS, NoteFlag, ScoreTable
from analysis.engine.sound import midi_file, ornaments, perform
from tests.corpora import require_corpora, score_files
from tests.engine.instruments.seen import root_of
from tests.engine.sound.scores import OCTAVE_DOWN, dynamic, grace, note, score, words


@dataclass(frozen=True)
class Heard:
    """A note of the file: absolute ticks, channel over all ports, program in force."""

    channel: int
    on: int
    off: int
    pitch: int
    velocity: int
    program: int


def parse(data: bytes) -> mido.MidiFile:
    return mido.MidiFile(file=io.BytesIO(data))


def hear(data: bytes) -> list[Heard]:
    """Every note of a file, by track; a note left on or let go unplayed is an error."""
    out: list[Heard] = []
    for track in parse(data).tracks[1:]:
        out += _hear_track(track)
    return sorted(out, key=lambda h: (h.on, h.channel, h.pitch))


def _hear_track(track: mido.MidiTrack) -> Iterator[Heard]:
    now = port = program = 0
    open_notes: dict[int, tuple[int, int, int]] = {}
    for message in track:
        now += message.time
        if message.type == "midi_port":
            port = message.port
        elif message.type == "program_change":
            program = message.program
        elif message.type == "note_on" and message.velocity:
            assert message.note not in open_notes, "struck again before it was let go"
            open_notes[message.note] = (now, message.velocity, program)
        elif message.type in ("note_off", "note_on"):
            on, velocity, struck = open_notes.pop(message.note)
            yield Heard(16 * port + message.channel, on, now, message.note, velocity, struck)
    assert not open_notes, "a note is never let go"


def made(table: ScoreTable, **how: object) -> tuple[bytes, list[Heard]]:
    data = midi_file(perform(table, **how), table)  # type: ignore[arg-type]
    return data, hear(data)


SIGNS = int(ornaments.ANY | NoteFlag.TREMOLO_PAIR | NoteFlag.ARPEGGIO)
BARS = [note("C", 5), note("D", 5)]


def test_one_channel_a_part_never_ten_and_a_new_port_after_fifteen() -> None:
    table = score(*[(f"Flute {n}", "", BARS) for n in range(1, 33)])
    _, heard = made(table)
    channels = sorted({h.channel for h in heard})
    assert len(channels) == 32
    assert all(c % 16 != 9 for c in channels)
    assert channels[:16] == [0, 1, 2, 3, 4, 5, 6, 7, 8, 10, 11, 12, 13, 14, 15, 16]
    assert max(channels) // 16 == 2


def test_the_double_bass_sounds_an_octave_below_what_is_written() -> None:
    table = score(
        ("Violoncello", "", [note("C", 3)]), ("Contrabbasso", OCTAVE_DOWN, [note("C", 3)])
    )
    _, heard = made(table)
    assert [(h.channel, h.pitch) for h in heard] == [(0, 48), (1, 36)]


def test_cellos_and_basses_on_one_staff_are_two_channels() -> None:
    table = score(("Violoncello e Basso", "", [note("C", 3)]))
    performance = perform(table)
    _, heard = made(table)
    assert [(h.channel, h.pitch) for h in heard] == [(0, 48), (1, 36)]
    assert {v.part for v in performance.voices} == {0}


def test_pizzicato_and_arco_change_the_sound_of_their_own_notes_only() -> None:
    # General MIDI: 46 pizzicato strings, 49 string ensemble, 45 tremolo strings (1-based).
    tremolo = '<ornaments><tremolo type="single">3</tremolo></ornaments>'
    table = score(
        (
            "Violino I",
            "",
            [
                note("C", 5),
                words("pizz.") + note("D", 5),
                words("arco") + note("E", 5),
                note("F", 5, notations=tremolo),
            ],
        ),
        ("Flauto", "", [note("C", 6)] * 4),
    )
    _, heard = made(table)
    strings = [h.program + 1 for h in heard if h.channel == 0]
    assert strings == [49, 46, 49, 45]
    assert {h.program + 1 for h in heard if h.channel == 1} == {74}


def test_one_player_of_a_section_is_a_solo_sound_and_the_tutor_may_choose() -> None:
    table = score(("Violin solo", "", BARS), ("Violin 1", "", BARS))
    _, heard = made(table)
    assert {(h.channel, h.program + 1) for h in heard} == {(0, 41), (1, 49)}
    _, chosen = made(table, programs={"P2": 40})
    assert {(h.channel, h.program) for h in chosen} == {(0, 40), (1, 40)}


def test_timpani_are_a_pitched_program_and_drums_are_on_channel_ten() -> None:
    drum = "<note><unpitched/><duration>8</duration></note>"
    table = score(("Timpani", "", [note("C", 3)]), ("Triangle", "", [drum]), ("Piatti", "", [drum]))
    _, heard = made(table)
    assert [(h.channel, h.pitch) for h in heard] == [(0, 48), (9, 81), (25, 49)]
    assert heard[0].program + 1 == 48


def test_louder_marks_give_higher_velocities() -> None:
    marks = ["pp", "p", "mp", "mf", "f", "ff"]
    table = score(("Oboe", "", [dynamic(m) + note("C", 5) for m in marks]))
    _, heard = made(table)
    velocities = [h.velocity for h in heard]
    assert velocities == sorted(set(velocities))


def test_an_accent_and_a_sforzato_stand_out_of_their_level() -> None:
    accent = "<articulations><accent/></articulations>"
    table = score(
        (
            "Oboe",
            "",
            [
                dynamic("p") + note("C", 5),
                note("C", 5, notations=accent),
                dynamic("sf") + note("C", 5),
                note("C", 5),
            ],
        )
    )
    _, heard = made(table)
    plain, accented, sudden, after = (h.velocity for h in heard)
    assert plain < accented < sudden
    assert after == plain


def test_a_hairpin_grows_to_the_level_at_its_end() -> None:
    wedge = '<direction><direction-type><wedge type="{}"/></direction-type></direction>'
    bar = "".join(note("C", 5, 2) for _ in range(4))
    table = score(
        (
            "Oboe",
            "",
            [
                dynamic("p") + wedge.format("crescendo") + bar,
                wedge.format("stop") + dynamic("f") + note("C", 5),
            ],
        )
    )
    _, heard = made(table)
    velocities = [h.velocity for h in heard]
    assert velocities == sorted(velocities)
    assert velocities[0] < velocities[2] < velocities[4]


def test_staccato_is_short_and_a_slur_joins() -> None:
    staccato = "<articulations><staccato/></articulations>"
    table = score(
        (
            "Oboe",
            "",
            [
                note("C", 5),
                note("D", 5, notations=staccato),
                note("E", 5, notations='<slur type="start"/>'),
                note("F", 5, notations='<slur type="stop"/>'),
            ],
        )
    )
    _, heard = made(table)
    lengths = [(h.off - h.on) / (4 * TICKS) for h in heard]
    assert lengths[1] == pytest.approx(0.5)
    assert lengths[2] == pytest.approx(1.0)
    assert lengths[1] < lengths[0] < 1


def test_graces_are_short_and_in_order_before_their_note() -> None:
    table = score(("Oboe", "", [note("C", 5), grace("E", 5) + grace("D", 5) + note("C", 5)]))
    _, heard = made(table)
    first, e5, d5, main = heard
    assert (e5.pitch, d5.pitch, main.pitch) == (76, 74, 72)
    assert first.on < e5.on < d5.on < main.on == 4 * TICKS
    assert e5.off <= d5.on
    assert d5.off == main.on


def test_two_voices_in_unison_are_one_stroke_and_a_repeated_note_is_struck_again() -> None:
    # mido's pairing above would fail on a note struck twice without being let go.
    second = note("C", 5, 8).replace("<duration>", "<duration>") + "<backup><duration>8</duration>"
    bar = second + "</backup>" + note("C", 5, 4) + note("C", 5, 4)
    _, heard = made(score(("Oboi", "", [bar])))
    assert [(h.on // TICKS, h.pitch) for h in heard] == [(0, 72), (2, 72)]


def test_cue_notes_are_silent() -> None:
    table = score(("Oboe", "", [note("C", 5, extra="<cue/>"), note("D", 5)]))
    _, heard = made(table)
    assert [h.pitch for h in heard] == [74]


REPEAT = '<barline location="right"><repeat direction="backward"/></barline>'


def test_repeats_are_played_or_left_out() -> None:
    table = score(("Oboe", "", [note("C", 5), note("D", 5) + REPEAT, note("E", 5)]))
    _, printed = made(table)
    _, played = made(table, order="played")
    assert [h.pitch for h in printed] == [72, 74, 76]
    assert [h.pitch for h in played] == [72, 74, 72, 74, 76]


def test_a_tie_over_a_jump_stops_at_the_jump() -> None:
    tied = note("D", 5, extra="", notations='<tied type="start"/>').replace(
        "<duration>8</duration>", '<duration>8</duration><tie type="start"/>'
    )
    end = note("D", 5, notations='<tied type="stop"/>').replace(
        "<duration>8</duration>", '<duration>8</duration><tie type="stop"/>'
    )
    table = score(("Oboe", "", [note("C", 5), tied + REPEAT, end]))
    _, played = made(table, order="played")
    first = next(h for h in played if h.pitch == 74)
    assert first.off <= 8 * TICKS


TEMPO = (
    "<direction><direction-type><metronome><beat-unit>half</beat-unit>"
    "<per-minute>60</per-minute></metronome></direction-type></direction>"
)


def test_tempo_marks_make_the_seconds() -> None:
    table = score(("Oboe", "", [TEMPO + note("C", 5), note("D", 5)]))
    assert parse(made(table)[0]).length == pytest.approx(4.0, abs=0.2)  # 8 quarters at 120


def test_words_of_tempo_where_no_mark_stands() -> None:
    slow = score(("Oboe", "", [words("Adagio") + note("C", 5), note("D", 5)]))
    fast = score(("Oboe", "", [words("Presto") + note("C", 5), note("D", 5)]))
    none = score(("Oboe", "", BARS))
    lengths = [parse(made(t)[0]).length for t in (slow, none, fast)]
    assert lengths == sorted(lengths, reverse=True)
    assert len(set(lengths)) == 3


def test_an_unknown_order_is_named() -> None:
    with pytest.raises(EngineError, match="backwards"):
        perform(score(("Oboe", "", BARS)), order="backwards")  # type: ignore[arg-type]


def test_an_empty_part_still_has_its_channel_and_name() -> None:
    rest = "<note><rest/><duration>8</duration></note>"
    data, heard = made(score(("Oboe", "", [rest]), ("Corno in F", "", BARS[:1])))
    names = [m.name for t in parse(data).tracks for m in t if m.type == "track_name"]
    assert names[1:] == ["Oboe", "Corno in F"]
    assert {h.channel for h in heard} == {1}


# --- real scores -------------------------------------------------------------------------
SOME = [p for p in score_files() if p.stem in ("Beethoven_Op.67_1", "Bach_BWV.1048_1")]


@pytest.mark.corpora
@pytest.mark.parametrize("path", SOME or [None], ids=lambda p: p.stem if p else "none")
def test_every_note_of_the_table_is_in_the_file_once(path: Path | None) -> None:
    require_corpora()
    assert path is not None
    from lxml import etree

    from analysis.engine.reader import read

    table = read(etree.tostring(root_of(path)))
    performance = perform(table)
    channel_of = {v.part: v.number for v in performance.voices}
    rows = table.notes[(table.notes["flags"] & NoteFlag.CUE) == 0]
    rows = rows[(rows["pitch"] >= 0) & ((rows["flags"] & NoteFlag.GRACE) == 0)]
    signed = (rows["flags"] & SIGNS) != 0
    wanted, more = (
        {(channel_of[int(r["part"])], int(r["onset"]), int(r["pitch"])) for r in some}
        for some in (rows[~signed], rows[signed])
    )  # sets: unison of two players on one staff is one sound
    data, heard = made(table)
    graces = int(np.count_nonzero(table.notes["flags"] & NoteFlag.GRACE))
    got = Counter((h.channel, h.on, h.pitch) for h in heard)
    assert max(got.values()) == 1
    assert wanted <= set(got)
    once = sum(not stroke.again for stroke in performance.strokes)
    assert once <= len(wanted) + len(more) + graces
    ons = {(h.channel, h.pitch): [] for h in heard}  # type: dict[tuple[int, int], list[int]]
    for h in heard:
        ons[h.channel, h.pitch].append(h.on)
    for r in rows[signed]:  # trills, tremolos, broken chords: the printed pitch among its strokes
        own = ons.get((channel_of[int(r["part"])], int(r["pitch"])), [])
        begin, end = int(r["onset"]), int(r["onset"] + r["duration"])
        assert any(begin - int(r["duration"]) <= on < end for on in own)
    assert data == midi_file(perform(table), table)  # the same bytes every time
