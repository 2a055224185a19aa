"""For somebody whose phone and spare codes are gone, for whoever sits at the machine: the boss first of all."""

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from garage.changes.people import second_factor
from garage.core.errors import Showable
from garage.management.whose import whose


class Command(BaseCommand):
    help = "Forgets a second factor, the boss's if no log-in name is given. The password stays. The trail says so."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("log_in", nargs="?", default="", metavar="LOG-IN NAME", help="whose (default: the boss)")

    def handle(self, *args: object, log_in: str, **options: object) -> None:
        person = whose(log_in, command="forget_second_factor")
        try:
            second_factor.forget_at_the_machine(person, now=timezone.now())
        except Showable as error:
            raise CommandError(error.sentence) from error
        self.stdout.write(f"Done. {person.name} logs in with the password alone, and sets it up again if it must be.")
