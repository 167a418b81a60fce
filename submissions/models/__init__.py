"""Papers, surveys, observations, checks, rulings, releases, finds and their threads."""

from submissions.models.checks import Check, Flag, Ruling
from submissions.models.notebook import NotebookEntry
from submissions.models.observations import Observation, ObservationVersion
from submissions.models.papers import Paper, Release
from submissions.models.surveys import Survey
from submissions.models.threads import Find, Message

__all__ = [
    "Check",
    "Find",
    "Flag",
    "Message",
    "NotebookEntry",
    "Observation",
    "ObservationVersion",
    "Paper",
    "Release",
    "Ruling",
    "Survey",
]
