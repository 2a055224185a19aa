"""The gates of a visit and of its machine."""

import pytest
from django.utils import timezone

from diagnostics.changes import gates
from diagnostics.reads.gates import KEPT, gates_with_readings, last_gate_of, open_gate_of, taking_gate
from garage.core import states
from tests.factories import garage
from tests.factories.diagnostics import gate_over

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
