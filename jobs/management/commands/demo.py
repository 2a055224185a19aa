"""Loads the invented garage of the demo into a fresh database and prints its log-ins."""

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone

from garage.core.errors import Refused
from jobs.demo.garage import founded_to_play, log_in_lines
from jobs.demo.visits import told


class Command(BaseCommand):
    help = "Loads the demo into an empty database: an invented garage with its people, prices and visits around today."

    def handle(self, *args: object, **options: object) -> None:
        try:
            with transaction.atomic():
                now = timezone.now()
                told(founded_to_play(now), now)
        except Refused as sentence:
            raise CommandError(f"The demo needs an empty database. {sentence}") from sentence
        self.stdout.write("\n".join(log_in_lines()))
