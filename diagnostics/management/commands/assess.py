"""`manage.py assess FILE`: one case a line in, one judgement a line out."""

import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from diagnostics.core.assess import assess
from diagnostics.core.findings import read_case
from diagnostics.reads.bank import the_bank
from garage.core.errors import BadInput
from garage.jsonl import serve


class Command(BaseCommand):
    help = "Judge cases: one JSON object a line in, one judgement a line out; FILE or - for standard input."
    requires_system_checks = []  # it needs neither database nor writable folder

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", metavar="FILE")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            bank = the_bank()
        except BadInput as error:
            raise CommandError(f"The bank cannot be used: {error.sentence}") from error
        sys.exit(serve(options["file"], lambda line: assess(bank, read_case(bank, line)).to_json(), sys.stdout))
