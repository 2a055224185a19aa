"""What a list of machine kinds or owners is compared with, and what it would do."""

from __future__ import annotations

from typing import Any

from garage.core.duplicates import strong_signs
from garage.core.lists.kinds import CHOICES, NUMBERS, plan_kinds
from garage.core.lists.owners import KnownKind, KnownOwner, OwnedMachine, plan_owners
from garage.core.lists.plan import ListPlan
from garage.models.list_files import ListFile
from garage.models.owners import Machine, MachineKind, Owner

KIND_FIELDS = ("make", "model", *NUMBERS, *CHOICES)
MACHINE_FIELDS = ("words", "year", "registration", "kind_id")


def planned(what: str, raw: bytes) -> ListPlan:
    """The dry run. Raises BadInput for a file that cannot be read as such a list."""
    if what == ListFile.KINDS:
        return plan_kinds(raw, _kinds())
    return plan_owners(raw, _owners(), _known_kinds())


def _kinds() -> dict[int, dict[str, Any]]:
    return {row.pop("pk"): row for row in MachineKind.objects.order_by("pk").values("pk", *KIND_FIELDS)}


def _known_kinds() -> list[KnownKind]:
    return [KnownKind(row.pk, str(row), row.first_year, row.last_year) for row in MachineKind.objects.all()]


def _owners() -> list[KnownOwner]:
    """Those that stand for themselves, the oldest first; what was joined to one counts as that one's."""
    rows = {row.pk: row for row in Owner.objects.order_by("pk")}
    known = {row.pk: _known(row) for row in rows.values() if row.joined_into_id is None}
    signs: dict[int, list[tuple[str, str]]] = {}
    for row in rows.values():
        if row.joined_into_id:
            signs.setdefault(_kept(row, rows).pk, []).extend(strong_signs(row.email, row.telephone))
    for owner_id, others in signs.items():
        known[owner_id].others = others
    for machine in Machine.objects.filter(joined_into=None).order_by("pk").values("pk", "owner_id", *MACHINE_FIELDS):
        if owner := known.get(machine.pop("owner_id")):
            owner.machines.append(OwnedMachine(machine.pop("pk"), machine))
    return list(known.values())


def _known(row: Owner) -> KnownOwner:
    values = {"name": row.name, "email": row.email, "telephone": row.telephone, "address": row.address}
    return KnownOwner(row.pk, values)


def _kept(row: Owner, rows: dict[int, Owner]) -> Owner:
    while row.joined_into_id:
        row = rows[row.joined_into_id]
    return row
