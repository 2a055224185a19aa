"""`manage.py timing FILE`: degrees and millimetres, strobe readings, packer stacks; one JSON object per line."""

import sys
from decimal import Decimal
from typing import Any

from django.core.management.base import CommandParser

from diagnostics.core.timing.timing_lines import answer_line
from garage.batch.jsonl import serve
from garage.management.manual import BatchCommand


class Command(BatchCommand):
    help = "Answers questions about timing: degrees and millimetres, strobe readings, packer stacks."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", metavar="FILE", help="one question a line, or - for standard input")

    def handle(self, *_args: Any, **options: Any) -> None:
        status = serve(options["file"], answer_line, self.stdout, read_number=Decimal)
        if status:
            sys.exit(status)
