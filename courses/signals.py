"""Upward signals, sent inside the transaction; receivers may only insert job rows."""

from django.dispatch import Signal

score_uploaded = Signal()  # version
parts_changed = Signal()  # revision (complete)
score_taken_down = Signal()  # score
assignment_published = Signal()  # assignment_version
