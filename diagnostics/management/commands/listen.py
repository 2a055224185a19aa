"""`python manage.py listen CLIP…`: this edition answers each clip with an error object that says it cannot hear yet."""

import argparse
import math
import os
import sys
from collections.abc import Iterator
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from garage.jsonl import Reply, failure, numbered_lines, pour

NOT_YET = "clip cannot be heard: this edition of the program does not hear clips yet."
TOO_LONG = "clip is a path too long to be read; allowed is one path a line."


class Command(BaseCommand):
    help = "Will hear engine speed and drop-outs from clips; this edition answers each with an error object."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("clips", metavar="CLIP", nargs="+", help="a clip, or - for one path a line")
        parser.add_argument(
            "--fires-per-turn",
            metavar="F",
            type=firings,
            default=1.0,
            help="firings per crank turn, such as 1, 2 or 0.5",
        )

    def handle(self, *_args: Any, **options: Any) -> None:
        status = pour(replies(options["clips"]), self.stdout)
        if status:
            sys.exit(status)


def firings(text: str) -> float:
    """F as typed: a number above 0."""
    try:
        found = float(text)
    except ValueError:
        found = math.nan
    if not 0 < found <= 12:
        raise argparse.ArgumentTypeError(f"F is {text!r}; allowed is a number above 0, at most 12.")
    return found


def replies(clips: list[str]) -> Iterator[Reply]:
    for place, clip in enumerate(_named_on_standard_input() if clips == ["-"] else clips, start=1):
        yield failure(NOT_YET, place, {"clip": clip}) if clip is not None else failure(TOO_LONG, place, {})


def _named_on_standard_input() -> Iterator[str | None]:
    """Each path as it is written, whatever its bytes; None for one too long."""
    if sys.stdin is not None:
        for _number, raw in numbered_lines(sys.stdin.buffer):
            yield None if raw is None else os.fsdecode(raw)
