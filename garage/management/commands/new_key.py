"""A new key that signs personal links and log-ins. The earlier ones still open them, until they are forgotten."""

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from garage.running import keys, running_lock
from garage.running.machine import Unfit


class Command(BaseCommand):
    requires_system_checks = ()  # they load every page, and nothing here needs one
    help = (
        "Makes a new key in DATA. Personal links and log-ins go on with the earlier keys. With --forget-old it makes "
        "none and drops the earlier ones: what they have signed opens nothing any more, and phones that were set up "
        "with them for the second factor give wrong codes."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--forget-old", action="store_true", help="drop the earlier keys instead")

    def handle(self, *args: object, forget_old: bool, **options: object) -> None:
        if settings.KEY_IS_GIVEN:
            raise CommandError(
                "The key is given by SECRET_KEY. Put the new one there, and the old one into SECRET_KEY_FALLBACKS."
            )
        try:
            with running_lock.held_meanwhile(settings.DATA, says="its key is being changed"):
                self.stdout.write(_forget_old() if forget_old else _make_new())
        except (Unfit, OSError) as error:
            raise CommandError(str(error)) from error


def _make_new() -> str:
    kept = _kept()
    keys.write_keys(settings.DATA, [keys.new_key(), *kept])
    return "There is a new key. Links and log-ins of before go on; --forget-old ends them."


def _forget_old() -> str:
    in_force, *old = _kept()
    keys.write_keys(settings.DATA, [in_force])
    return f"Forgotten: {len(old)}. What was signed with them opens nothing any more."


def _kept() -> list[str]:
    kept = keys.kept_keys(settings.DATA)
    if not kept:
        raise CommandError(f"There is no key in {settings.DATA} yet: the first start of the garage makes one.")
    return kept
