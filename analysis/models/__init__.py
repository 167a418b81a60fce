"""Canonical copies, runs, findings, overrules, engravings, sound, jobs."""

from analysis.jobs.models import Effect, Job
from analysis.models.engraving import Engraving, Sound
from analysis.models.overrules import Overrule, OverrulePlace
from analysis.models.runs import CanonicalCopy, FindingRow, Run

__all__ = [
    "CanonicalCopy",
    "Effect",
    "Engraving",
    "FindingRow",
    "Job",
    "Overrule",
    "OverrulePlace",
    "Run",
    "Sound",
]
