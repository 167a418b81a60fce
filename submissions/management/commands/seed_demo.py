"""Make the demo course: invented people, an invented course, the piece in demo/."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from submissions.demo_course import NotMade, make


class Command(BaseCommand):
    help = "Make the demo course. A second call changes nothing."

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            made = make()
        except NotMade as reason:
            raise CommandError(str(reason)) from None
        self.stdout.write(accounts(made.accounts))


def accounts(rows: list[tuple[str, str, str]]) -> str:
    """A table for people: name to sign in with, name shown, who it is."""
    head = ("sign in as", "name", "who")
    widths = [max(len(row[i]) for row in [head, *rows]) for i in range(2)]
    return "\n".join(
        f"{name:<{widths[0]}}  {shown:<{widths[1]}}  {who}" for name, shown, who in [head, *rows]
    )
