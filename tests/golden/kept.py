"""The golden files: what a command was asked and what it answered, a pair a line, kept packed beside this file."""

from __future__ import annotations

import gzip
import io
import json
import tempfile
from contextlib import redirect_stdout, suppress
from pathlib import Path
from typing import NamedTuple

from django.core.management import call_command

HERE = Path(__file__).parent


class Golden(NamedTuple):
    """A line as it was given, and the line it was answered with."""

    asked: str
    answered: str


def golden(command: str) -> list[Golden]:
    lines = gzip.decompress((HERE / f"{command}.jsonl.gz").read_bytes()).decode().splitlines()
    return [Golden(*json.loads(line)) for line in lines]


def answers(command: str, asked: list[str]) -> list[str]:
    """What the command writes for these lines, all the way from a file to standard output."""
    written = io.StringIO()
    with tempfile.TemporaryDirectory() as folder, redirect_stdout(written), suppress(SystemExit):
        file = Path(folder) / "asked.jsonl"
        file.write_text("".join(line + "\n" for line in asked), encoding="utf-8")
        call_command(command, str(file), stdout=written)
    return written.getvalue().splitlines()


def keep(command: str, asked: list[str]) -> None:
    pairs = zip(asked, answers(command, asked), strict=True)
    text = "".join(json.dumps(pair) + "\n" for pair in pairs)
    (HERE / f"{command}.jsonl.gz").write_bytes(gzip.compress(text.encode(), 9, mtime=0))
