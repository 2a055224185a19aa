"""Gates: the open one, the last, those with strobe readings, and the one that packers are taken for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from diagnostics.core.gate_list import BENCH_LINES, line_called
from diagnostics.core.gate_people import GatePerson, not_for_the_road
from diagnostics.core.gate_sheet import GateSheet
from diagnostics.models.gates import Gate, GateItem
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
    return over.select_related("by", "ended_by", "overridden_by").first()


def answers_of(gate: Gate) -> dict[str, GateItem]:
    """The standing answers, by line."""
    return {row.item: row for row in gate.items.select_related("by")}


def sheet_of_gate(gate: Gate, answers: Mapping[str, GateItem]) -> GateSheet:
    """What was found so far, as the core takes it."""
    ticked = {item: row for item, row in answers.items() if (line := line_called(item)) and line.results}
    pressure = (float(gate.compression), gate.compression_unit) if gate.compression is not None else None
    return GateSheet(
        results={item: row.result for item, row in ticked.items()},
        words={item: row.words for item, row in ticked.items() if row.words},
        rev_out=gate.rev_out,
        strobe=tuple((float(rpm), float(deg)) for rpm, deg in gate.strobe_readings),
        not_seen=gate.strobe_not_seen,
        compression=pressure,
        highest_rpm=gate.highest_rpm,
        fuel_mix=gate.fuel_mix,
        second_person=gate.second_person,
        second_id=gate.second_id,
    )


def ran_by(gate: Gate, answers: Iterable[GateItem]) -> frozenset[int]:
    """The ids of those who ran it: who began it, and whoever answered a line or ended it."""
    people = (gate.by_id, gate.ended_by_id, *(row.by_id for row in answers))
    return frozenset(person for person in people if person is not None)


def let_through_of(gate: Gate) -> list[str]:
    """What failed it and was overridden, as sentences; it stands until the gate fails anew."""
    return list(gate.fails) if gate.overridden_by_id else []


def not_for_the_road_of(visit: Visit) -> tuple[str, ...]:
    """What of its last gate at the bench stands against a test ride, as sentences."""
    lines = [line.id for line in BENCH_LINES]
    gate = Gate.objects.filter(visit=visit, items__item__in=lines).first()
    if gate is None:
        return ()
    return not_for_the_road({item: row.result for item, row in answers_of(gate).items()}, let_through_of(gate))


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
