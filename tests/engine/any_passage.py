"""Tables that make no music: what is described or reduced must stand them all."""

from __future__ import annotations

from dataclasses import replace

from analysis.engine.model import Mark, ScoreTable

from .tables import table


def empty() -> ScoreTable:
    return table({"Fl": "r | r", "Vc": "r | r"})


def percussion_only() -> ScoreTable:
    return table({"Timp": "x q x x x | x h x", "Grancassa": "x w | r"})


def one_note() -> ScoreTable:
    return table({"Fl": "C5 q"})


def unmetered() -> ScoreTable:
    found = table({"Fl": "C5 q D5 E5 F5 | G5 w", "Vc": "C3 w | G2 w"})
    bars = tuple(replace(bar, beats=0) for bar in found.bars)
    return replace(found, bars=bars)


def quarter_tones() -> ScoreTable:
    found = table({"Vl I": "C5 q D5 E5 F5 | G5 w", "Vc": "C3 w | G2 w"})
    found.notes["cents"][::2] = 50
    found.notes["cents"][1::2] = -50
    return found


def odd_lengths() -> ScoreTable:
    """Fifths, sevenths and elevenths of a quarter, and a tick that no value fits."""
    found = table({"Vl I": "C5 q D5 E5 F5 | G5 w", "Vc": "C3 w | G2 w"})
    for k, onset in enumerate((2016, 4320, 11_000, 20_161)):
        found.notes["onset"][k + 1] = onset
        found.notes["duration"][k] = 1441
    found.notes.sort(order=["onset", "part"])
    return found


def graces_alone() -> ScoreTable:
    return table({"Fl": "(D5) (E5) | r", "Vc": "r | r"})


def nobody() -> ScoreTable:
    found = table({"Fl": "r"})
    return replace(found, bars=(), movements=(), notes=found.notes[:0])


def marked_wildly() -> ScoreTable:
    """Marks of bars and keys that nobody would print."""
    found = table({"Fl": "C5 q D5 E5 F5 | G5 w"})
    marks = (Mark("key", 0, 1, 0, 0, 0, "", 23.0), Mark("wedge", 0, 1, 0, 0, 10**9, "crescendo"))
    return replace(found, marks=marks)


TABLES = (
    empty, percussion_only, one_note, unmetered, quarter_tones, odd_lengths, graces_alone,
    marked_wildly,
)  # fmt: skip
