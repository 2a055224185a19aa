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
from garage.core.backups.kept import WhyMade
from garage.core.errors import Refused
from garage.running.backups.making import back_up
from garage.running.backups.restoring import cut_short
from garage.running.keys import kept_keys
from garage.running.machine import FIRST_RUN
from garage.running.parts import signs

FOLDERS = ("media", "static", "broker/tasks", "broker/control", "signs")


class Command(BaseCommand):
    requires_system_checks = ()  # they load every page: a second of each start, and `make lint` runs them
    help = "Makes the folders under DATA, migrates the database and, on the first run only, loads the demo."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--demo", choices=("first", "never"), default="first")

    def handle(self, *args: object, demo: str, **options: object) -> None:
        if trouble := cut_short(settings.DATA):
            raise CommandError(trouble)
        try:
            for folder in FOLDERS:
                (settings.DATA / folder).mkdir(mode=0o700, parents=True, exist_ok=True)
            for part in (signs.BEAT, signs.WORKER, signs.HEARING_WORKER):  # from now on they have to be heard of
                signs.give(settings.DATA, part)
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
        self._mark_first_run(is_new, demo)
        if executor.migration_plan(executor.loader.graph.leaf_nodes()):
            if not is_new:
                self._copy_first()
            self.stdout.write("Making the database." if is_new else "Bringing the database up to date.")
            call_command("migrate", interactive=False, verbosity=0)

    def _mark_first_run(self, is_new: bool, demo: str) -> None:
        """A folder with a key has been a garage before: an emptied database there is no first run, and the demo's
        log-ins, which anybody can read, must not open it. The supervisor marks a folder before it makes the key.
        """
        if demo == "never":
            self._mark.unlink(missing_ok=True)
        elif is_new and not self._mark.exists():
            if kept_keys(settings.DATA):
                raise CommandError(
                    f"The database is empty, but {settings.DATA} was a garage before: its key is there. Put a backup "
                    "back (make restore), start empty (DEMO=never), or see the demo in another folder (DATA=/path)."
                )
            self._mark.touch()

    def _copy_first(self) -> None:
        if not settings.BACKUPS_KEPT:
            return
        try:
            made = back_up(WhyMade.BEFORE_UPDATE, now=timezone.now())
        except Refused as error:
            raise CommandError(
                f"Nothing was brought up to date, since no copy could be made first. {error.sentence} "
                "Whoever makes backups in another way can start with BACKUPS_KEPT=0."
            ) from error
        self.stdout.write(f"Copied first to {made}.")

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
        return settings.DATA / FIRST_RUN


def _executor() -> MigrationExecutor:
    """Opens the database and reads which migrations it already has."""
    try:
        return MigrationExecutor(connection)
    except DatabaseError as error:  # a file that is not a database does not raise an OperationalError
        raise CommandError(f"The database cannot be used: {_first_line(error)}") from error


def _first_line(error: DatabaseError) -> str:
    return (str(error).strip().splitlines() or ["no reason given"])[0].rstrip(".") + "."
