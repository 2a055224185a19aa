"""Packers taken from stock for a machine whose pickup is not level, and put back."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from diagnostics.models.gates import Gate
from diagnostics.reads.gates import gates_with_readings, taking_gate
from garage.changes.day.locks import visit_for_change
from garage.changes.shop import packer_stock
from garage.core.errors import Refused
from garage.core.text.packer_words import stack_words
from garage.models.people import Person
from garage.models.visits import Visit


@transaction.atomic
def take(visit: Visit, *, packers_mm: Sequence[Decimal], by: Person, now: datetime) -> None:
    """Once for each set of readings: pressing the button a second time takes nothing."""
    visit = visit_for_change(visit)
    gate = _gate(visit)
    if gate.packers_mm:
        raise Refused(f"Packers of {_words(gate)} were already taken for these readings: put them back first.")
    packer_stock.take_out(visit, packers_mm=packers_mm, by=by, now=now)
    gate.packers_mm = [f"{one.normalize():f}" for one in packers_mm]
    gate.save(update_fields=["packers_mm"])


@transaction.atomic
def put_back(visit: Visit, *, by: Person, now: datetime) -> None:
    visit = visit_for_change(visit)
    gate = _gate(visit)
    if not gate.packers_mm:
        raise Refused("No packers were taken for these readings.")
    packer_stock.put_back(visit, packers_mm=[Decimal(one) for one in gate.packers_mm], by=by, now=now)
    gate.packers_mm = []
    gate.save(update_fields=["packers_mm"])


def _gate(visit: Visit) -> Gate:
    gate = taking_gate(gates_with_readings(visit.machine))
    if gate is None or gate.visit_id != visit.pk:
        raise Refused(
            "Packers are taken for a machine that is here and whose last readings advance: those of this visit do not."
        )
    return gate


def _words(gate: Gate) -> str:
    return stack_words([Decimal(one) for one in gate.packers_mm])
