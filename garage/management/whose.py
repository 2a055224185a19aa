"""Whose log-in a command at the machine is about."""

from django.core.management.base import CommandError

from garage.models.people import Person
from garage.reads.people import bosses, person_called


def whose(log_in: str, *, command: str) -> Person:
    """The person with that log-in name, or the boss if none is given. command: named in the sentence that asks."""
    found = [person for person in [person_called(log_in)] if person] if log_in else list(bosses())
    if len(found) == 1:
        return found[0]
    names = ", ".join(person.username for person in bosses())
    if not names:
        raise CommandError("There is no boss yet: set up the garage with the command begin.")
    if log_in:
        raise CommandError(f"Nobody has the log-in name {log_in!r}. The boss logs in as: {names}.")
    raise CommandError(f"There are several: say which, as in {command} {found[0].username}. They are: {names}.")
