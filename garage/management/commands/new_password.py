"""A new password for somebody who has forgotten theirs, for whoever sits at the machine: the boss first of all."""

import getpass

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from garage.changes.people import people
from garage.core.errors import Showable
from garage.models.people import Person
from garage.reads.people import bosses, person_called


class Command(BaseCommand):
    help = "Sets a new password, of the boss if no log-in name is given. Asks for it twice. The trail says so."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("log_in", nargs="?", default="", metavar="LOG-IN NAME", help="whose (default: the boss)")

    def handle(self, *args: object, log_in: str, **options: object) -> None:
        person = _whose(log_in)
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


def _whose(log_in: str) -> Person:
    found = [person for person in [person_called(log_in)] if person] if log_in else list(bosses())
    if len(found) == 1:
        return found[0]
    names = ", ".join(person.username for person in bosses())
    if not names:
        raise CommandError("There is no boss yet: set up the garage with the command begin.")
    if log_in:
        raise CommandError(f"Nobody has the log-in name {log_in!r}. The boss logs in as: {names}.")
    raise CommandError(f"There are several: say which, as in new_password {found[0].username}. They are: {names}.")
