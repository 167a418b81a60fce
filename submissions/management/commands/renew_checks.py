"""`manage.py renew_checks`: what another version of the checker has flagged is compared again."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from submissions.services.checks import renew


class Command(BaseCommand):
    help = "Queue a new comparison of all statements checked by another version of the checker."

    def handle(self, *args: Any, **options: Any) -> None:
        self.stdout.write(f"Scores whose statements are compared again: {renew()}")
