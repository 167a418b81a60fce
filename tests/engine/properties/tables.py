"""Tables with something for every analysis: made at random from the trade's own devices."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from analysis.engine.model import ScoreTable
from tests.engine.analyses import test_brass_and_drums as brass
from tests.engine.analyses import test_handover as passing_on
from tests.engine.analyses import test_imitation as imitating
from tests.engine.analyses import test_real_bass as basses
from tests.engine.analyses import test_route_and_cadences as route
from tests.engine.analyses import test_sequences as restating
from tests.engine.tables import table

#: two violins' and winds' parts that may share a staff
PAIRS = (("Fl I", "Fl II"), ("Ob I", "Ob II"), ("Cor I in C", "Cor II in C"))
NAMES = ("Fl I", "Fl II", "Ob I", "Ob II", "Cl", "Fg", "Cor I in C", "Cor II in C", "Tr in C",
         "Timp", "Vl I", "Vl II", "Vla", "Vc", "Cb")  # fmt: skip
_SCALE = (0, 2, 4, 5, 7, 9, 11)
_SHARP = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
_PHRASE = (0, 3, 4, 0, 5, 3, 4, 0)  # roots of a phrase's chords, degrees of the scale
_TUNES = (
    ((0, 1), (1, 0.5), (2, 0.5), (4, 1), (2, 1)),
    ((4, 0.5), (3, 0.5), (2, 0.5), (1, 0.5), (0, 2)),
    ((2, 1.5), (3, 0.5), (4, 1), (0, 1)),
    ((7, 1), (5, 1), (4, 1), (2, 1)),
)
BARS = 28


def random_texts(seed: int) -> dict[str, str]:
    """Three phrases and an end: keys that change, doublings, pedals, entries."""
    rng = np.random.default_rng(seed)
    bars: dict[str, list[str]] = {name: [] for name in NAMES}
    home = int(rng.choice([0, 5, 7]))
    for phrase, key in enumerate((home, (home + 7) % 12, home)):
        tune = [int(rng.integers(len(_TUNES))) for _ in range(4)]
        for k, degree in enumerate(_PHRASE):
            _bar(bars, rng, key, degree, _TUNES[tune[k % 4]], phrase, k)
    for k in range(4):
        for name, words in _end(home, k).items():
            bars[name].append(words)
    return {name: " | ".join(texts) for name, texts in bars.items()}


def random_table(seed: int) -> ScoreTable:
    """The same as a table, with a rise in force."""
    made = table(random_texts(seed))
    notes = made.notes.copy()
    notes["dynamic"] = np.where(notes["bar"] < 8, 3, np.minimum(3 + (notes["bar"] - 8) // 4, 8))
    return replace(made, notes=notes)


def devices() -> dict[str, str]:
    """One movement for each device that the random texts have not, from the tests of its kind."""
    movements = (
        {"Ob I": passing_on.CALL, "Cl": passing_on.ANSWER, "Vc": passing_on.CHORDS},
        imitating.ROUND,
        {"Vl II": restating.FALLING, "Vla": restating.UNDER, "Vc": restating.HELD},
        {"Cor I in C": brass.WITH, "Vl I": brass.TUNE},
        {k.replace("Vl", "Vl I"): v for k, v in basses.LINES.items()},
        {_VOICES.get(k, k): v for k, v in route.THERE_AND_BACK.items()},
    )
    lengths = [max(1 + text.count("|") for text in m.values()) for m in movements]
    return {
        name: " || ".join(
            _filled(m.get(name, "r"), length) for m, length in zip(movements, lengths, strict=True)
        )
        for name in NAMES
    }


_VOICES = {"Vl": "Vl I"}


def _filled(text: str, bars: int) -> str:
    return " | ".join([text, *["r"] * (bars - 1 - text.count("|"))])


def pairs_of(t: ScoreTable, pairs: tuple[tuple[str, str], ...] = PAIRS) -> list[tuple[int, int]]:
    part = {line.name: line.part for line in t.lines}
    return [(part[a], part[b]) for a, b in pairs if a in part and b in part]


def _pitch(key: int, degree: int, low: int) -> str:
    """The degree of the scale at the lowest place from the MIDI number `low` on."""
    pc = (key + _SCALE[degree % 7]) % 12
    number = low + (pc - low) % 12
    return f"{_SHARP[pc]}{number // 12 - 1}"


def _line(key: int, degree: int, tune: tuple[tuple[int, float], ...], low: int) -> str:
    base = low + (key - low) % 12
    out = []
    for step, length in tune:
        number = base + 12 * ((degree + step) // 7) + _SCALE[(degree + step) % 7]
        out.append(f"{_SHARP[number % 12]}{number // 12 - 1} {length}")
    return " ".join(out)


def _bar(bars, rng, key, degree, tune, phrase, k):
    chord = [_pitch(key, degree + i, 55) for i in (0, 2, 4)]
    words = dict.fromkeys(NAMES, "r")
    words["Vl I"] = _line(key, degree, tune, 67)
    words["Vl II"] = f"{chord[1]} e " + f"{chord[1]} " * 7
    words["Vla"] = f"{chord[2]} h {chord[0]}" if k % 2 else f"{chord[2]} w"
    bass = _pitch(key, degree, 40)
    words["Vc"] = f"{bass} q {bass} h {_pitch(key, degree + 4, 40)} q"
    words["Cb"] = f"{_pitch(key, degree, 28)} h {_pitch(key, degree, 28)}"
    if phrase == 1:
        words["Fl I"] = _line(key, degree, tune, 79)
        words["Fg"] = words["Vc"] if k < 4 else _line(key, degree, tune, 43)
        words["Ob I"], words["Ob II"] = f"{chord[2]} w", f"{chord[0]} w"
        words["Vl I"] = words["Vl I"] if k < 6 else f"{_pitch(key, degree, 67)} w"
    if phrase == 2:
        words["Ob I"] = _line(key, degree, tune, 72)
        words["Ob II"] = _line(key, degree - 2, tune, 69)
        words["Fl I"] = words["Fl II"] = _line(key, degree, tune, 79) if k > 3 else "r"
        words["Cl"] = " ".join(f"{c} e" for c in (*chord, chord[1], *chord, chord[1]))
        pedal = _pitch(key, 4, 40)
        words["Cb"] = f"{_pitch(key, 4, 28)} w" if k > 1 else words["Cb"]
        words["Vc"] = f"{pedal} w" if k > 1 else words["Vc"]
        words["Cor I in C"], words["Cor II in C"] = "G4 w", "C4 w" if k % 2 else "E4 w"
        words["Tr in C"] = "C5 q r h." if k % 2 else "r"
        words["Timp"] = "C3 q r C3 r" if k % 4 == 0 else "G2 q r h."
    if rng.random() < 0.25:
        words["Vla"] = _line(key, degree + 2, tune, 55)
    if rng.random() < 0.15:
        words["Cl"] = _line(key, degree, tune, 67)
    for name, text in words.items():
        bars[name].append(text)


def _end(key: int, k: int) -> dict[str, str]:
    """Dominant and tonic, all in one rhythm; silence before the last bar."""
    degree = (4, 4, 0, 0)[k]
    where = {"Fl": 72, "Ob": 67, "Cl": 60, "Fg": 43, "Vl": 67, "Vla": 55, "Vc": 40, "Cb": 28}
    length = "q" if k == 1 else "h"
    out = {}
    for i, name in enumerate(NAMES):
        low = where.get(name.split()[0])
        member = 0 if name in ("Vc", "Cb", "Fg") else (0, 2, 4)[i % 3]
        tone = _pitch(key, degree + member, low) if low else "G3" if name != "Timp" else "G2"
        out[name] = f"{tone} {length} r" if k == 1 else f"{tone} {length} {tone}"
    return out
