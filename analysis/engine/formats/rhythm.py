"""Brackets of tuplets and beams, where a format gives lengths alone."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from analysis.engine.formats.piece import Event


def _dyadic(time: Fraction) -> bool:
    return time.denominator & (time.denominator - 1) == 0


def bracket_tuplets(events: Iterable[Event]) -> None:
    """Mark where tuplets start and stop in one voice of a bar.

    A group ends where its notes together fill a length without a tuplet.
    """
    group: list[Event] = []
    total = Fraction(0)
    for event in events:
        if event.grace:
            continue
        if event.tuplet is None or (group and group[-1].tuplet != event.tuplet):
            _close(group)
            group, total = [], Fraction(0)
        if event.tuplet is None:
            continue
        group.append(event)
        total += event.length
        if _dyadic(total):
            _close(group)
            group, total = [], Fraction(0)
    _close(group)


def _close(group: list[Event]) -> None:
    if len(group) > 1:
        group[0].tuplet_marks.append("start")
        group[-1].tuplet_marks.append("stop")


def beam_by_beats(events: Iterable[Event], beat: Fraction) -> None:
    """Beam what is shorter than a quarter within each beat."""
    group: list[Event] = []
    for event in events:
        short = bool(event.heads) and not event.grace and 0 < event.length < 1
        together = bool(group) and (
            event.onset == group[-1].onset + group[-1].length
            and event.onset // beat == group[0].onset // beat
        )
        if group and not (short and together):
            _beam(group)
            group = []
        if short:
            group.append(event)
    _beam(group)


def _beam(group: list[Event]) -> None:
    if len(group) > 1:
        for event in group:
            event.beam = "continue"
        group[0].beam, group[-1].beam = "begin", "end"
