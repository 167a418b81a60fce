"""The Celery application. The broker is only the doorbell: see analysis/jobs."""

from __future__ import annotations

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
app = Celery("collaparte")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["analysis.jobs"])
app.autodiscover_tasks(["analysis.jobs"], related_name="sweeper")
