"""Cases of every kind of statement: one module per kind, named like it ("key-route": key_route).

A module gives `CASES`, statements about small hand-written scores whose answer is argued from the
notes (`why`), at least one for each flag and one misreading, and `TYPED`: what a student types
into the form, and the claim that comes of it. The walk over all kinds is `tests/test_every_kind`.
"""

from __future__ import annotations

import importlib
import importlib.util
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from analysis.engine import claims
from analysis.engine.analyses import analyse
from analysis.engine.model import Doubt, Finding, Mark, ScoreTable
from analysis.engine.reader import force
from analysis.engine.reader.directions import level_of
from tests.engine.claims.asking import ask


@dataclass(frozen=True)
class Case:
    """One statement and its right answer.

    `bars` and `parts` as in a claim; `fields` the kind's own, hyphens as underscores. `cause`: the
    misreading that must be named (None: none may be). `says`: words of the sentence or its note.
    `find`: the findings the judged kinds rest on, if not those of all analyses.
    """

    why: str
    flag: str
    piece: Callable[[], ScoreTable]
    bars: Any
    parts: Sequence[Any] = ()
    fields: Mapping[str, Any] = field(default_factory=dict)
    cause: str | None = None
    says: str = ""
    find: Callable[[ScoreTable], Sequence[Finding]] | None = None

    def answer(self, kind: str) -> dict[str, Any]:
        """The checker's answer, after the checks that hold for every answer."""
        made = self.piece()
        found = (self.find or _findings)(made)
        return ask(made, kind, self.bars, self.parts, findings=found, **self.fields)


def _findings(made: ScoreTable) -> Sequence[Finding]:
    """All findings, kept on the table."""
    found: list[Finding] = made.__dict__.setdefault("_test_findings", [])
    if not found:
        found += analyse(made)
    return found


def changed(made: ScoreTable, part: str, doubt: Doubt) -> ScoreTable:
    """The same score, one part (by its label) not confirmed."""
    parts = tuple(replace(p, doubt=doubt) if p.label == part else p for p in made.parts)
    assert parts != made.parts
    return replace(made, parts=parts)


def worded(made: ScoreTable, *words: tuple[str, int, float, str]) -> ScoreTable:
    """The same score with words and dynamics: (part by its label, bar index, beat, text).

    What is in force at the notes follows by the reader's own function.
    """
    known = {p.label: p.index for p in made.first_readings}
    marks = list(made.marks)
    for part, bar, beat, text in words:
        at = made.bars[bar].start + round((beat - 1) * made.bars[bar].beat_ticks)
        level = level_of(text)
        kind: Any = "dynamic" if level else "words"
        marks.append(Mark(kind, known[part], 1, bar, at, at, text, float(level)))
    notes = made.notes.copy()
    given = (marks, notes["part"], notes["onset"], made.part_count)
    notes["technique"] |= force.techniques(*given)
    notes["dynamic"] = force.dynamics(*given)
    return replace(made, marks=tuple(marks), notes=notes)


def module_of(kind: str) -> Any:
    """The cases of a kind; ModuleNotFoundError says which file to write."""
    return importlib.import_module(f"{__name__}.{kind.replace('-', '_')}")


def kinds() -> list[str]:
    """Kinds with a rule, and free words."""
    return [*(k.name for k in claims.RULED), "free"]


def has_cases(kind: str) -> bool:
    return importlib.util.find_spec(f"{__name__}.{kind.replace('-', '_')}") is not None
