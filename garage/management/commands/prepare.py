"""Brings stored data up to date before a garage starts. Quick when nothing has changed."""

from io import StringIO
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import DatabaseError, OperationalError, connection, transaction
from django.db.migrations.executor import MigrationExecutor
from django.utils import timezone

from garage.changes.shop import start_code

FOLDERS = ("media", "static", "broker/tasks", "broker/control", "beat")


class Command(BaseCommand):
    requires_system_checks = ()  # they load every page: a second of each start, and `make lint` runs them
    help = "Makes the folders under DATA, migrates the database and, on the first run only, loads the demo."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--demo", choices=("first", "never"), default="first")

    def handle(self, *args: object, demo: str, **options: object) -> None:
        try:
            for folder in FOLDERS:
                (settings.DATA / folder).mkdir(mode=0o700, parents=True, exist_ok=True)
            executor = _executor()
            self._migrate(executor, demo)
            self._load_demo_once()
            self._print_start_code()
        except OperationalError as error:
            raise CommandError(f"The database cannot be used: {_first_line(error)}") from error
        except OSError as error:
            raise CommandError(f"{error.filename or settings.DATA} cannot be written: {error.strerror}.") from error

    def _migrate(self, executor: MigrationExecutor, demo: str) -> None:
        is_new = not executor.loader.applied_migrations
        if is_new and demo == "first":
            self._mark.touch()
        if executor.migration_plan(executor.loader.graph.leaf_nodes()):
            self.stdout.write("Making the database." if is_new else "Bringing the database up to date.")
            call_command("migrate", interactive=False, verbosity=0)

    def _load_demo_once(self) -> None:
        """The mark stays until the demo is loaded, so an interrupted first run loads it next time."""
        if not self._mark.exists():
            return
        self.stdout.write("Loading the demo.")
        said = StringIO()
        with transaction.atomic():
            call_command("demo", stdout=said)
        (settings.DATA / "demo-log-ins.txt").write_text(said.getvalue(), encoding="utf-8")
        self._mark.unlink()

    def _print_start_code(self) -> None:
        """Of an empty garage. It is printed here and kept nowhere."""
        code = start_code.renew(now=timezone.now())
        if code:
            self.stdout.write(
                "This garage is empty. The boss makes the first log-in in the browser, at\n"
                f"{settings.SITE_URL}/begin/ with the code {code}\n"
                "It counts once, for a day, until Tickover is started again.\n"
            )

    @property
    def _mark(self) -> Path:
        return settings.DATA / "demo-unfinished"


def _executor() -> MigrationExecutor:
    """Opens the database and reads which migrations it already has."""
    try:
        return MigrationExecutor(connection)
    except DatabaseError as error:  # a file that is not a database does not raise an OperationalError
        raise CommandError(f"The database cannot be used: {_first_line(error)}") from error


def _first_line(error: DatabaseError) -> str:
    return (str(error).strip().splitlines() or ["no reason given"])[0].rstrip(".") + "."
