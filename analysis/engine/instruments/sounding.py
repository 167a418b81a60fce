"""At what pitch a part sounds: label, file, key signature and range against each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from analysis.engine.instruments import crooks, timpani
from analysis.engine.instruments.crooks import SINGLE, Crook
from analysis.engine.instruments.evidence import (
    PartSeen,
    ScoreSeen,
    key_proof,
    key_shift,
    octave_proof,
)
from analysis.engine.instruments.names import LabelReading
from analysis.engine.instruments.table import INSTRUMENTS, Instrument
from analysis.engine.pitch import NoteName, interval_name, steps_of

CONCERT = (
    "No part of this file is transposed although its labels name transposing instruments: "
    "it seems to be written at sounding pitch."
)


@dataclass(frozen=True, slots=True)
class Sounding:
    """Semitones and steps from written to sounding, the crook, and a doubt in words or ""."""

    semitones: int
    steps: int
    crook: str | None = None
    doubt: str = ""


def distance(semitones: int) -> str:
    """ "a major sixth lower", "as written" """
    if semitones == 0:
        return "as written"
    name = interval_name(semitones, steps_of(semitones))
    article = "an" if name[0] in "aeiou" else "a"
    return f"{article} {name} {'lower' if semitones < 0 else 'higher'}"


def pitch_of_part(seen: PartSeen, score: ScoreSeen, reading: LabelReading) -> Sounding:
    """Decide the transposition of a part whose instrument is settled."""
    record = INSTRUMENTS[reading.instrument]
    if record.key == "timpani":
        return _timpani(seen, score, reading)
    if len(set(reading.crooks)) > 1:
        return _two_crooks(seen, record, reading)
    if record.crooks:
        return _crooked(seen, score, record, reading)
    doubt = _single_crook_doubt(record, reading)
    found = _fixed(seen, score, record, reading)
    if doubt:
        return Sounding(found.semitones, found.steps, found.crook, doubt)
    return found


def _a(record: Instrument, article: str = "A") -> str:
    """ "An oboe", "a horn"."""
    return f"{article}{'n' if record.name[0] in 'aeiou' else ''} {record.name}"


def _from_file(seen: PartSeen, crook: str | None = None, doubt: str = "") -> Sounding:
    semitones, steps = seen.transpose or (0, 0)
    return Sounding(semitones, steps, crook, doubt)


def _single_crook_doubt(record: Instrument, reading: LabelReading) -> str:
    if not reading.crooks:
        return ""
    built_in = SINGLE.get(record.key)
    wanted = reading.crooks[0]
    if built_in is None or wanted.name != built_in:
        return f"{_a(record)} in {wanted.name} is not known here."
    return ""


def _fixed(seen: PartSeen, score: ScoreSeen, record: Instrument, reading: LabelReading) -> Sounding:
    """An instrument of one transposition: as written, or always the same."""
    expected = record.transposition or 0
    steps = steps_of(expected)
    if seen.transpose is not None and seen.transpose != (0, 0):
        if seen.transpose[0] == expected:
            return Sounding(expected, seen.transpose[1])
        return _from_file(
            seen,
            doubt=f"The file lets this part sound {distance(seen.transpose[0])}; "
            f"{_a(record, 'a')} sounds {distance(expected)}.",
        )
    if expected == 0:
        return Sounding(0, 0)
    if seen.octave_clef:
        return Sounding(0, 0)
    if octave_proof(seen, reading):
        return Sounding(
            0,
            0,
            doubt=f"{_a(record)} sounds {distance(expected)}, but the notes here can only be "
            "sounding pitches; they are taken as they stand.",
        )
    if expected % 12 and _same_key(seen, score):
        return Sounding(0, 0, doubt=_unless_key_shows(seen))
    if score.concert_pitch and expected % 12:
        return Sounding(0, 0, doubt=CONCERT)
    return Sounding(
        expected,
        steps,
        doubt=f"{_a(record)} sounds {distance(expected)}, but the file gives no transposition.",
    )


def _same_key(seen: PartSeen, score: ScoreSeen) -> bool:
    return seen.key_fifths is not None and seen.key_fifths == score.concert_key


def _unless_key_shows(seen: PartSeen) -> str:
    """A signature shared with the strings shows sounding pitch; no sharps or flats show nothing."""
    return "" if seen.key_fifths else CONCERT


def _two_crooks(seen: PartSeen, record: Instrument, reading: LabelReading) -> Sounding:
    names = " and ".join(n.name for n in reading.crooks)
    doubt = f"The label names two keys, {names}; say which is meant, and from which bar."
    return _from_file(seen, doubt=doubt)


def _candidates(record: Instrument, reading: LabelReading) -> tuple[Crook, ...]:
    """Crooks the label may mean: a bare B both ways, where the language does not decide."""
    note = reading.crooks[0]
    found = crooks.candidates(record.crooks, note.step, note.alter, reading.level)
    if not note.german_b or reading.said_natural:
        return found
    other = NoteName(6, -1 if note.alter == 0 else 0)
    more = crooks.candidates(record.crooks, other.step, other.alter, reading.level)
    if note.alter == -1:  # a German, Italian or French score: B flat, and no question
        return found or more
    return (*more, *found)


def _crooked(
    seen: PartSeen, score: ScoreSeen, record: Instrument, reading: LabelReading
) -> Sounding:
    """Horn, trumpet, clarinet ...: the crook or the size decides."""
    if not reading.crooks:
        return _no_crook_named(seen, score, record, reading)
    possible = _candidates(record, reading)
    said = " ".join(filter(None, (reading.crooks[0].name, reading.level)))
    if not possible:
        return _from_file(seen, doubt=f"{_a(record)} in {said} is not known here.")
    if seen.transpose is None or (seen.transpose == (0, 0) and possible[0].semitones):
        return _file_silent(seen, score, record, reading, possible)
    agreeing = [c for c in possible if c.semitones == seen.transpose[0]]
    if agreeing:
        return Sounding(*seen.transpose, agreeing[0].name)
    if record.key == "bass-clarinet" and seen.transpose[0] == possible[0].semitones + 12:
        return Sounding(*seen.transpose, possible[0].name)  # bass-clef notation
    doubt = (
        f"The label says {record.name} in {possible[0].words}, which sounds "
        f"{distance(possible[0].semitones)}; the file says {distance(seen.transpose[0])}."
    )
    actual = crooks.by_transposition(record.crooks, seen.transpose[0])
    if actual is None or _key_fits(seen, score, possible[0].semitones):
        return Sounding(possible[0].semitones, possible[0].steps, possible[0].name, doubt)
    return _from_file(seen, actual.name, doubt)


def _key_fits(seen: PartSeen, score: ScoreSeen, semitones: int) -> bool:
    """The part's key signature is the one this transposition would give it."""
    if seen.key_fifths is None or score.concert_key is None or semitones % 12 == 0:
        return False
    return (seen.key_fifths - score.concert_key - key_shift(semitones)) % 12 == 0


def _file_silent(
    seen: PartSeen,
    score: ScoreSeen,
    record: Instrument,
    reading: LabelReading,
    possible: Sequence[Crook],
) -> Sounding:
    """The label names a crook, the file transposes nothing."""
    crook = _by_range(seen, possible)
    if len(possible) == 1 and crook.semitones == 0:
        return Sounding(0, 0, crook.name)
    if score.concert_pitch:
        return Sounding(0, 0, crook.name, CONCERT)
    if record.family == "woodwind" and key_proof(seen, reading, score.concert_key):
        return Sounding(
            0,
            0,
            crook.name,
            f"The label says {record.name} in {crook.words}, but the part has the key signature "
            "of the others and the file gives no transposition: it may stand at sounding pitch.",
        )
    if len(possible) > 1:
        names = " or ".join(c.words for c in possible)
        doubt = f"“{reading.text}” may be in {names}, and the file gives no transposition."
    else:
        doubt = (
            f"{_a(record)} in {crook.words} sounds {distance(crook.semitones)}, "
            "but the file gives no transposition."
        )
    return Sounding(crook.semitones, crook.steps, crook.name, doubt)


def _by_range(seen: PartSeen, possible: Sequence[Crook]) -> Crook:
    """Of two crooks an octave apart: above written G5 it is the low one (partials beyond 12)."""
    if len(possible) > 1 and seen.high is not None and seen.high >= 80:
        return min(possible, key=lambda c: c.semitones)
    return possible[0]


def _no_crook_named(
    seen: PartSeen, score: ScoreSeen, record: Instrument, reading: LabelReading
) -> Sounding:
    if seen.transpose is not None and (seen.transpose != (0, 0) or record.key != "horn"):
        crook = crooks.by_transposition(record.crooks, seen.transpose[0])
        if crook is None and record.key == "bass-clarinet":
            crook = crooks.by_transposition(record.crooks, seen.transpose[0] - 12)
        if crook is not None:
            return _from_file(seen, crook.name)
        return _from_file(
            seen,
            doubt=f"The file lets this part sound {distance(seen.transpose[0])}; "
            f"no {record.name} of that size is known here.",
        )
    if record.family == "woodwind" and _same_key(seen, score):
        return Sounding(0, 0, doubt=_unless_key_shows(seen))
    if score.concert_pitch:
        return Sounding(0, 0, doubt=CONCERT)
    usual = record.usual or 0
    known = crooks.by_transposition(record.crooks, usual)
    fitting = [c for c in crooks.table(record.crooks) if _key_fits(seen, score, c.semitones)]
    chosen = fitting[0] if fitting and record.family == "woodwind" else known
    assert chosen is not None
    return Sounding(
        chosen.semitones,
        chosen.steps,
        chosen.name,
        f"“{seen.printed}” names no key and the file gives no transposition; "
        f"{_a(record, 'a')} in {chosen.words} is supposed.",
    )


def _timpani(seen: PartSeen, score: ScoreSeen, reading: LabelReading) -> Sounding:
    """Drums: as written, unless written C and G stand for other notes (old notation)."""
    shift, steps = seen.transpose or (0, 0)
    classes = {n % 12 for n in (seen.low, seen.high) if n is not None}
    if reading.tuning and classes:
        named = {n.pc for n in reading.tuning}
        named |= {n.pc for words in seen.changes for n in timpani.retuned_to(words)}
        if {(pc + shift) % 12 for pc in classes} <= named:
            return Sounding(shift, steps)
        return _drums_disagree(seen, reading, classes, shift)
    if shift:
        if classes <= {0, 7}:
            return Sounding(shift, steps)
        return Sounding(
            shift, steps, doubt=f"The file lets the timpani sound {distance(shift)}; "
            "they are usually written as they sound.",
        )  # fmt: skip
    far = score.concert_key is not None and score.concert_key not in (-3, -1, 0, 1)
    if classes == {0, 7} and far:
        return Sounding(
            0, 0, doubt="The timpani are written C and G in a key where these notes are strange: "
            "in old notation they stand for tonic and dominant. Say how they are tuned.",
        )  # fmt: skip
    return Sounding(0, 0)


def _drums_disagree(
    seen: PartSeen, reading: LabelReading, classes: set[int], shift: int
) -> Sounding:
    names = " and ".join(n.name for n in reading.tuning)
    if classes <= {0, 7} and not shift:
        moved = timpani.old_notation_shift(reading.tuning)
        if moved is not None:
            return Sounding(
                moved, steps_of(moved), doubt=f"The label tunes the timpani in {names}, but they "
                "are written C and G: old notation, where these stand for tonic and dominant.",
            )  # fmt: skip
    return _from_file(
        seen,
        doubt=f"The label tunes the timpani in {names}, but the part has other notes too; "
        "say at what pitch they sound.",
    )
