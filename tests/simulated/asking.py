"""The checker's side: pieces read as the site reads them, and every case asked.

The tutor of this class has confirmed all parts, at the transpositions that the file gives.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from analysis.engine import claims
from analysis.engine.analyses import analyse
from analysis.engine.gate import admit
from analysis.engine.model import PartReading, ScoreTable
from analysis.engine.reader import read
from tests.simulated.drawing import Case


@dataclass(frozen=True)
class Asked:
    case: Case
    answer: dict[str, Any]


def confirmed_table(path: Path) -> ScoreTable:
    """The note table with nothing left to doubt."""
    canonical = admit(path.read_bytes(), path.name).canonical
    proposed = read(canonical)
    if not any(p.doubt or p.octave_switch or p.old_bass_clef for p in proposed.parts):
        return proposed
    plain = {(p.index, p.from_bar): p for p in read(canonical, trust_labels=False).parts}
    return read(canonical, confirmed=[_confirmed(p, plain) for p in proposed.parts])


def _confirmed(part: PartReading, plain: dict[tuple[int, int], PartReading]) -> PartReading:
    own = plain.get((part.index, part.from_bar)) or plain[part.index, 0]
    if not (
        part.octave_switch or part.old_bass_clef or (part.doubt and part.doubt.about == "pitch")
    ):
        return replace(part, doubt=None)
    shift = {"transposition": own.transposition, "diatonic": own.diatonic}
    return replace(part, doubt=None, octave_switch=False, old_bass_clef=False, **shift)  # type: ignore[arg-type]


def scene_of(path: Path) -> Any:
    table = confirmed_table(path)
    return claims.make_scene(table, analyse(table))


def ask(path: Path, cases: Sequence[Case]) -> Iterator[Asked]:
    """Each case with the checker's answer."""
    if not cases:
        return
    scene = scene_of(path)
    for case in cases:
        yield Asked(case, claims.answer_in(scene, dict(case.claim)).as_dict())
