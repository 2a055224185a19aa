"""Gates: the open one, the last, those with strobe readings, and the one that packers are taken for."""

from __future__ import annotations

from collections.abc import Sequence

from diagnostics.core.gate_people import GatePerson
from diagnostics.models.gates import Gate
from garage.core import states
from garage.models.owners import Machine
from garage.models.people import Person
from garage.models.visits import Visit

ADVANCES = "advances"
KEPT = 12  # most gates with readings that a page looks back on


def open_gate_of(visit: Visit) -> Gate | None:
    return Gate.objects.filter(visit=visit, ended_at=None).first()


def last_gate_of(visit: Visit) -> Gate | None:
    """The newest finished gate."""
    over = Gate.objects.filter(visit=visit, ended_at__isnull=False)
    return over.select_related("by", "overridden_by").first()


def ran_by(gate: Gate) -> frozenset[int]:
    """The ids of those who ran it."""
    return frozenset({gate.by_id})


def failed_lines_of(gate: Gate) -> dict[str, str]:
    """Item id to what was found, as the rule of overrides takes it."""
    return dict(gate.items.values_list("item", "result"))


def gate_person(person: Person) -> GatePerson:
    return GatePerson(person.pk, person.name, may_override=person.is_boss)


def gates_with_readings(machine: Machine) -> list[Gate]:
    """Newest first."""
    rows = Gate.objects.filter(visit__machine=machine, ended_at__isnull=False).exclude(strobe_verdict="")
    return list(rows.select_related("visit")[:KEPT])


def taking_gate(gates: Sequence[Gate]) -> Gate | None:
    """The gate that packers are taken for: the newest one, if its readings advance and the machine is here.

    gates: the machine's gates with readings, newest first.
    """
    newest = gates[0] if gates else None
    takes = newest and newest.strobe_verdict == ADVANCES and newest.visit.state in states.IN_THE_BUILDING
    return newest if takes else None
