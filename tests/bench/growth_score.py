"""Scores of any length and size for the growth figures: made by dice with a seed, never repeated.

Four-bar phrases over a bass; in each phrase some parts share a tune in octaves, some hold chords,
some repeat notes, some rest, so that every analysis has work. The share of parts with a job is the
same for 12 parts and for 60.
"""

from __future__ import annotations

import random
from dataclasses import dataclass

PHRASE = 4
#: name, clef, lowest octave of its tune
DESKS = (
    ("Flauto", "G2", 5), ("Oboe", "G2", 5), ("Clarinetto in Do", "G2", 4), ("Fagotto", "F4", 3),
    ("Corno in Do", "G2", 4), ("Tromba in Do", "G2", 4), ("Trombone", "F4", 3),
    ("Violino I", "G2", 5), ("Violino II", "G2", 4), ("Viola", "C3", 4), ("Violoncello", "F4", 3),
    ("Contrabbasso", "F4", 2),
)  # fmt: skip
SCALE = "CDEFGAB"
#: rhythms of a bar of 4/4 in eighths
RHYTHMS = ((2, 2, 2, 2), (4, 2, 2), (2, 2, 4), (3, 1, 2, 2), (1, 1, 2, 2, 2), (4, 4), (2, 1, 1, 4))
TYPES = {1: "eighth", 2: "quarter", 3: "quarter", 4: "half", 8: "whole"}
CHORDS = (0, 3, 4, 5, 1, 0)

Notes = list[tuple[int | None, int]]  # step from C0 or a rest, length in eighths


@dataclass(frozen=True)
class Phrase:
    jobs: list[str]
    tune: list[Notes]
    roots: list[int]


def score(bars: int, parts: int, seed: int = 1) -> bytes:
    """A MusicXML score; the same numbers give the same bytes."""
    dice = random.Random(f"{seed} {bars} {parts}")
    phrases = [_phrase(dice, parts) for _ in range(-(-bars // PHRASE))]
    listed, bodies = [], []
    for n in range(parts):
        name, clef, octave = DESKS[n % len(DESKS)]
        desk = n // len(DESKS)
        label = name if parts <= len(DESKS) else f"{name} {desk + 1}"
        listed.append(f'<score-part id="P{n + 1}"><part-name>{label}</part-name></score-part>')
        measures = []
        for bar in range(bars):
            notes = _bar(phrases[bar // PHRASE], bar % PHRASE, n, octave)
            head = _head(clef) if bar == 0 else ""
            measures.append(f'<measure number="{bar + 1}">{head}{_xml(notes)}</measure>')
        bodies.append(f'<part id="P{n + 1}">{"".join(measures)}</part>')
    return (
        '<?xml version="1.0" encoding="UTF-8"?><score-partwise version="4.0"><part-list>'
        f"{''.join(listed)}</part-list>{''.join(bodies)}</score-partwise>"
    ).encode()


def _phrase(dice: random.Random, parts: int) -> Phrase:
    step, tune = dice.randrange(7), []
    for _ in range(PHRASE):
        notes: Notes = []
        for length in dice.choice(RHYTHMS):
            step = min(9, max(-2, step + dice.choice((-2, -1, -1, 1, 1, 2, 3, -3))))
            notes.append((step, length))
        tune.append(notes)
    jobs = [dice.choice(("tune", "hold", "hold", "pulse", "rest", "rest")) for _ in range(parts)]
    for n in range(parts):
        if n % len(DESKS) == len(DESKS) - 1:
            jobs[n] = "bass"
    return Phrase(jobs, tune, [dice.choice(CHORDS) for _ in range(PHRASE)])


def _bar(phrase: Phrase, bar: int, part: int, octave: int) -> Notes:
    job, root = phrase.jobs[part], phrase.roots[bar]
    home = 7 * octave
    if job == "tune":
        return [(home + (step or 0), length) for step, length in phrase.tune[bar]]
    if job == "hold":
        return [(home + root + 2 * (part % 3), 8)]
    if job == "pulse":
        return [(home + root + 2 * (part % 3), 2)] * 4
    if job == "bass":
        return [(home + root, 4), (home + root + (4 if bar % 2 else 0), 4)]
    return [(None, 8)]


def _head(clef: str) -> str:
    return (
        "<attributes><divisions>2</divisions><key><fifths>0</fifths></key>"
        "<time><beats>4</beats><beat-type>4</beat-type></time>"
        f"<clef><sign>{clef[0]}</sign><line>{clef[1]}</line></clef></attributes>"
    )


def _xml(notes: Notes) -> str:
    out = []
    for step, length in notes:
        if step is None:
            out.append(f'<note><rest measure="yes"/><duration>{length}</duration></note>')
            continue
        pitch = f"<step>{SCALE[step % 7]}</step><octave>{step // 7}</octave>"
        dot = "<dot/>" if length == 3 else ""
        out.append(
            f"<note><pitch>{pitch}</pitch><duration>{length}</duration>"
            f"<type>{TYPES[length]}</type>{dot}</note>"
        )
    return "".join(out)
