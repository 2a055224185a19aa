"""`--help` of a batch command prints its whole input and output from the text file beside the command."""

from __future__ import annotations

import inspect
from argparse import RawDescriptionHelpFormatter
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandParser, DjangoHelpFormatter

EVERY_BATCH_COMMAND = Path(__file__).with_name("every_batch_command.txt")


class AsWritten(DjangoHelpFormatter, RawDescriptionHelpFormatter):
    """Keeps the line breaks of the manual's file."""


class BatchCommand(BaseCommand):
    """A command that answers a stream of lines. It needs no database and no writable folder."""

    requires_system_checks = ()

    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> CommandParser:
        return super().create_parser(prog_name, subcommand, formatter_class=AsWritten, epilog=self.manual(), **kwargs)

    def manual(self) -> str:
        """The text file beside the command, with the same name."""
        of_its_own = Path(inspect.getfile(type(self))).with_suffix(".txt")
        return "\n".join(path.read_text(encoding="utf-8") for path in (of_its_own, EVERY_BATCH_COMMAND))
