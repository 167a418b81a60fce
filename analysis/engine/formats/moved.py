"""From sounding to written pitch, for formats that give notes as they sound."""

from __future__ import annotations

from analysis.engine.formats.piece import Change, Head, Part

_SEMITONES = (0, 2, 4, 5, 7, 9, 11)
_STEPS = "CDEFGAB"


def to_written(part: Part, steps: int, semitones: int) -> None:
    """Rewrite a part for an instrument that sounds `steps` and `semitones` from its page."""
    for bar in part.bars:
        for event in bar.events:
            if not event.unpitched:
                for head in event.heads:
                    _move(head, -steps, -semitones)
        for change in bar.changes:
            if change.fifths is not None:
                change.fifths = _key(change.fifths, -steps, -semitones)
    if part.bars:
        part.bars[0].changes.append(Change(transpose=(steps, semitones)))


def _move(head: Head, steps: int, semitones: int) -> None:
    at = _STEPS.index(head.step) + 7 * head.octave
    sounding = _SEMITONES[at % 7] + 12 * (at // 7) + head.alter
    at += steps
    plain = _SEMITONES[at % 7] + 12 * (at // 7)
    head.step, head.octave = _STEPS[at % 7], at // 7
    head.alter = sounding + semitones - plain


def _key(fifths: int, steps: int, semitones: int) -> int:
    """The signature moved: seven sharps for each semitone, less a twelfth for each step."""
    return fifths + 7 * semitones - 12 * steps
