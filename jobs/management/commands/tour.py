"""Plays the story through the real pages on a throw-away database and leaves its papers."""

import tempfile
from argparse import ArgumentParser
from pathlib import Path

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from garage.core.errors import Showable
from jobs.tour.facts import LONDON, another_owner, of_seed
from jobs.tour.stage import Stage, founded, use_a_throw_away_garage
from jobs.tour.story import played
from jobs.tour.telling import Mismatch, Telling
from jobs.tour.visitor import Astray


class Command(BaseCommand):
    help = (
        "Plays one visit from booking to payment on a throw-away database, and one that takes the time it gave back. "
        "Every value it prints was read back from a page, an email or a paper."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--seed", type=int, default=1, help="chooses the names, times and prices")
        parser.add_argument(
            "--out", type=Path, default=settings.BASE_DIR / "var" / "tour", help="folder for its papers"
        )

    def handle(self, *args: object, seed: int, out: Path, **options: object) -> None:
        try:
            out.mkdir(parents=True, exist_ok=True)
            with tempfile.TemporaryDirectory(prefix="tickover-tour-") as folder:
                self._play(seed, out, Path(folder))
        except OSError as error:
            raise CommandError(f"{error.filename} cannot be written: {error.strerror}.") from error
        except (Mismatch, Astray, Showable) as trouble:
            raise CommandError(f"The tour stops here: {trouble}") from trouble
        papers = ", ".join(sorted(path.name for path in out.iterdir()))
        self.stdout.write(f"\nIts papers are in {out}: {papers}.")

    def _play(self, seed: int, out: Path, folder: Path) -> None:
        facts = of_seed(seed)
        mailbox = use_a_throw_away_garage(folder)
        tell = Telling(self.stdout.write)
        stage = Stage(facts, tell, papers=out, mailbox=mailbox, local=LONDON, garage=founded(facts))
        played(stage, stage.of_another_owner(another_owner(seed)))
