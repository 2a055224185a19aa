"""`python manage.py bring_in kinds|owners FILE`: what a list would do, and with --take taking it in."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from garage.changes.shop import lists
from garage.core.errors import Showable
from garage.core.lists.plan import LineOutcome, ListPlan, counts_in_words
from garage.management.manual import AsWritten
from garage.models.actors import SYSTEM
from garage.models.list_files import ListFile
from garage.pages.lists_seen import columns_of
from garage.reads.lists import planned
from garage.reads.shop import shop_or_none

WHAT = (ListFile.KINDS, ListFile.OWNERS)
MANUAL = """
A list is a CSV file as a spreadsheet saves it: semicolon, comma or tab; quotes around cells that hold one; UTF-8, or
Windows-1252. Its first line names the columns, in any order. Numbers have a decimal point or a comma. Nothing is
written without --take, and nothing at all while a line is refused, unless --only-good leaves those lines out.

The same make, model and first year are the same machine kind: a filled cell wins, an empty one leaves what is known.
The same mail address or telephone number is the same owner: what is known stays, what is empty is filled in, machines
are added.
"""


class Command(BaseCommand):
    help = "Says what a list of machine kinds or owners would do; with --take, takes it in."

    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> CommandParser:
        return super().create_parser(prog_name, subcommand, formatter_class=AsWritten, epilog=_manual(), **kwargs)

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("what", choices=WHAT, help="machine kinds, or owners with their machines")
        parser.add_argument("file", metavar="FILE", help="the CSV file, or - for standard input")
        parser.add_argument("--take", action="store_true", help="take it in")
        parser.add_argument("--only-good", action="store_true", help="with --take: leave refused lines out")

    def handle(self, *args: object, what: str, file: str, take: bool, only_good: bool, **options: object) -> None:
        try:
            plan = _done(what, _read(file), Path(file).name, take=take, only_good=only_good)
        except Showable as error:
            raise CommandError(error.sentence) from error
        except OSError as error:
            raise CommandError(f"{file} cannot be read: {error.strerror}.") from error
        self._say(plan)
        self.stdout.write("Taken in." if take else "Nothing is taken in yet: say --take for that.")

    def _say(self, plan: ListPlan) -> None:
        for entry in plan.entries:
            if entry.outcome in (LineOutcome.REFUSED, LineOutcome.CHANGED):
                says = "; ".join(entry.says)
                words = says if entry.outcome == LineOutcome.REFUSED else f"Line {entry.line}, {entry.words}: {says}"
                self.stdout.write(words)
        if plan.unused:
            self.stdout.write(f"Columns that are not used: {', '.join(plan.unused)}.")
        self.stdout.write(f"{counts_in_words(plan.counts).capitalize()}.")


def _read(file: str) -> bytes:
    return sys.stdin.buffer.read() if file == "-" else Path(file).read_bytes()


def _done(what: str, raw: bytes, name: str, *, take: bool, only_good: bool) -> ListPlan:
    if shop_or_none() is None:
        raise CommandError("There is no garage yet: set it up first.")
    if not take:
        return planned(what, raw)
    return lists.take(what, raw, name=name, seen=None, only_good=only_good, by=SYSTEM, now=timezone.now())


def _manual() -> str:
    """With the columns as they are read."""
    lines = [MANUAL]
    for what in WHAT:
        lines.append(f"Columns of {what}:")
        lines += [f"  {each.name:16}{each.help}{' (needed)' if each.is_needed else ''}" for each in columns_of(what)]
    return "\n".join(lines)
