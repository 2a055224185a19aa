"""Everything that the garage keeps, as one file that other programs can read, for whoever leaves."""

from pathlib import Path
from zipfile import ZIP_DEFLATED

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from garage.pages.everything import count_everything, file_name, write_everything
from garage.reads.shop import shop_or_none
from garage.running.backups.archive import new_archive
from garage.running.backups.making import megabytes


class Command(BaseCommand):
    help = (
        "Writes every table as JSON, with photos, clips, papers and run files, into one ZIP file. A read-me is inside."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", nargs="?", default="", help="where to (default: everything-DATE.zip, here)")

    def handle(self, *args: object, file: str, **options: object) -> None:
        shop, now = shop_or_none(), timezone.now()
        if shop is None:
            raise CommandError("There is nothing yet: set up the garage with the command begin.")
        path = Path(file or file_name(now))
        try:
            self._write(path, shop_name=shop.name)
        except FileExistsError as error:
            raise CommandError(f"{path} is there already. Name another file, or delete that one.") from error
        except OSError as error:
            path.unlink(missing_ok=True)
            raise CommandError(f"{path} could not be written: {error.strerror}.") from error
        self.stdout.write(
            f"{path} ({megabytes(path.stat().st_size)}). Whoever has it can read everything about owners and people."
        )

    def _write(self, path: Path, *, shop_name: str) -> None:
        in_all = count_everything()
        with new_archive(path, compression=ZIP_DEFLATED) as archive:
            write_everything(
                archive, shop_name=shop_name, now=timezone.now(), progress=lambda done: self._tell(done, in_all)
            )

    def _tell(self, done: int, in_all: int) -> None:
        if self.stderr.isatty():
            self.stderr.write(f"\r{done} of about {in_all} records", ending="")
