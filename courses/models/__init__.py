"""People, courses, scores and their rights, recordings, notes, assignments, events."""

from courses.models.assignments import Assignment, AssignmentVersion, Extension, Prompt
from courses.models.course import Course, Enrolment, Group, Invitation
from courses.models.events import Event
from courses.models.library import PartsRevision, Rights, Score, ScoreVersion, Work
from courses.models.notes import Note, NotePlace
from courses.models.people import Consent, Guardianship, User
from courses.models.places import BarMap, Place
from courses.models.recordings import Recording, Tapping
from courses.models.stages import Step

__all__ = [
    "Assignment",
    "AssignmentVersion",
    "BarMap",
    "Consent",
    "Course",
    "Enrolment",
    "Event",
    "Extension",
    "Group",
    "Guardianship",
    "Invitation",
    "Note",
    "NotePlace",
    "PartsRevision",
    "Place",
    "Prompt",
    "Recording",
    "Rights",
    "Score",
    "ScoreVersion",
    "Step",
    "Tapping",
    "User",
    "Work",
]
