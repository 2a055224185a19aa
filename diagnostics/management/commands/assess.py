"""`manage.py assess FILE`: one case per line in, one judgement per line out. assess.txt is the full manual."""

import sys
from functools import partial
from string import Template
from typing import Any

from django.core.management.base import CommandError, CommandParser

from diagnostics.core.assess import assess_many
from diagnostics.core.bank.bank import Bank
from diagnostics.core.findings import Case, read_case
from diagnostics.core.telling.assess_lines import assess_line
from diagnostics.core.telling.bank_manual import bank_in_words
from diagnostics.reads.bank import the_bank
from garage.batch.jsonl import serve_many
from garage.core.errors import BadInput
from garage.management.manual import BatchCommand

TOGETHER = 64  # most lines judged together


class Command(BatchCommand):
    help = "Judges cases: how likely each fault is, the route, what to ask next, and the bench order."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", metavar="FILE", help="one case a line, or - for standard input")

    def manual(self) -> str:
        return Template(super().manual()).substitute(bank_in_words(the_bank()))

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            bank = the_bank()
        except BadInput as error:
            raise CommandError(f"The bank cannot be used: {error.sentence}") from error
        read, judged = partial(read_case, bank), partial(_judged, bank)
        sys.exit(serve_many(options["file"], read, judged, sys.stdout, at_once=TOGETHER))


def _judged(bank: Bank, cases: list[Case]) -> list[dict[str, Any]]:
    return [assess_line(judgement) for judgement in assess_many(bank, cases)]
