"""The gates of a visit and of its machine."""

import pytest
from django.utils import timezone

from diagnostics.changes import gates
from diagnostics.core.gate_list import AT_BENCH, STRAPPED_LINES
from diagnostics.core.gate_sheet import GateSheet
from diagnostics.reads.gates import (
    KEPT,
    answers_of,
    gates_with_readings,
    last_gate_of,
    open_gate_of,
    sheet_of_gate,
    taking_gate,
)
from garage.core import states
from tests.factories import garage
from tests.factories.diagnostics import gate_answered, gate_over, gate_sheet

pytestmark = pytest.mark.django_db
CLIMBS = {"strobe_readings": [[1400.0, 14.0], [9000.0, 19.5]], "strobe_verdict": "advances"}


def test_a_gate_is_the_open_one_until_it_is_over():
    visit = garage.visit(state=states.HERE, arrived_at=timezone.now())
    assert (open_gate_of(visit), last_gate_of(visit)) == (None, None)
    begun = gates.begin(visit, by=garage.person(), now=timezone.now())
    assert (open_gate_of(visit), last_gate_of(visit)) == (begun, None)
    first, second = gate_over(visit=visit), gate_over(visit=visit)
    assert last_gate_of(visit) == second
    assert first != second


def test_the_readings_of_a_machine_are_those_of_all_its_visits_the_newest_first():
    machine = garage.machine()
    rows = [gate_over(machine=machine, **CLIMBS) for _ in range(KEPT + 1)]
    gate_over(machine=machine, strobe_not_seen="cover")
    gate_over(**CLIMBS)
    assert gates_with_readings(machine) == rows[:0:-1]


@pytest.mark.parametrize(
    ("verdict", "state", "takes"),
    [
        ("advances", states.HERE, True),
        ("advances", states.COLLECTED, False),
        ("in-spec", states.HERE, False),
        ("retards-far", states.HERE, False),
    ],
)
def test_packers_are_taken_for_a_machine_that_is_here_and_whose_readings_advance(verdict, state, takes):
    gate = gate_over(**CLIMBS | {"strobe_verdict": verdict}, state=state)
    assert (taking_gate([gate]) is gate) == takes
    assert taking_gate([]) is None


def test_what_was_answered_is_read_back_as_it_was_given():
    garage.shop()
    visit, by = garage.visit(machine=garage.machine(kind=garage.machine_kind()), state=states.HERE), garage.person()
    gate = gates.begin(visit, by=by, now=timezone.now())
    assert sheet_of_gate(gate, answers_of(gate)) == GateSheet()
    gate = gate_answered(gate, by=by, part=AT_BENCH, words={"tyre": "new"}, fuel_mix="1:40")
    given = gate_sheet(words={"tyre": "new"}, fuel_mix="1:40").without(STRAPPED_LINES)
    assert sheet_of_gate(gate, answers_of(gate)) == given


def test_a_gate_filled_in_at_one_go_is_read_with_the_lines_it_had():
    gate = gate_over(rev_out="smoky", strobe_not_seen="cover", highest_rpm=6000, second_person="Robin")
    gate.items.create(item="leaks", result="ok")
    gate.items.create(item="second-person", result="ok")
    sheet = sheet_of_gate(gate, answers_of(gate))
    assert sheet.answered == ("leaks", "strobe", "rev-out", "second-person")
    assert (sheet.second_person, sheet.highest_rpm) == ("Robin", 6000)
