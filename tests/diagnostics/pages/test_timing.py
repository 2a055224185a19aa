from decimal import Decimal

import pytest
from django.http import Http404
from django.utils import timezone

from diagnostics.models.gates import Gate
from diagnostics.pages.packers import packers_shown
from diagnostics.pages.timing import degrees_shown, drawn, engine_of, strobe_shown
from diagnostics.reads.gates import gates_with_readings, taking_gate
from garage.core import states
from garage.models.packers import PackerStock
from tests.factories import garage
from tests.factories.diagnostics import gate_over

pytestmark = pytest.mark.django_db
CLIMBS = [[1400.0, 14.0], [9000.0, 19.5]]
HOLDS = [[1400.0, 17.0], [9000.0, 16.5]]


@pytest.fixture
def machine():
    return garage.machine(kind=garage.machine_kind(flywheel_mm=Decimal("110")))


def test_the_newest_readings_are_shown_with_those_before_them(machine):
    first = gate_over(machine=machine, strobe_readings=CLIMBS, strobe_verdict="advances")
    gate_over(machine=machine, strobe_not_seen="cover")
    second = gate_over(machine=machine, strobe_readings=HOLDS, strobe_verdict="in-spec")
    gate_over(strobe_readings=CLIMBS, strobe_verdict="advances")  # of another machine
    gates = gates_with_readings(machine)
    assert gates == [second, first]
    shown = strobe_shown(machine, gates)
    assert (shown.gate, shown.before, shown.needs_a_hand) == (second, first, False)
    assert [(line.rpm, line.deg, line.spec_deg, line.off) for line in shown.lines] == [
        (1400, 17, 17, "nothing"),
        (9000, 16.5, 17, "0.5° late"),
    ]
    assert "17° at 1400 rpm" in shown.alt
    assert "the readings before: advances" in shown.alt
    assert strobe_shown(machine, gates, first).before is None


def test_a_machine_without_readings_has_no_picture(machine):
    gate = gate_over(machine=machine, strobe_not_seen="cover")
    assert strobe_shown(machine, gates_with_readings(machine)) is None
    with pytest.raises(Http404):
        drawn(gate.pk)


def test_a_verdict_that_todays_measures_would_not_give_is_reported(machine):
    gate_over(machine=machine, strobe_readings=HOLDS, strobe_verdict="set-wrong")
    shown = strobe_shown(machine, gates_with_readings(machine))
    assert (shown.marks.judged.verdict, shown.said_then) == ("in-spec", "set wrong")


def test_readings_that_cannot_be_judged_say_why(machine):
    gate = gate_over(machine=machine, strobe_readings=HOLDS, strobe_verdict="in-spec")
    machine.spec_curve = "retarding"
    machine.save()
    shown = strobe_shown(machine, gates_with_readings(machine))
    assert shown.marks is None
    assert "its size in degrees" in shown.trouble
    with pytest.raises(Http404):
        drawn(gate.pk)


def test_its_own_measures_override_those_of_its_kind(machine):
    machine.stroke_mm = Decimal("57")
    engine = engine_of(machine)
    assert (engine.stroke_mm, engine.rod_mm, engine.flywheel_mm, engine.spec_deg) == (57, 110, 110, 17)


def test_what_is_not_known_is_named_and_what_is_known_is_shown():
    bare = degrees_shown(garage.machine())
    assert (bare.rows, bare.missing) == ((), ("its stroke", "its rod", "its flywheel"))
    half = degrees_shown(garage.machine(kind=garage.machine_kind(rod_mm=None, flywheel_mm=Decimal("110"))))
    assert half.missing == ("its rod",)
    assert {row.piston_mm for row in half.rows} == {None}
    wrong = degrees_shown(garage.machine(kind=garage.machine_kind(), rod_mm=Decimal("20")))
    assert (wrong.rows, "rod_mm" in wrong.trouble) == ((), True)


def test_packers_are_taken_for_the_newest_readings_only_while_they_advance_and_it_is_here(machine):
    PackerStock.objects.create(thickness_mm=Decimal("0.5"), count=2)
    gate = gate_over(machine=machine, strobe_readings=CLIMBS, strobe_verdict="advances", state=states.TO_PUT_RIGHT)
    assert taking_gate(gates_with_readings(machine)) is None
    gate.visit.state, gate.visit.arrived_at = states.HERE, timezone.now()
    gate.visit.save()
    shown = packers_shown(machine, gates_with_readings(machine))
    assert (shown.gate, shown.may_take, [row.count for row in shown.stock]) == (gate, True, [2])
    gate.packers_mm = ["0.5"]
    gate.save()
    assert packers_shown(machine, gates_with_readings(machine)).taken == "0.5 mm"
    gate_over(machine=machine, visit=gate.visit, strobe_readings=HOLDS, strobe_verdict="in-spec")
    assert taking_gate(gates_with_readings(machine)) is None


def test_many_readings_take_no_more_queries(machine, django_assert_num_queries):
    for _ in range(15):
        gate_over(machine=machine, strobe_readings=CLIMBS, strobe_verdict="advances")
    fresh = type(machine).objects.select_related("kind").get(pk=machine.pk)
    with django_assert_num_queries(2):  # the gates, the stock
        gates = gates_with_readings(fresh)
        strobe_shown(fresh, gates)
        degrees_shown(fresh)
        packers_shown(fresh, gates)
    newest = Gate.objects.first().pk
    with django_assert_num_queries(2):  # the gate, the one before
        drawn(newest)
