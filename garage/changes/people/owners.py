"""Owners and machines: contacts corrected, duplicates joined and separated again exactly as they were."""

from datetime import datetime
from typing import TypedDict, TypeVar

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import models, transaction
from django.db.models import Q

from garage.changes import trail
from garage.changes.shop.shop import put
from garage.core.errors import BadInput, Refused
from garage.core.text.languages import LANGUAGES
from garage.models.actors import Actor
from garage.models.owners import Join, Machine, Owner
from garage.models.people import Person
from garage.models.visits import Visit

OWNER, MACHINE = "owner", "machine"
Movable = TypeVar("Movable", bound=models.Model)
Joinable = TypeVar("Joinable", Owner, Machine)


class Moved(TypedDict, total=False):
    """The keys of the rows that a join moved."""

    machines: list[int]
    visits: list[int]


def change_contact(
    owner: Owner,
    *,
    name: str,
    email: str,
    telephone: str,
    address: str,
    is_business: bool,
    language: str,
    by: Person,
    now: datetime,
) -> None:
    """Unsent messages keep the address they were written to until somebody retries them."""
    if not email and not telephone:
        raise BadInput("Telephone", telephone, "a number, when there is no email address")
    if email:
        _check_email(email)
    with transaction.atomic():
        row = Owner.objects.select_for_update().get(pk=owner.pk)
        if row.erased_at:
            raise Refused("This owner has been erased. Whoever brings a machine again gets a record of their own.")
        contact = {"name": name, "email": email, "telephone": telephone, "address": address}
        changed = put(row, contact | {"is_business": is_business, "language": language})
        if changed:
            trail.wrote(did="changed the contact", about=f"owner {owner.pk}", by=by, now=now, changed=changed)


def speak_with(owner: Owner, *, language: str, by: Actor, now: datetime) -> None:
    """Its pages, mails and papers are in that language from now on. What was written stays as it is."""
    if language not in LANGUAGES:
        raise BadInput("Language", language, ", ".join(LANGUAGES.values()))
    with transaction.atomic():
        row = Owner.objects.select_for_update().get(pk=owner.pk)
        if put(row, {"language": language}):
            trail.wrote(did=f"speaks {LANGUAGES[language]}", about=f"owner {owner.pk}", by=by, now=now)


def want_no_service_reminders(owner: Owner, *, by: Actor, now: datetime) -> None:
    """Of any machine, and for good: it is not asked again with the next visit."""
    _say_of_reminders(owner, now, "wants no service reminders", by=by, now=now)


def want_service_reminders(owner: Owner, *, by: Actor, now: datetime) -> None:
    """Takes the no back."""
    _say_of_reminders(owner, None, "wants service reminders again", by=by, now=now)


def _say_of_reminders(owner: Owner, no_since: datetime | None, did: str, *, by: Actor, now: datetime) -> None:
    with transaction.atomic():
        rows = Owner.objects.select_for_update().filter(Q(pk=owner.pk) | Q(joined_into=owner))
        told = [row for row in rows if (row.no_service_at is None) != (no_since is None)]
        Owner.objects.filter(pk__in=[row.pk for row in told]).update(no_service_at=no_since)
        if told:
            trail.wrote(did=did, about=f"owner {owner.pk}", by=by, now=now)


def join_owners(kept: Owner, duplicate: Owner, *, by: Person, now: datetime) -> Join:
    """The duplicate's machines and visits move to the kept one. Its own record stays, marked as joined."""
    with transaction.atomic():
        kept, duplicate = _two(Owner.objects.all(), kept.pk, duplicate.pk)
        moved = Moved(
            machines=_move(Machine.objects.filter(owner=duplicate), owner=kept),
            visits=_move(Visit.objects.filter(owner=duplicate), owner=kept),
        )
        return _joined(OWNER, kept, duplicate, moved, by=by, now=now)


def join_machines(kept: Machine, duplicate: Machine, *, by: Person, now: datetime) -> Join:
    """The duplicate's visits move to the kept machine, whoever brought it: history belongs to the machine."""
    with transaction.atomic():
        kept, duplicate = _two(Machine.objects.all(), kept.pk, duplicate.pk)
        moved = Moved(visits=_move(Visit.objects.filter(machine=duplicate), machine=kept))
        return _joined(MACHINE, kept, duplicate, moved, by=by, now=now)


def undo_join(join: Join, *, by: Person, now: datetime) -> None:
    """Moves back exactly what the join moved. Anything newer stays with the kept record."""
    with transaction.atomic():
        join = Join.objects.select_for_update().get(pk=join.pk)
        if join.undone_at:
            raise Refused("This joining has already been undone.")
        did = _part_owners(join) if join.what == OWNER else _part_machines(join)
        join.undone_at = now
        join.save(update_fields=["undone_at"])
        trail.wrote(did=did, about=f"{join.what} {join.kept_id}", by=by, now=now, **join.moved)


def _part_owners(join: Join) -> str:
    kept, duplicate = _still_joined(Owner.objects.all(), join)
    _move(Visit.objects.filter(pk__in=join.moved["visits"], owner=kept), owner=duplicate)
    _move(Machine.objects.filter(pk__in=join.moved["machines"], owner=kept), owner=duplicate)
    return _parted(join, kept, duplicate)


def _part_machines(join: Join) -> str:
    kept, duplicate = _still_joined(Machine.objects.all(), join)
    _move(Visit.objects.filter(pk__in=join.moved["visits"], machine=kept), machine=duplicate)
    return _parted(join, kept, duplicate)


def _still_joined(rows: models.QuerySet[Joinable], join: Join) -> tuple[Joinable, Joinable]:
    kept, duplicate = rows.get(pk=join.kept_id), rows.get(pk=join.joined_id)
    if kept.joined_into_id:
        raise Refused(f"{kept} has itself been joined to another since: undo that first.")
    return kept, duplicate


def _parted(join: Join, kept: Joinable, duplicate: Joinable) -> str:
    """What was done, in words."""
    duplicate.joined_into = None
    duplicate.save(update_fields=["joined_into"])
    return f"parted {duplicate} ({join.what} {duplicate.pk}) from {kept} again"


def _two(every: models.QuerySet[Joinable], kept_id: int, duplicate_id: int) -> tuple[Joinable, Joinable]:
    """Both rows, locked in a fixed order so that two joins cannot deadlock."""
    if kept_id == duplicate_id:
        raise Refused("These are already one record.")
    found = every.select_for_update().filter(pk__in=[kept_id, duplicate_id]).order_by("pk")
    rows = {row.pk: row for row in found}
    for row in rows.values():
        if row.joined_into_id:
            raise Refused(f"{row} has been joined to another already.")
    return rows[kept_id], rows[duplicate_id]


def _move(rows: models.QuerySet[Movable], **to: models.Model) -> list[int]:
    ids = list(rows.order_by("pk").values_list("pk", flat=True))
    rows.filter(pk__in=ids).update(**to)
    return ids


def _joined(what: str, kept: Joinable, duplicate: Joinable, moved: Moved, *, by: Person, now: datetime) -> Join:
    duplicate.joined_into = kept
    duplicate.save(update_fields=["joined_into"])
    join = Join.objects.create(what=what, kept_id=kept.pk, joined_id=duplicate.pk, moved=moved, at=now, by=by)
    trail.wrote(
        did=f"joined {duplicate} ({what} {duplicate.pk}) to {kept}", about=f"{what} {kept.pk}", by=by, now=now, **moved
    )
    return join


def _check_email(email: str) -> None:
    try:
        validate_email(email)
    except ValidationError as error:
        raise BadInput("Email address", email, "an address such as name@example.org") from error
