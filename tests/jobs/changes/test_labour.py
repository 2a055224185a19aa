from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from garage.changes.day import steps, under_way
from garage.core.errors import BadInput, Refused
from garage.models.trail import TrailRow
from garage.models.visits import Step, Visit
from jobs.changes import labour
from jobs.models.cards import Labour
from jobs.reads.access import running_clock
from tests.factories import garage, jobs
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db


def test_a_second_clock_is_refused_naming_where_the_first_runs():
    by, first, second = garage.person(), jobs.visit_here(), jobs.visit_here()
    labour.start(first, by=by, now=timezone.now())
    with pytest.raises(Refused, match=f"is running on visit {first.number}, Corrick 185"):
        labour.start(second, by=by, now=timezone.now())


def test_two_people_have_a_clock_each_on_one_card():
    visit = jobs.visit_here()
    labour.start(visit, by=garage.person(), now=timezone.now())
    labour.start(visit, by=garage.person(), now=timezone.now())
    assert visit.card.labour.filter(ended_at=None).count() == 2


def a_step(visit: Visit, index: int = 0) -> Step:
    return Step.objects.create(visit=visit, index=index, at="bench", minutes=40, what="fix first")


def test_beginning_a_job_starts_the_clock_and_ending_it_stops_it() -> None:
    visit, by, nine = jobs.visit_here(), garage.person(), timezone.now()
    step = steps.begin(a_step(visit), by=by, now=nine, station=1)
    assert [(clock.by, clock.ended_at) for clock in visit.card.labour.all()] == [(by, None)]
    steps.end(step, by=by, now=nine + timedelta(minutes=35))
    assert visit.card.labour.get().ended_at == nine + timedelta(minutes=35)


def test_a_job_that_pauses_stops_the_clock_and_begun_again_it_runs_anew() -> None:
    visit, by, nine = jobs.visit_here(), garage.person(), timezone.now()
    step, ten = steps.begin(a_step(visit), by=by, now=nine, station=1), nine + timedelta(minutes=60)
    rest = under_way.pause(step, by=by, now=nine + timedelta(minutes=10))
    assert visit.card.labour.get().ended_at == nine + timedelta(minutes=10)
    steps.begin(rest, by=by, now=ten, station=2)
    assert [(clock.began_at, clock.ended_at is None) for clock in visit.card.labour.order_by("began_at")] == [
        (nine, False),
        (ten, True),
    ]


def test_a_job_ended_by_somebody_else_stops_the_clock_of_whoever_did_it() -> None:
    visit, jo = jobs.visit_here(), garage.person(first_name="Jo")
    step = steps.begin(a_step(visit), by=jo, now=timezone.now(), station=1)
    boss = garage.boss()
    labour.start(visit, by=boss, now=timezone.now())
    steps.end(step, by=boss, now=timezone.now())
    assert {clock.by: clock.ended_at is None for clock in visit.card.labour.all()} == {jo: False, boss: True}


def test_a_clock_left_running_elsewhere_stops_when_a_job_begins_here() -> None:
    by, first, second = garage.person(), jobs.visit_here(), jobs.visit_here()
    labour.start(first, by=by, now=timezone.now())
    steps.begin(a_step(second), by=by, now=timezone.now(), station=1)
    assert first.card.labour.get().ended_at is not None
    assert second.card.labour.get().ended_at is None


def test_a_clock_that_runs_already_goes_on_when_the_job_begins() -> None:
    visit, by = jobs.visit_here(), garage.person()
    labour.start(visit, by=by, now=timezone.now())
    steps.begin(a_step(visit), by=by, now=timezone.now(), station=1)
    assert visit.card.labour.count() == 1


def test_no_job_begins_on_a_closed_card_since_it_could_not_be_charged() -> None:
    card = jobs.closed_card()
    step = a_step(card.visit)
    with pytest.raises(Refused, match="is closed"):
        steps.begin(step, by=garage.person(), now=timezone.now(), station=1)
    step.refresh_from_db()
    assert step.began_at is None


def test_the_database_itself_keeps_one_clock_a_person():
    card = jobs.card()
    labour.start(card.visit, by=card.opened_by, now=timezone.now())
    with pytest.raises(IntegrityError), transaction.atomic():
        Labour.objects.create(card=card, by=card.opened_by, began_at=timezone.now())


def test_after_stopping_another_clock_can_be_started():
    by, first, second = garage.person(), jobs.visit_here(), jobs.visit_here()
    clock = labour.start(first, by=by, now=timezone.now())
    labour.stop(clock, by=by, now=timezone.now())
    assert labour.start(second, by=by, now=timezone.now()).card.visit == second
    with pytest.raises(Refused, match="already stopped"):
        labour.stop(clock, by=by, now=timezone.now())


def test_a_forgotten_clock_is_stopped_by_somebody_else_with_both_names_in_the_trail():
    visit, boss = jobs.visit_here(), garage.boss()
    clock = labour.start(visit, by=garage.person(first_name="Jo"), now=timezone.now())
    labour.stop(clock, by=boss, now=timezone.now())
    row = TrailRow.objects.filter(visit=visit).first()
    assert (row.by, row.did) == (boss, "stopped Jo's clock after 0 min")


def test_a_clock_is_put_right_only_downwards():
    card = jobs.card()
    clock = jobs.labour(card, minutes=600)
    with pytest.raises(BadInput, match="0 to 600"):
        labour.put_right(clock, minutes=601, by=card.opened_by, now=timezone.now())
    labour.put_right(clock, minutes=45, by=card.opened_by, now=timezone.now())
    clock.refresh_from_db()
    assert clock.ended_at - clock.began_at == timedelta(minutes=45)
    assert "45 min instead of 600" in TrailRow.objects.filter(visit=card.visit).first().did


def test_a_clock_is_kept_and_noted_from_start_to_stop():
    visit, by, now = jobs.visit_here(), garage.person(), timezone.now()
    clock = labour.start(visit, by=by, now=now)
    check_noted("started the clock", by=by, at=now, visit=visit)
    clock.refresh_from_db()
    assert (clock.card.visit, clock.by, clock.began_at, clock.ended_at) == (visit, by, now, None)
    assert (clock.card.opened_by, clock.card.opened_at) == (by, now)
    end = now + timedelta(minutes=7, seconds=59)
    labour.stop(clock, by=by, now=end)
    check_noted("stopped the clock after 7 min", by=by, at=end, visit=visit)
    clock.refresh_from_db()
    assert clock.ended_at == end


def test_a_clock_stopped_before_it_began_ends_as_it_begins():
    visit, by, now = jobs.visit_here(), garage.person(), timezone.now()
    clock = labour.start(visit, by=by, now=now)
    labour.stop(clock, by=by, now=now - timedelta(minutes=1))
    clock.refresh_from_db()
    assert clock.ended_at == now


@pytest.mark.parametrize("minutes", [0, 20])
def test_a_clock_put_right_is_noted_with_both_values(minutes):
    card, boss, now = jobs.card(by=garage.person(first_name="Jo")), garage.boss(), timezone.now()
    clock = jobs.labour(card, minutes=20)
    labour.put_right(clock, minutes=minutes, by=boss, now=now)
    said = f"put Jo's clock right: {minutes} min instead of 20"
    check_noted(said, by=boss, at=now, visit=card.visit, labour=clock.pk)
    clock.refresh_from_db()
    assert clock.ended_at - clock.began_at == timedelta(minutes=minutes)


def test_each_refusal_about_a_clock_says_what_to_do_first():
    visit, by, now = jobs.visit_here(), garage.person(), timezone.now()
    clock = labour.start(visit, by=by, now=now)
    words = visit.machine.words
    with refuses(f"Your clock is running on visit {visit.number}, {words}: stop it there first."):
        labour.start(jobs.visit_here(), by=by, now=now)
    with refuses("This clock is still running: stop it, then correct it."):
        labour.put_right(clock, minutes=0, by=by, now=now)
    labour.stop(clock, by=by, now=now + timedelta(minutes=20))
    with refuses("This clock has already stopped."):
        labour.stop(clock, by=by, now=now)
    for minutes in (-1, 21):
        with refuses(f"minutes is {minutes}; allowed is 0 to 20, what the clock showed.", BadInput):
            labour.put_right(clock, minutes=minutes, by=by, now=now)


def test_a_clock_on_a_closed_card_is_not_put_right():
    card = jobs.closed_card()
    with refuses(f"The card of visit {card.visit.number} is closed: what is on it stays."):
        labour.put_right(jobs.labour(card, minutes=20), minutes=5, by=garage.boss(), now=timezone.now())


def test_a_clock_runs_on_while_its_phone_is_flat_and_another_phone_stops_it():
    visit, by, began_at = jobs.visit_here(), garage.person(), timezone.now() - timedelta(hours=2)
    labour.start(visit, by=by, now=began_at)
    labour.stop(running_clock(by), by=by, now=timezone.now())
    assert Labour.objects.get().ended_at - began_at >= timedelta(hours=2)
