import pytest
from django.utils import timezone

from garage.changes.day import steps
from garage.core import states
from garage.core.errors import Refused
from garage.models.trail import TrailRow
from garage.models.visits import Step, Visit
from tests.factories import garage as factory

pytestmark = pytest.mark.django_db


@pytest.fixture
def visit() -> Visit:
    """A machine that is here, with a gate check done and the rollers to come."""
    factory.shop()
    row = factory.visit(state=states.HERE, arrived_at=timezone.now(), gate_passed_at=timezone.now())
    Step.objects.create(visit=row, index=0, at="bench", minutes=10, what="gate", is_check=True)
    Step.objects.create(visit=row, index=1, at="roller", minutes=90, what="set-up")
    return row


def _step(visit: Visit, index: int) -> Step:
    return visit.steps.get(index=index)


def test_a_step_begun_is_on_the_bench_and_ended_is_here_again(visit: Visit) -> None:
    person = factory.person()
    steps.begin(_step(visit, 0), by=person, now=timezone.now(), station=2)
    visit.refresh_from_db()
    assert (visit.state, _step(visit, 0).station, _step(visit, 0).by) == (states.ON_THE_BENCH, 2, person)
    steps.end(_step(visit, 0), by=person, now=timezone.now())
    visit.refresh_from_db()
    assert visit.state == states.HERE
    assert list(TrailRow.objects.values_list("did", flat=True)) == ["gate ended at bench 2", "gate begun at bench 2"]


def test_the_rollers_begin_after_a_passed_gate(visit: Visit) -> None:
    person = factory.person()
    steps.end(steps.begin(_step(visit, 0), by=person, now=timezone.now(), station=1), by=person, now=timezone.now())
    steps.begin(_step(visit, 1), by=person, now=timezone.now(), station=1)
    visit.refresh_from_db()
    assert visit.state == states.ON_THE_ROLLERS


def test_nothing_goes_on_the_rollers_without_a_passed_gate(visit: Visit) -> None:
    person = factory.person()
    steps.end(steps.begin(_step(visit, 0), by=person, now=timezone.now(), station=1), by=person, now=timezone.now())
    Visit.objects.filter(pk=visit.pk).update(gate_passed_at=None)
    with pytest.raises(Refused, match="has not passed the gate"):
        steps.begin(_step(visit, 1), by=person, now=timezone.now(), station=1)
    assert _step(visit, 1).began_at is None


def test_steps_keep_their_order(visit: Visit) -> None:
    with pytest.raises(Refused, match="gate comes before the set-up"):
        steps.begin(_step(visit, 1), by=factory.person(), now=timezone.now(), station=1)


def test_a_station_holds_one_machine(visit: Visit) -> None:
    other = factory.visit(state=states.HERE, arrived_at=timezone.now())
    Step.objects.create(visit=other, index=0, at="bench", minutes=30, what="bench check")
    steps.begin(_step(other, 0), by=factory.person(), now=timezone.now(), station=1)
    with pytest.raises(Refused, match=f"taken by visit {other.number}"):
        steps.begin(_step(visit, 0), by=factory.person(), now=timezone.now(), station=1)


def test_a_person_works_at_one_step(visit: Visit) -> None:
    person = factory.person()
    other = factory.visit(state=states.HERE, arrived_at=timezone.now())
    Step.objects.create(visit=other, index=0, at="bench", minutes=30, what="bench check")
    steps.begin(_step(other, 0), by=person, now=timezone.now(), station=2)
    with pytest.raises(Refused, match="end that first"):
        steps.begin(_step(visit, 0), by=person, now=timezone.now(), station=1)


def test_a_person_without_the_skill_is_refused(visit: Visit) -> None:
    with pytest.raises(Refused, match="not down for work at the bench"):
        steps.begin(_step(visit, 0), by=factory.front_desk(), now=timezone.now(), station=1)


def test_an_unknown_station_is_refused(visit: Visit) -> None:
    with pytest.raises(Refused, match="no bench 7"):
        steps.begin(_step(visit, 0), by=factory.person(), now=timezone.now(), station=7)


def test_a_pin_stays_until_the_step_begins(visit: Visit) -> None:
    person = factory.person()
    steps.pin(_step(visit, 0), station=2, by_person=person, begins_at=None, by=person, now=timezone.now())
    assert (_step(visit, 0).pin_station, _step(visit, 0).pin_by) == (2, person)
    steps.begin(_step(visit, 0), by=person, now=timezone.now(), station=2)
    with pytest.raises(Refused, match="has begun"):
        steps.pin(_step(visit, 0), station=1, by_person=None, begins_at=None, by=person, now=timezone.now())
