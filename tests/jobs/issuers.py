"""Runs as a program of its own: issues the invoices of some visits at the moment the others do too.

    python -m tests.jobs.issuers FOLDER NAME NUMBER [NUMBER …]

It says in FOLDER that it is ready and waits there for the file "go". A visit whose number has an "x" in front of it is
issued in a transaction that fails at its end.
"""

import os
import sys
import time
from importlib import import_module
from pathlib import Path

import django
from django.apps import apps
from django.db import transaction
from django.utils import timezone


class Failed(Exception):
    """The light goes out midway."""


def main(folder: Path, name: str, numbers: list[str]) -> None:
    invoices, visits = import_module("jobs.changes.invoices"), apps.get_model("garage", "Visit").objects
    by = apps.get_model("garage", "Person").objects.get(role="boss")
    (folder / f"ready-{name}").touch()
    while not (folder / "go").exists():
        time.sleep(0.002)
    for number in numbers:
        visit = visits.get(number=int(number.removeprefix("x")))
        try:
            with transaction.atomic():
                invoices.issue(visit, by=by, now=timezone.now())
                if number.startswith("x"):
                    raise Failed
        except Failed:
            sys.stdout.write(f"failed {number}\n")


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "garage.settings")
    django.setup()
    main(Path(sys.argv[1]), sys.argv[2], sys.argv[3:])
