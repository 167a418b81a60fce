"""Standard MIDI files, types 0 and 1, read by ourselves.

A MIDI file is a list of keys pressed: bars come from its metre, printed
values from a grid, names of notes from its key signature or, without one, from
the signature that needs the fewest accidentals. Transposing instruments,
players on a staff, articulation, dynamics, slurs and words are unknown; the
notices say so, and the tutor is asked about every part.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

from analysis.engine.formats.midi import events, grid, spelling, voices
from analysis.engine.formats.midi.names import program_name
from analysis.engine.formats.piece import Change, Clef, Frame, Head, Mark, Part, Piece
from analysis.engine.gate.limits import Limits
from analysis.engine.gate.notices import Notices

__all__ = ["read"]

_DRUMS = 9


def read(data: bytes, limits: Limits, notices: Notices) -> Piece:
    """A MIDI file as a piece.

    Raises
    ------
    Refused
        With one sentence that says what is wrong.
    """
    file = events.parse(data, limits, notices)
    if not file.notes:
        raise events.broken("holds no note", "no-music")
    notices.add("midi", "A MIDI file tells keys and times only: note names, note values, bars, "
                "and who plays at which pitch are guessed. Confirm every part; a MusicXML file "
                "of the same score is better.")  # fmt: skip
    if file.words:
        notices.add("midi-words", "Words in the MIDI file were left out.")
    clock = grid.grid_of(file)
    if clock.played:
        notices.add("played", "The file seems to be played and not exported from a score; its "
                    "rhythm was rounded to semiquavers and triplets.")  # fmt: skip
    bars = grid.bars_of(file, clock, limits)
    keys = _keys(file, clock, bars)
    piece = Piece(frames=[Frame(str(i + 1)) for i in range(len(bars))], keys_only=True)
    piece.frames[-1].right = "light-heavy"
    groups: dict[tuple[int, int], list[events.Struck]] = {}
    for note in file.notes:
        groups.setdefault((note.track, note.channel), []).append(note)
    if len(groups) > limits.parts:
        raise events.broken(f"has {len(groups)} parts; at most {limits.parts} are taken", "parts")
    shared = {t for t, _ in groups if sum(track == t for track, _ in groups) > 1}
    for (track, channel), struck in sorted(groups.items()):
        name = _name(file, track, channel, shared=track in shared)
        part = _part(struck, clock, bars, keys, drums=channel == _DRUMS, notices=notices)
        part.name = name or f"Part {len(piece.parts) + 1}"
        part.program = file.programs.get((track, channel))
        piece.parts.append(part)
    _tempi(file, clock, bars, piece)
    if 0 in file.names and not any(t == 0 for t, _ in groups):
        piece.title = file.names[0]
    return piece


def _name(file: events.File, track: int, channel: int, *, shared: bool) -> str:
    """Of the track; of the sound where one track holds several."""
    program = program_name(file.programs.get((track, channel)), drums=channel == _DRUMS)
    if shared:
        return program
    return file.names.get(track) or file.instruments.get(track) or program


def _keys(
    file: events.File, clock: grid.Grid, bars: list[grid.Bar]
) -> list[tuple[Fraction, int, bool, bool]]:
    """Key signatures in force: time, fifths, minor, whether the file gives it."""
    given = sorted({(clock.near(t), fifths, minor) for t, fifths, minor in file.keys})
    told = [(t, fifths, minor, True) for t, fifths, minor in given]
    if told and told[0][0] <= bars[0].start:
        return told
    pitched = [n.key for n in file.notes if n.channel != _DRUMS]
    return [(Fraction(0), spelling.likely_fifths(pitched), False, False), *told]


def _part(
    struck: list[events.Struck],
    clock: grid.Grid,
    bars: list[grid.Bar],
    keys: list[tuple[Fraction, int, bool, bool]],
    *,
    drums: bool,
    notices: Notices,
) -> Part:
    struck = sorted(struck, key=lambda n: (n.on, -n.key))
    onsets = [clock.near(n.on) for n in struck]
    starts = sorted(set(onsets))
    following = dict(pairwise(starts))
    notes: list[tuple[Fraction, Fraction, Head]] = []
    for note, on in zip(struck, onsets, strict=True):
        fifths, minor = next(((f, m) for t, f, m, _ in reversed(keys) if t <= on), keys[0][1:3])
        step, alter, octave = spelling.spelled(note.key, fifths, minor=minor)
        if octave < 0:
            notices.add("midi-low", "Keys below the lowest C that can be notated (often switches "
                        "of a sampler) were left out.")  # fmt: skip
            continue
        notes.append((on, clock.end(on, note.off, following.get(on)),
                      Head(step, 0 if drums else alter, octave)))  # fmt: skip
    part = Part("", drums=drums)
    part.bars = voices.fill(voices.chords(notes), bars, unpitched=drums)
    middle = sorted(n.key for n in struck)[len(struck) // 2]
    clef = Clef("percussion") if drums else Clef("G", 2) if middle >= 57 else Clef("F", 4)
    part.bars[0].changes.append(Change(clef=clef))
    for bar, made in zip(bars, part.bars, strict=True):
        if bar.meter is not None:
            made.changes.append(Change(time=(str(bar.meter[0]), bar.meter[1])))
    if not drums:
        spots = [b.start for b in bars]
        for time, fifths, minor, told in keys:
            if told:
                change = Change(fifths=fifths, mode="minor" if minor else "major")
                part.bars[grid.bar_at(spots, time)].changes.append(change)
    return part


def _tempi(file: events.File, clock: grid.Grid, bars: list[grid.Bar], piece: Piece) -> None:
    spots = [b.start for b in bars]
    for tick, tempo in file.tempi:
        at = clock.near(tick)
        index = grid.bar_at(spots, at)
        onset = min(at - spots[index], bars[index].length)
        mark = Mark(onset, "tempo", tempo=round(tempo, 2))
        piece.parts[0].bars[index].marks.append(mark)
