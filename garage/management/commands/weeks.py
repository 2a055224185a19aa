"""`python manage.py weeks`: drawn weeks under today's practice, a plain rule, this planner and foresight."""

from __future__ import annotations

from argparse import ArgumentTypeError
from collections.abc import Callable
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from garage.core.planning.weeks.compared import compared, table
from garage.core.planning.weeks.practices import Policy, Practice
from garage.management.manual import AsWritten

LEAST_WEEKS, MOST_WEEKS = 2, 10_000
MOST_SEED = 2**32 - 1
MOST_GUARD_MIN, MOST_ROOM_PERCENT = 120, 100


class Command(BaseCommand):
    help = "Compares practices on weeks drawn by chance: useful roller minutes, worth, promises kept."
    requires_system_checks = ()
    requires_migrations_checks = False

    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> CommandParser:
        manual = Path(__file__).with_suffix(".txt").read_text(encoding="utf-8")
        return super().create_parser(prog_name, subcommand, formatter_class=AsWritten, epilog=manual, **kwargs)

    def add_arguments(self, parser: CommandParser) -> None:
        weeks, seed = _whole(LEAST_WEEKS, MOST_WEEKS), _whole(0, MOST_SEED)
        parser.add_argument("--weeks", type=weeks, default=4, help="how many, of five days; 4 if not given")
        parser.add_argument("--seed", type=seed, default=1, help="other chances; 1 if not given")
        parser.add_argument(
            "--guard",
            type=_whole(0, MOST_GUARD_MIN),
            default=Policy().guard_min,
            help="minutes clear before a promise, as in the shop; 10 if not given",
        )
        parser.add_argument(
            "--room",
            type=_whole(0, MOST_ROOM_PERCENT),
            default=0,
            help="percent of its planned minutes kept free behind a session without a promise; 0 if not given",
        )

    def handle(self, *args: object, weeks: int, seed: int, guard: int, room: int, **options: object) -> None:
        self.stdout.write(f"{weeks} weeks, seed {seed}, guard {guard} min, room {room} %.")
        policies = {Practice.PLANNED.value: Policy(guard, room=room / 100)}
        for one in compared(seed, policies, range(weeks)):
            self.stdout.write("\n" + "\n".join(table(one)))


def _whole(least: int, most: int) -> Callable[[str], int]:
    def read(text: str) -> int:
        if text.isascii() and text.isdigit() and len(text) <= len(str(most)) and least <= int(text) <= most:
            return int(text)
        raise ArgumentTypeError(f"{text[:20]} cannot be used: a whole number from {least} to {most} is needed.")

    return read
