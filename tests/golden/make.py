"""Asks the commands anew and keeps their answers: `python -m tests.golden.make assess plan timing`.

Done only where an answer is meant to change; the message of the commit says how. Without `--draw` the lines that are
kept already are asked again, with it they are drawn and written anew.
"""

from __future__ import annotations

import argparse
import os

import django

from tests.golden.asked import LINES
from tests.golden.kept import golden, keep


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("commands", nargs="+", choices=sorted(LINES))
    parser.add_argument("--draw", action="store_true")
    chosen = parser.parse_args()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "garage.settings")
    django.setup()
    for command in chosen.commands:
        keep(command, LINES[command]() if chosen.draw else [pair.asked for pair in golden(command)])


if __name__ == "__main__":
    main()
