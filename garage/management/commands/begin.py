"""Sets up a garage without the demo, with its first boss."""

import getpass

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from garage.changes.shop.begin import begin
from garage.core.errors import Showable


class Command(BaseCommand):
    help = "Sets up the shop and its boss in an empty database (from --demo never). Asks for the boss's password."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--garage", required=True, help="the garage's name")
        parser.add_argument("--mail", required=True, help="its email address")
        parser.add_argument("--telephone", required=True, help="its telephone number")
        parser.add_argument("--log-in", default="boss", help="the boss's log-in name (default: boss)")

    def handle(self, *args: object, garage: str, mail: str, telephone: str, log_in: str, **options: object) -> None:
        try:
            password = getpass.getpass("Password of the boss: ")
            begin(
                garage=garage,
                email=mail,
                telephone=telephone,
                log_in_name=log_in,
                password=password,
                now=timezone.now(),
            )
        except Showable as error:
            raise CommandError(error.sentence) from error
        except (EOFError, KeyboardInterrupt) as error:
            raise CommandError("Nothing was set up: no password was given.") from error
        self.stdout.write(f'Done. Log in as "{log_in}": the pages lead through what is still missing.')
