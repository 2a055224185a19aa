"""`python manage.py listen CLIP…`: engine speed over time and a verdict from clips of the rev-out, an object a clip."""

import argparse
import json
import math
import os
import sys
from collections.abc import Iterator
from typing import Any

from django.core.management.base import CommandParser

from diagnostics.hearing.core.hear import hear
from diagnostics.hearing.core.heard_words import listen_line
from diagnostics.hearing.decoding.decode import Decoder
from garage.batch.jsonl import Reply, failure, pour
from garage.batch.lines import numbered_lines
from garage.core.errors import Showable
from garage.management.manual import BatchCommand

TOO_LONG = "clip is a path too long to be read; allowed is one path a line."


class Command(BatchCommand):
    help = "Hears the engine speed, drop-outs and a verdict from clips of the rev-out on the stand."

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
        clips = _named_on_standard_input() if options["clips"] == ["-"] else iter(options["clips"])
        with Decoder() as decoder:
            status = pour(replies(clips, options["fires_per_turn"], decoder), self.stdout)
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


def replies(clips: Iterator[str | None], fires_per_turn: float, decoder: Decoder) -> Iterator[Reply]:
    for place, clip in enumerate(clips, start=1):
        yield failure(TOO_LONG, place, {}) if clip is None else _heard(clip, place, fires_per_turn, decoder)


def _heard(clip: str, place: int, fires_per_turn: float, decoder: Decoder) -> Reply:
    try:
        heard = hear(decoder.samples(clip), fires_per_turn)
        return Reply(json.dumps(listen_line(clip, heard), allow_nan=False), failed=False)
    except Showable as error:
        return failure(error.sentence, place, {"clip": clip})
    except Exception as error:  # noqa: BLE001  the stream must go on and no traceback may be shown: the error says what broke
        sentence = f"the program failed at this clip ({type(error).__name__}): please report it with the clip."
        return failure(sentence, place, {"clip": clip})


def _named_on_standard_input() -> Iterator[str | None]:
    """Each path as it is written, whatever its bytes; None for one too long."""
    if sys.stdin is not None:
        for _number, raw in numbered_lines(sys.stdin.buffer):
            yield None if raw is None else os.fsdecode(raw)
