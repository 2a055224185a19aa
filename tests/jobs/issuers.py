"""Runs as a program of its own: issues the invoices of some visits at the moment the others do too.

    python -m tests.jobs.issuers FOLDER NAME NUMBER [NUMBER …]

It says in FOLDER that it is ready and waits there for the file "go". A visit whose number has an "x" in front of it is
issued in a transaction that fails at its end.
"""

import os
import sys
import time
from pathlib import Path

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "garage.settings")

import django

django.setup()

from django.db import transaction

from garage.models.people import Person
from garage.models.visits import Visit
from jobs.changes import invoices


class Failed(Exception):
    """The light goes out midway."""


def main(folder: Path, name: str, numbers: list[str]) -> None:
    by = Person.objects.get(role=Person.BOSS)
    (folder / f"ready-{name}").touch()
    while not (folder / "go").exists():
        time.sleep(0.002)
    for number in numbers:
        visit = Visit.objects.get(number=int(number.removeprefix("x")))
        try:
            with transaction.atomic():
                invoices.issue(visit, by=by)
                if number.startswith("x"):
                    raise Failed
        except Failed:
            print(f"failed {number}")


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2], sys.argv[3:])
