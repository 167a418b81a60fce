"""Statements held against the computed reading: flag, reasons, evidence.

Doors: `answer` (one claim), `answers` (several), `free_answer`; `KINDS` lists
what can be stated. One room per kind, readings in `readings`, the four
verdicts become a flag in `verdict`.
"""

from analysis.engine.claims.answering import (
    CHECKER_VERSION,
    Answer,
    answer,
    answer_in,
    answers,
    free_answer,
    make_scene,
)
from analysis.engine.claims.overrules import Overruling, effective
from analysis.engine.claims.papers import Edition
from analysis.engine.claims.registry import KINDS, RULED

__all__ = [
    "CHECKER_VERSION",
    "KINDS",
    "RULED",
    "Answer",
    "Edition",
    "Overruling",
    "answer",
    "answer_in",
    "answers",
    "effective",
    "free_answer",
    "make_scene",
]
