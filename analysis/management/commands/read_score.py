"""`manage.py read_score FILE [--json OUT]`: no database needed."""

from __future__ import annotations

import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from analysis.engine import cli


class Command(BaseCommand):
    help = "Read a score file: parts, bars, findings. JSON to a file, a table to the screen."
    requires_system_checks: list[str] = []
    requires_migrations_checks = False

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file")
        parser.add_argument("--json", dest="json_to", metavar="OUT")

    def handle(self, *args: Any, **options: Any) -> None:
        code = cli.read_score(options["file"], self.stdout, self.stderr, json_to=options["json_to"])
        if code:
            sys.exit(code)
