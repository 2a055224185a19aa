"""Puts a backup in the place of what is in DATA and in the database."""

from pathlib import Path

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from garage.core.errors import Refused
from garage.running.backups.folder import backups
from garage.running.backups.restoring import Restored, restore

LISTED = 10


class Command(BaseCommand):
    requires_system_checks = ()  # they load every page, and nothing here needs one
    help = "Puts a backup back. The garage must not be running. Without FILE it lists the newest backups."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", nargs="?", type=Path, metavar="FILE", help="what `manage.py backup` has written")
        parser.add_argument("--over", action="store_true", help="also over a garage; a copy of it is made first")

    def handle(self, *args: object, file: Path | None, over: bool, **options: object) -> None:
        if file is None:
            raise CommandError(_which())
        try:
            done = restore(file, over=over, now=timezone.now(), tell=self._tell)
        except Refused as error:
            raise CommandError(error.sentence) from error
        self.stdout.write("\n".join(_told(file, done)))

    def _tell(self, words: str) -> None:
        """At once, also into a pipe: who waits sees how far it is."""
        self.stdout.write(words)
        self.stdout.flush()


def _which() -> str:
    names = [str(one.name) for one in backups()[:LISTED]]
    if not names:
        return "Say which backup: FILE=/path/of/the/backup.zip. There is none in the folder of backups."
    return "\n".join(["Say which backup, as in make restore FILE=…. The newest (times in UTC):", *names])


def _told(file: Path, done: Restored) -> list[str]:
    lines = [f"Put back: {file}, made {done.manifest.made_at:%-d %B %Y %H:%M} UTC, {len(done.manifest.files)} files."]
    if done.copied_to:
        lines.append(f"What was here before is kept in {done.copied_to}.")
    if not done.keys_count:
        lines.append(
            "SECRET_KEY is another key here: personal links of this backup open once its key, the first line of "
            "secret.key in DATA, stands in SECRET_KEY or SECRET_KEY_FALLBACKS."
        )
    lines.append("Emails that waited when it was made go out after the next start, and log-ins of then count again.")
    return lines
