"""`manage.py assess FILE`: one case a line in, one judgement a line out."""

import sys
from functools import partial
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from diagnostics.core.assess import assess_many
from diagnostics.core.bank.bank import Bank
from diagnostics.core.findings import Case, read_case
from diagnostics.core.telling.assess_lines import assess_line
from diagnostics.reads.bank import the_bank
from garage.batch.jsonl import serve_many
from garage.core.errors import BadInput

TOGETHER = 64  # lines judged at once, where so many lie there


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
        read, judged = partial(read_case, bank), partial(_judged, bank)
        sys.exit(serve_many(options["file"], read, judged, sys.stdout, at_once=TOGETHER))


def _judged(bank: Bank, cases: list[Case]) -> list[dict[str, Any]]:
    return [assess_line(judgement) for judgement in assess_many(bank, cases)]
