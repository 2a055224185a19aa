"""A new password for somebody who has forgotten theirs, for whoever sits at the machine: the boss first of all."""

import getpass

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from garage.changes.people import people
from garage.core.errors import Showable
from garage.management.whose import whose


class Command(BaseCommand):
    help = "Sets a new password, of the boss if no log-in name is given. Asks for it twice. The trail says so."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("log_in", nargs="?", default="", metavar="LOG-IN NAME", help="whose (default: the boss)")

    def handle(self, *args: object, log_in: str, **options: object) -> None:
        person = whose(log_in, command="new_password")
        try:
            password = getpass.getpass(f"New password of {person.name}, log-in name {person.username}: ")
            if getpass.getpass("The same again: ") != password:
                raise CommandError("Nothing was changed: the two are not the same.")
            people.new_password_at_the_machine(person, password=password, now=timezone.now())
        except Showable as error:
            raise CommandError(error.sentence) from error
        except (EOFError, KeyboardInterrupt) as error:
            raise CommandError("Nothing was changed: no password was given.") from error
        self.stdout.write(f'Done. Log in as "{person.username}" with the new password.')
