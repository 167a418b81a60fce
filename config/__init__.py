"""Settings, URLs, Celery: the only place that knows everybody."""

from config.celery import app as celery_app

__all__ = ["celery_app"]
