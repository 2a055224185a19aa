"""What is known of a visit, and of a machine that was here before, as the rule of the rollers takes it."""

import pytest
from django.utils import timezone

from garage.core import routes, states
from garage.core.roller_rule import RollerFacts
from garage.reads.roller_facts import facts_without_route, own_time, roller_facts_of, why_no_rollers, why_no_time
from tests.factories import garage

pytestmark = pytest.mark.django_db
STOPPED = {"must_not_run": ["It pinks."]}


@pytest.fixture
def machine():
    return garage.machine()


def test_the_row_becomes_the_facts():
    visit = garage.visit(**STOPPED, route=routes.DO_NOT_RUN, gate_passed_at=timezone.now(), state=states.HERE)
    facts = roller_facts_of(visit)
    assert facts == RollerFacts(visit.number, states.HERE, ("It pinks.",), routes.DO_NOT_RUN, has_passed_gate=True)
    assert facts_without_route(visit).route == ""
    shop = garage.shop()
    assert own_time(visit, shop).known == facts
    assert (own_time(visit, shop).starts_at, own_time(visit, shop).is_on_the_rollers) == (visit.starts_at, True)
    assert own_time(visit, shop).late_hours == shop.late_hours
    assert not own_time(garage.visit(at="bench"), shop).is_on_the_rollers


def test_a_machine_that_must_not_run_has_bench_times_and_no_roller_times():
    stopped = garage.visit(**STOPPED)
    assert "It gets no roller time" in why_no_time(stopped, "roller")
    assert why_no_time(stopped, "bench") == why_no_time(garage.visit(), "roller") == ""


@pytest.mark.parametrize("state", sorted(states.WORDS))
def test_what_was_found_at_an_earlier_visit_keeps_the_machine_off_whatever_became_of_that_visit(machine, state):
    garage.visit(machine=machine, state=state, **STOPPED)
    rollers, bench = garage.visit_kind(), garage.visit_kind(slug="bench", at="bench")
    assert "It pinks." in why_no_rollers(machine, rollers)
    assert why_no_rollers(machine, bench) == ""
    assert why_no_rollers(garage.machine(), rollers) == ""


@pytest.mark.parametrize(("state", "counts"), [(states.HERE, True), (states.COLLECTED, False)])
def test_a_route_counts_as_long_as_its_visit_is_open(machine, state, counts):
    garage.visit(machine=machine, state=state, route=routes.DO_NOT_RUN)
    assert bool(why_no_rollers(machine, garage.visit_kind())) == counts


@pytest.mark.parametrize(
    ("state", "clears"),
    [(states.COLLECTED, True), (states.BOOKED, False), (states.CALLED_OFF, False), (states.HERE, False)],
)
def test_a_later_visit_clears_it_once_the_machine_was_collected_with_nothing_against_it(machine, state, clears):
    garage.visit(machine=machine, state=states.COLLECTED, **STOPPED)
    garage.visit(machine=machine, state=state)
    assert (why_no_rollers(machine, garage.visit_kind()) == "") == clears
