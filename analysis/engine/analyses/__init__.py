"""Analyses: a note table in, findings out. The door is `analyse`."""

from analysis.engine.analyses.registry import ANALYSES, Analysis, analyse

__all__ = ["ANALYSES", "Analysis", "analyse"]
