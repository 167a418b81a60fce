"""`manage.py check_claims FILE CLAIMS.json [--parts PARTS.json] [--json OUT]`: no database."""

from __future__ import annotations

import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from analysis.engine import cli


class Command(BaseCommand):
    help = "Check claims against a score file. JSON to a file, one line a claim to the screen."
    requires_system_checks: list[str] = []
    requires_migrations_checks = False

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file")
        parser.add_argument("claims")
        parser.add_argument("--parts", metavar="PARTS")
        parser.add_argument("--json", dest="json_to", metavar="OUT")

    def handle(self, *args: Any, **options: Any) -> None:
        code = cli.check_claims(
            options["file"],
            options["claims"],
            self.stdout,
            self.stderr,
            parts=options["parts"],
            json_to=options["json_to"],
        )
        if code:
            sys.exit(code)
