"""`python manage.py plan FILE`: one day per line in, one plan per line out."""

from __future__ import annotations

from typing import Any

from django.core.management.base import CommandParser

from garage.batch.jsonl import serve
from garage.core.planning.plan_lines import answer
from garage.management.manual import BatchCommand


class Command(BatchCommand):
    help = "Plans days: which step is done when, where and by whom."
    requires_migrations_checks = False

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", metavar="FILE", help="one day a line, or - for standard input")

    def handle(self, *args: Any, **options: Any) -> None:
        status = serve(options["file"], answer, self.stdout)
        if status:
            raise SystemExit(status)
