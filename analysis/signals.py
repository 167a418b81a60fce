"""Upward signals of the reading; receivers may only insert job rows."""

from django.dispatch import Signal

run_ready = Signal()  # run
overrule_changed = Signal()  # overrule
