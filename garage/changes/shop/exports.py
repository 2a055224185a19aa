"""The export of everything: asked for, made by a task that says how far it is, taken away, forgotten after a day."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from django.db import transaction
from django.db.models import QuerySet

from garage.changes import trail
from garage.core.errors import Refused
from garage.core.keeping.periods import WHOLE_EXPORTS
from garage.models.actors import Actor
from garage.models.exports import WholeExport
from garage.models.people import Person
from garage.models.shop import Shop
from garage.reads.exports import export_path, exports_folder, last_export
from garage.wake import wake

MAKE = "garage.tasks.make_export"


@transaction.atomic
def ask(*, by: Person, now: datetime) -> WholeExport:
    """Takes the place of the one before. Refused while that is still being made."""
    Shop.objects.select_for_update().get()
    before = last_export()
    if before and before.is_waiting:
        raise Refused("It is being made already.")
    WholeExport.objects.all().delete()
    export = WholeExport.objects.create(id=1, asked_at=now, asked_by=by)
    trail.wrote(did="asked for the export of everything", about="the shop", by=by, now=now)
    wake(MAKE)
    return export


def begun(export: WholeExport, *, in_all: int) -> None:
    _waiting(export).update(in_all=in_all, done=0)


def got_to(export: WholeExport, done: int) -> None:
    _waiting(export).update(done=done)


def made(export: WholeExport, *, done: int, size_bytes: int, now: datetime) -> None:
    _waiting(export).update(done=done, in_all=done, made_at=now, size_bytes=size_bytes)


def failed(export: WholeExport, *, why: str) -> None:
    _waiting(export).update(trouble=why[:300])


def taken(export: WholeExport | None, *, by: Person, now: datetime) -> Path:
    """Its file. Refused where there is none. Who takes everything away is noted before it is given."""
    path = export_path(export) if export and export.made_at else None
    if path is None or not path.exists():
        raise Refused("There is no file to take away. Ask for a new one.")
    trail.wrote(did="took away the export of everything", about="the shop", by=by, now=now)
    return path


@transaction.atomic
def forget(*, by: Person, now: datetime) -> None:
    """Before its day is over. Its file goes with the next sweep if it cannot be deleted at once."""
    if WholeExport.objects.all().delete()[0]:
        trail.wrote(did="deleted the export of everything", about="the shop", by=by, now=now)
    transaction.on_commit(delete_files_of_none)


def forget_with_an_owner(*, by: Actor, now: datetime) -> None:
    """Within the change that erases one, at its end: the file has them still. Who asks for a new one waits for that
    change, so the new one has them no more.
    """
    list(Shop.objects.select_for_update())
    if WholeExport.objects.all().delete()[0]:
        did = "deleted the export of everything: it held an owner who is erased"
        trail.wrote(did=did, about="the shop", by=by, now=now)
    transaction.on_commit(delete_files_of_none)


def sweep(*, now: datetime) -> None:
    WholeExport.objects.filter(asked_at__lt=WHOLE_EXPORTS.before(now)).delete()
    delete_files_of_none()


def delete_files_of_none() -> None:
    """Also what a worker that was switched off has left half made."""
    export = last_export()
    kept = export_path(export).name if export else None
    for path in exports_folder().glob("*"):
        if kept is None or not path.name.startswith(kept):
            path.unlink(missing_ok=True)


def _waiting(export: WholeExport) -> QuerySet[WholeExport]:
    return WholeExport.objects.filter(pk=export.pk, asked_at=export.asked_at, made_at=None)
