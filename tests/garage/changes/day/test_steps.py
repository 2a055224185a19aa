from datetime import timedelta

import pytest
from django.utils import timezone

from garage.changes.day import steps
from garage.changes.visit import floor
from garage.core import routes, states
from garage.core.errors import Refused
from garage.models.shop import Station
from garage.models.trail import TrailRow
from garage.models.visits import Step, Visit
from tests.factories import garage as factory
from tests.sentences import check_noted, refuses

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
    did = [row for row in TrailRow.objects.values_list("did", flat=True) if "gate" in row]
    assert did == ["gate ended at bench 2", "gate begun at bench 2"]


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


@pytest.mark.parametrize("fixed", ["station", "by_person", "begins_at"])
@pytest.mark.parametrize("stop", [{"must_not_run": ["It pinks."]}, {"route": routes.DO_NOT_RUN}])
def test_a_roller_step_of_a_machine_that_must_not_run_is_not_fixed_by_hand(
    visit: Visit, stop: dict[str, object], fixed: str
) -> None:
    Visit.objects.filter(pk=visit.pk).update(**stop)
    person = factory.person()
    given = {"station": 1, "by_person": person, "begins_at": timezone.now()}
    nothing = dict.fromkeys(given)
    with pytest.raises(Refused, match="not planned on the rollers"):
        steps.pin(_step(visit, 1), **nothing | {fixed: given[fixed]}, by=person, now=timezone.now())
    steps.pin(_step(visit, 0), **nothing | {fixed: given[fixed]}, by=person, now=timezone.now())
    assert _step(visit, 0).pin_station or _step(visit, 0).pin_by or _step(visit, 0).pin_begins_at


def test_what_was_fixed_by_hand_can_always_be_taken_back(visit: Visit) -> None:
    person = factory.person()
    steps.pin(_step(visit, 1), station=1, by_person=person, begins_at=None, by=person, now=timezone.now())
    Visit.objects.filter(pk=visit.pk).update(must_not_run=["It pinks."])
    steps.pin(_step(visit, 1), station=None, by_person=None, begins_at=None, by=person, now=timezone.now())
    assert (_step(visit, 1).pin_station, _step(visit, 1).pin_by) == (None, None)


def test_a_pin_stays_until_the_step_begins(visit: Visit) -> None:
    person = factory.person()
    steps.pin(_step(visit, 0), station=2, by_person=person, begins_at=None, by=person, now=timezone.now())
    assert (_step(visit, 0).pin_station, _step(visit, 0).pin_by) == (2, person)
    steps.begin(_step(visit, 0), by=person, now=timezone.now(), station=2)
    with pytest.raises(Refused, match="has begun"):
        steps.pin(_step(visit, 0), station=1, by_person=None, begins_at=None, by=person, now=timezone.now())


def _other_running(at="bench", station=1, by=None):
    """Another visit's step that is running."""
    other = factory.visit(state=states.HERE, arrived_at=timezone.now())
    given = {"at": at, "minutes": 30, "what": "bench check", "station": station, "by": by or factory.person()}
    return Step.objects.create(visit=other, index=0, began_at=timezone.now(), **given)


def test_a_beginning_and_an_end_are_kept_with_who_where_and_when(visit: Visit) -> None:
    by, other, now = factory.person(), factory.person(), timezone.now()
    end = now + timedelta(minutes=7)
    steps.begin(_step(visit, 0), by=by, now=now, station=2)
    check_noted("gate begun at bench 2", by=by, at=now, visit=visit)
    assert steps.end(_step(visit, 0), by=other, now=end).visit.state == states.HERE
    check_noted("gate ended at bench 2", by=other, at=end, visit=visit)
    row = _step(visit, 0)
    assert (row.began_at, row.ended_at, row.by, row.station) == (now, end, by, 2)


def test_a_step_that_is_ended_before_it_began_ends_as_it_begins(visit: Visit) -> None:
    by, now = factory.person(), timezone.now()
    steps.begin(_step(visit, 0), by=by, now=now, station=1)
    assert steps.end(_step(visit, 0), by=by, now=now - timedelta(minutes=1)).ended_at == now


def test_what_a_person_said_of_the_machine_meanwhile_stays_when_the_step_ends(visit: Visit) -> None:
    by = factory.person()
    steps.begin(_step(visit, 0), by=by, now=timezone.now(), station=1)
    Visit.objects.filter(pk=visit.pk).update(state=states.WAITING_FOR_PARTS)
    assert steps.end(_step(visit, 0), by=by, now=timezone.now()).visit.state == states.WAITING_FOR_PARTS


def test_the_rollers_are_named_when_work_begins_there(visit: Visit) -> None:
    by, now = factory.person(), timezone.now()
    Step.objects.filter(pk=_step(visit, 0).pk).update(began_at=now, ended_at=now)
    begun = steps.begin(_step(visit, 1), by=by, now=now, station=1)
    check_noted("set-up begun at roller 1", by=by, at=now, visit=visit)
    assert begun.visit.state == Visit.objects.get(pk=visit.pk).state == states.ON_THE_ROLLERS


def test_a_refused_beginning_says_why_and_what_to_do(visit: Visit) -> None:
    by, number, now = factory.person(first_name="Jo"), visit.number, timezone.now()
    gate, rollers = _step(visit, 0), _step(visit, 1)

    def begin(step: Step, person: object = by, station: int = 1) -> None:
        steps.begin(step, by=person, now=now, station=station)

    with refuses("The gate comes before the set-up: end it first."):
        begin(rollers)
    with refuses("There is no bench 3: the shop has 1 to 2."):
        begin(gate, station=3)
    no_skill = factory.person(first_name="Sam", does_bench=False)
    with refuses("Sam is not down for work at the bench. See The shop, people."):
        begin(gate, no_skill)
    running = _other_running(by=by)
    other = running.visit.number
    with refuses(f"Jo is still on the bench check of visit {other}: end that first."):
        begin(gate)
    with refuses(f"Bench 1 is taken by visit {other} (bench check)."):
        begin(gate, factory.person())
    steps.end(running, by=by, now=now)
    begin(gate)
    with refuses(f"The gate of visit {number} has already begun."):
        begin(gate)
    steps.end(gate, by=by, now=now)
    Visit.objects.filter(pk=visit.pk).update(gate_passed_at=None)
    with refuses(
        f"Visit {number} has not passed the gate: nothing goes on the rollers without a passed gate or a named "
        "person's recorded override."
    ):
        begin(rollers)
    Visit.objects.filter(pk=visit.pk).update(state=states.BOOKED)
    with refuses(f"Visit {number} is booked: take the machine in first."):
        begin(rollers)


def test_the_same_number_of_another_kind_of_station_is_free(visit: Visit) -> None:
    _other_running(at="roller", station=1)
    assert steps.begin(_step(visit, 0), by=factory.person(), now=timezone.now(), station=1).began_at


def test_only_what_is_running_can_be_ended(visit: Visit) -> None:
    by = factory.person()
    with refuses(f"The gate of visit {visit.number} has not begun."):
        steps.end(_step(visit, 0), by=by, now=timezone.now())
    steps.begin(_step(visit, 0), by=by, now=timezone.now(), station=1)
    steps.end(_step(visit, 0), by=by, now=timezone.now())
    with refuses(f"The gate of visit {visit.number} is already over."):
        steps.end(_step(visit, 0), by=by, now=timezone.now())


def test_a_check_done_on_its_own_page_counts_from_its_beginning_to_now_at_the_first_free_station(visit: Visit) -> None:
    by, now = factory.person(), timezone.now()
    _other_running()
    began = now - timedelta(minutes=12)
    steps.was_done(_step(visit, 0), began_at=began, by=by, now=now)
    check_noted("gate done at bench 2", by=by, at=now, visit=visit)
    row = _step(visit, 0)
    assert (row.began_at, row.ended_at, row.by, row.station) == (began, now, by, 2)


def test_a_check_done_while_all_stations_are_taken_is_put_where_it_was_pinned_or_at_the_first(visit: Visit) -> None:
    by, now = factory.person(), timezone.now()
    _other_running()
    _other_running(station=2)
    other = factory.visit(state=states.HERE)
    pinned = Step.objects.create(visit=other, index=0, at="bench", minutes=5, what="gate", pin_station=2)
    assert steps.was_done(_step(visit, 0), began_at=now, by=by, now=now).station == 1
    assert steps.was_done(pinned, began_at=now, by=by, now=now).station == 2


def test_a_check_that_ends_before_it_began_ends_as_it_begins(visit: Visit) -> None:
    by, now = factory.person(), timezone.now()
    began = now + timedelta(minutes=1)
    assert steps.was_done(_step(visit, 0), began_at=began, by=by, now=now).ended_at == began


def test_a_check_that_runs_is_ended_by_its_own_page(visit: Visit) -> None:
    by, now = factory.person(), timezone.now()
    steps.begin(_step(visit, 0), by=by, now=now, station=2)
    end = now + timedelta(minutes=5)
    steps.was_done(_step(visit, 0), began_at=now - timedelta(hours=1), by=by, now=end)
    check_noted("gate ended at bench 2", by=by, at=end, visit=visit)
    assert (_step(visit, 0).began_at, _step(visit, 0).ended_at) == (now, end)


def test_a_pin_says_what_it_fixes_and_can_be_taken_off(visit: Visit) -> None:
    by, now = factory.boss(), timezone.now()
    jo = factory.person(first_name="Jo")
    for station, person, begins_at, words in (
        (2, jo, None, "bench 2, Jo"),
        (1, None, now, "bench 1"),
        (None, jo, None, "Jo"),
        (None, None, now, "a time"),
        (None, None, None, "nothing"),
    ):
        steps.pin(_step(visit, 0), station=station, by_person=person, begins_at=begins_at, by=by, now=now)
        check_noted(f"gate fixed by hand to {words}", by=by, at=now, visit=visit)
        row = _step(visit, 0)
        assert (row.pin_station, row.pin_by, row.pin_begins_at) == (station, person, begins_at)


def test_a_pin_to_a_station_that_does_not_exist_or_of_a_begun_step_is_refused(visit: Visit) -> None:
    by, now = factory.boss(), timezone.now()
    with refuses("There is no roller 2 in the shop."):
        steps.pin(_step(visit, 1), station=2, by_person=None, begins_at=None, by=by, now=now)
    steps.begin(_step(visit, 0), by=by, now=now, station=1)
    with refuses(f"The gate of visit {visit.number} has begun: it can't be moved any more."):
        steps.pin(_step(visit, 0), station=2, by_person=None, begins_at=None, by=by, now=now)


def _at_the_bench_only(visit: Visit) -> None:
    Visit.objects.filter(pk=visit.pk).update(gate_passed_at=None, gate_at_bench_passed_at=timezone.now())


def test_put_on_the_rollers_it_stands_there_and_its_session_has_not_begun(visit: Visit) -> None:
    by, now = factory.person(), timezone.now()
    _at_the_bench_only(visit)
    steps.put_on_the_rollers(visit, by=by, now=now, station=1)
    check_noted("put on roller 1, to be strapped down", by=by, at=now, visit=visit)
    row = _step(visit, 1)
    assert (row.strapped_from, row.by, row.station, row.began_at) == (now, by, 1, None)
    assert Visit.objects.get(pk=visit.pk).state == states.ON_THE_ROLLERS
    with refuses(f"Roller 1 is taken by visit {visit.number} (set-up)."):
        steps.put_on_the_rollers(_other_at_the_bench(), by=factory.person(), now=now, station=1)
    with pytest.raises(Refused, match="is still on the set-up"):
        steps.begin(_other_gate(), by=by, now=now, station=1)


def _other_at_the_bench() -> Visit:
    return factory.visit(state=states.HERE, arrived_at=timezone.now(), gate_at_bench_passed_at=timezone.now())


def _other_gate() -> Step:
    other = factory.visit(state=states.HERE, arrived_at=timezone.now())
    return Step.objects.create(visit=other, index=0, at="bench", minutes=20, what="gate", is_check=True)


def test_the_session_begins_where_the_machine_is_strapped_down(visit: Visit) -> None:
    by, now = factory.person(), timezone.now()
    Step.objects.filter(pk=_step(visit, 0).pk).update(began_at=now, ended_at=now)
    steps.put_on_the_rollers(visit, by=by, now=now, station=1)
    later = now + timedelta(minutes=5)
    row = steps.begin(_step(visit, 1), by=by, now=later, station=1)
    assert (row.strapped_from, row.began_at) == (now, later)


def test_strapped_down_on_one_roller_it_does_not_begin_on_another(visit: Visit) -> None:
    by, now = factory.person(), timezone.now()
    Station.objects.create(kind="roller", number=2, name="Roller 2")
    Step.objects.filter(pk=_step(visit, 0).pk).update(began_at=now, ended_at=now)
    steps.put_on_the_rollers(visit, by=by, now=now, station=1)
    said = "It is strapped down on roller 1: begin there, or take it off and strap it down again."
    with refuses(said):
        steps.begin(_step(visit, 1), by=by, now=now, station=2)
    assert steps.begin(_step(visit, 1), by=by, now=now, station=1).began_at


@pytest.mark.parametrize("way", ["ended", "to the bench", "set by hand"])
def test_whatever_takes_it_off_the_rollers_its_straps_are_asked_again(visit: Visit, way: str) -> None:
    by, now = factory.person(), timezone.now()
    Step.objects.filter(pk=_step(visit, 0).pk).update(began_at=now, ended_at=now)
    Visit.objects.filter(pk=visit.pk).update(gate_at_bench_passed_at=now)
    if way == "ended":
        steps.end(steps.begin(_step(visit, 1), by=by, now=now, station=1), by=by, now=now)
    elif way == "to the bench":
        Visit.objects.filter(pk=visit.pk).update(state=states.ON_THE_ROLLERS)
        _step(visit, 1).delete()
        bench = Step.objects.create(visit=visit, index=1, at="bench", minutes=30, what="bench")
        steps.begin(bench, by=by, now=now, station=1)
    else:
        Visit.objects.filter(pk=visit.pk).update(state=states.ON_THE_ROLLERS)
        floor.say(visit, states.WAITING_FOR_OWNER, by=by, now=now)
    visit.refresh_from_db()
    assert (visit.gate_at_bench_passed_at, visit.gate_passed_at) == (now, None)


def test_a_session_still_to_come_has_the_minutes_of_strapping_down_again_and_no_second_bench_check(
    visit: Visit,
) -> None:
    by, now = factory.person(), timezone.now()
    Step.objects.filter(pk=_step(visit, 0).pk).update(began_at=now, ended_at=now)
    Visit.objects.filter(pk=visit.pk).update(gate_at_bench_passed_at=now)
    Step.objects.create(visit=visit, index=2, at="roller", minutes=30, what="power run")
    steps.end(steps.begin(_step(visit, 1), by=by, now=now, station=1), by=by, now=now)
    assert [(step.at, step.is_check, step.strap_minutes) for step in visit.steps.order_by("index")] == [
        ("bench", True, 0),
        ("roller", False, 0),
        ("roller", False, 5),
    ]


def test_work_between_other_places_leaves_a_passed_gate_alone(visit: Visit) -> None:
    by, now = factory.person(), timezone.now()
    steps.end(steps.begin(_step(visit, 0), by=by, now=now, station=1), by=by, now=now)
    visit.refresh_from_db()
    assert visit.gate_passed_at is not None


def test_taken_off_it_gives_its_roller_back(visit: Visit) -> None:
    by, now = factory.person(), timezone.now()
    _at_the_bench_only(visit)
    steps.put_on_the_rollers(visit, by=by, now=now, station=1)
    assert steps.take_off_the_rollers(visit, by=by, now=now).state == states.HERE
    check_noted("taken off the rollers before it was run", by=by, at=now, visit=visit)
    row = _step(visit, 1)
    assert (row.strapped_from, row.by, row.station) == (None, None, None)
    steps.put_on_the_rollers(_other_at_the_bench(), by=by, now=now, station=1)


def test_nothing_stands_on_the_rollers_before_it_has_passed_at_the_bench(visit: Visit) -> None:
    by, now, number = factory.person(), timezone.now(), visit.number
    Visit.objects.filter(pk=visit.pk).update(gate_passed_at=None)
    with refuses(f"Visit {number} has not passed the gate at the bench: that comes before the rollers."):
        steps.put_on_the_rollers(visit, by=by, now=now, station=1)
    _at_the_bench_only(visit)
    with refuses("Sam is not down for work at the rollers. See The shop, people."):
        sam = factory.person(first_name="Sam", does_rollers=False)
        steps.put_on_the_rollers(visit, by=sam, now=now, station=1)
    with refuses("There is no roller 9: the shop has 1 to 1."):
        steps.put_on_the_rollers(visit, by=by, now=now, station=9)
    Visit.objects.filter(pk=visit.pk).update(state=states.BOOKED)
    with refuses(f"Visit {number} is booked: take the machine in first."):
        steps.put_on_the_rollers(visit, by=by, now=now, station=1)
