"""One file with everything that a garage keeps: database, photos, clips, papers and keys."""

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from garage.core.backups.kept import WhyMade
from garage.core.errors import Refused
from garage.running.backups.making import back_up, megabytes


class Command(BaseCommand):
    requires_system_checks = ()  # they load every page, and nothing here needs one
    help = "Makes a backup, also while the garage runs, reads it back to compare, and says where it is."

    def handle(self, *args: object, **options: object) -> None:
        try:
            made = back_up(WhyMade.BY_HAND, now=timezone.now())
        except Refused as error:
            raise CommandError(error.sentence) from error
        self.stdout.write(
            f"{made} ({megabytes(made.stat().st_size)}). Keep it like a key: whoever has it can read all of it."
        )
