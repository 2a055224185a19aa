"""Lists of machine kinds and owners: kept after the look, taken in all at once or not at all, forgotten after a day."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.db import transaction

from garage import events
from garage.changes import trail
from garage.changes.shop.shop import put
from garage.core.errors import Refused
from garage.core.keeping.periods import LISTS
from garage.core.lists.plan import LineCounts, ListPlan, ListRow, counts_in_words
from garage.models.actors import Actor
from garage.models.list_files import ListFile
from garage.models.owners import Machine, MachineKind, Owner
from garage.models.people import Person
from garage.models.shop import Shop
from garage.reads.lists import planned

BATCH = 500  # rows written at a time: SQLite takes a limited number of values


def keep(*, what: str, name: str, content: bytes, by: Person, now: datetime) -> ListFile:
    """Raises BadInput for a file that cannot be read as such a list."""
    planned(what, content)
    return ListFile.objects.create(what=what, name=name[:120], content=content, at=now, by=by)


def take_kept(row: ListFile, *, seen: LineCounts, only_good: bool, by: Person, now: datetime) -> None:
    """seen: what the look said."""
    with transaction.atomic():
        take(row.what, bytes(row.content), name=row.name, seen=seen, only_good=only_good, by=by, now=now)
        row.delete()


@transaction.atomic
def take(
    what: str, raw: bytes, *, name: str, seen: LineCounts | None, only_good: bool, by: Actor, now: datetime
) -> ListPlan:
    """Reads it again and writes what it says. seen: what the look said; None where nobody looked.

    Refused where a line is, unless only the good ones are wanted, and where the garage has changed since the look.
    """
    Shop.objects.select_for_update().get()  # one list at a time
    plan = planned(what, raw)
    if seen is not None and plan.counts != seen:
        raise Refused(
            "Nothing was taken in: something has changed since you looked. "
            f"Then: {counts_in_words(seen)}. Now: {counts_in_words(plan.counts)}. Look at it again below."
        )
    if plan.counts.refused and not only_good:
        raise Refused(_not_all_good(plan.counts.refused))
    write = _write_kinds if what == ListFile.KINDS else _write_owners
    write(plan.rows, by=by, now=now)
    did = f"took in the list {name}: {counts_in_words(plan.counts)}"
    trail.wrote(did=did, about="the shop", by=by, now=now, what=what)
    return plan


def _not_all_good(refused: int) -> str:
    which, mend = ("1 line", "it") if refused == 1 else (f"{refused} lines", "them")
    return f"Nothing was taken in: {which} cannot be used. Mend {mend}, or take the good ones."


def forget(row: ListFile) -> None:
    row.delete()


def sweep(*, now: datetime) -> None:
    ListFile.objects.filter(at__lt=LISTS.before(now)).delete()


def _write_kinds(rows: Sequence[ListRow], *, by: Actor, now: datetime) -> None:
    new = [MachineKind(**row.values) for row in rows if row.id is None]
    MachineKind.objects.bulk_create(new, batch_size=BATCH)
    known = MachineKind.objects.select_for_update().in_bulk([row.id for row in rows if row.id is not None])
    for row in rows:
        if row.id is not None:
            kind = known[row.id]
            _write(kind, row, did=f"changed the machine kind {kind}", about="the shop", by=by, now=now)
            events.machine_kind_measured.send(sender=MachineKind, kind=kind, now=now)


def _write_owners(rows: Sequence[ListRow], *, by: Actor, now: datetime) -> None:
    owners = [Owner(first_seen_at=now, **row.values) if row.id is None else row.id for row in rows]
    Owner.objects.bulk_create([row for row in owners if isinstance(row, Owner)], batch_size=BATCH)
    known = Owner.objects.select_for_update().in_bulk([row.id for row in rows if row.id is not None])
    machines: list[Machine] = []
    for row, owner in zip(rows, owners, strict=True):
        if not isinstance(owner, Owner):
            owner = known[owner]
            about = f"owner {owner.pk}"
            _write(owner, row, did=f"filled in what was missing of {owner}, from a list", about=about, by=by, now=now)
        machines += [Machine(owner=owner, **part.values) for part in row.parts if part.id is None]
        _fill_machines([part for part in row.parts if part.id is not None], by=by, now=now)
    Machine.objects.bulk_create(machines, batch_size=BATCH)


def _fill_machines(parts: Sequence[ListRow], *, by: Actor, now: datetime) -> None:
    known = Machine.objects.select_for_update().in_bulk([part.id for part in parts]) if parts else {}
    for part in parts:
        machine = known[part.id]
        did = f"filled in what was missing of {machine.words}, from a list"
        _write(machine, part, did=did, about=f"machine {machine.pk}", by=by, now=now)
        events.machine_measured.send(sender=Machine, machine=machine, now=now)


def _write(row: Any, wanted: ListRow, *, did: str, about: str, by: Actor, now: datetime) -> None:
    changed = put(row, wanted.values)
    if changed:
        trail.wrote(did=did, about=about, by=by, now=now, changed=changed)
