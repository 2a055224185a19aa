"""What each route does to a visit, its steps and its time."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from garage.changes.day import planned_steps, routes
from garage.core import states
from garage.models.actors import SYSTEM
from garage.models.trail import TrailRow
from garage.models.visits import Visit
from tests.factories import booking, garage
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db
WHY = ["It stutters at a ceiling.", "Damp makes it worse."]


@pytest.fixture
def by():
    return garage.boss()


@pytest.fixture
def now():
    return timezone.now() + timedelta(minutes=1)


def _steps(visit):
    return [(step.what, step.at, step.minutes) for step in visit.steps.all()]


def _asked(visit):
    Visit.objects.filter(pk=visit.pk).update(
        route_asked="fix-first", to_ask=["Does it leak?"], rung_at=timezone.now(), bench_minutes=7, ready_chance=0.3
    )


def _check(visit, route, words, *, by, now):
    """That the row carries the route, and the trail says so."""
    check_noted(f"routed: {words}", by=by, at=now, visit=visit, reasons=WHY)
    visit.refresh_from_db()
    assert (visit.route, visit.route_at, visit.route_asked, visit.route_reasons) == (route, now, "", WHY)


def test_roller_ready_keeps_the_time_and_needs_no_bench_work_any_more(visit, start, by, now):
    _asked(visit)
    planned_steps.need_fix_first(visit, 50)
    routes.roller_ready(visit, reasons=tuple(WHY), ready_chance=0.9, by=by, now=now)
    _check(visit, "roller-ready", "roller-ready", by=by, now=now)
    assert (visit.to_ask, visit.bench_minutes, visit.ready_chance) == ([], None, 0.9)
    assert (visit.state, visit.starts_at, visit.pieces.count()) == (states.BOOKED, start, 18)
    assert _steps(visit) == [("gate", "bench", 20), ("set-up", "roller", 90)]


def test_phone_first_keeps_the_time_and_goes_on_the_ring_list(visit, start, by, now):
    _asked(visit)
    routes.ring(visit, reasons=tuple(WHY), to_ask=("Is it loud?",), by=by, now=now)
    _check(visit, "phone-first", "phone first", by=by, now=now)
    assert (visit.to_ask, visit.rung_at) == (["Is it loud?"], None)
    assert (visit.state, visit.starts_at, visit.ready_chance) == (states.BOOKED, start, 0.3)


def test_fix_first_gives_the_rollers_back_and_plans_the_bench(visit, kind, start, by, now):
    _asked(visit)
    routes.fix_first(visit, reasons=tuple(WHY), ready_chance=0.4, bench_minutes=50, by=by, now=now)
    _check(visit, "fix-first", "fix first", by=by, now=now)
    assert (visit.to_ask, visit.bench_minutes, visit.ready_chance) == ([], 50, 0.4)
    assert (visit.state, visit.at, visit.starts_at, visit.minutes) == (states.TO_PUT_RIGHT, "", None, 0)
    assert _steps(visit) == [("fix first", "bench", 50), ("gate", "bench", 20), ("set-up", "roller", 90)]
    assert booking.booked(kind, start).starts_at == start


def test_do_not_run_is_as_fix_first_and_has_no_chance_to_be_ready(visit, by, now):
    routes.do_not_run(visit, reasons=tuple(WHY), bench_minutes=55, by=by, now=now)
    _check(visit, "do-not-run", "do not run", by=by, now=now)
    assert (visit.bench_minutes, visit.ready_chance) == (55, 0.0)
    assert (visit.state, visit.starts_at) == (states.TO_PUT_RIGHT, None)
    assert _steps(visit)[0] == ("fix first", "bench", 55)


@pytest.mark.parametrize("state", [states.HERE, states.ON_THE_BENCH, states.WAITING_FOR_PARTS])
def test_a_machine_in_the_building_stays_where_it_is_when_it_is_to_be_put_right(visit, by, now, state):
    Visit.objects.filter(pk=visit.pk).update(state=state)
    sent = routes.fix_first(visit, reasons=WHY, ready_chance=0.4, bench_minutes=50, by=by, now=now)
    assert (sent.state, sent.starts_at) == (state, None)


def test_a_visit_that_awaits_its_deposit_is_to_be_put_right_too(visit, by, now):
    Visit.objects.filter(pk=visit.pk).update(state=states.DEPOSIT_AWAITED)
    sent = routes.fix_first(visit, reasons=WHY, ready_chance=0.4, bench_minutes=50, by=by, now=now)
    assert sent.state == states.TO_PUT_RIGHT


def test_a_visit_booked_for_the_bench_keeps_its_time_and_its_one_step(start, by, now):
    kind = garage.visit_kind(slug="bench", booked_as="bench", name="Bench check", at="bench", minutes=60)
    visit = booking.booked(kind, start)
    routes.fix_first(visit, reasons=WHY, ready_chance=0.4, bench_minutes=50, by=by, now=now)
    visit.refresh_from_db()
    assert (visit.state, visit.starts_at, visit.bench_minutes) == (states.BOOKED, start, 50)
    assert _steps(visit) == [("bench check", "bench", 60)]


def test_a_visit_booked_for_the_bench_that_was_given_roller_time_gives_that_back(start, by, now):
    kind = garage.visit_kind(slug="bench", booked_as="bench", name="Bench check", at="bench", minutes=60)
    visit = booking.booked(kind, start)
    Visit.objects.filter(pk=visit.pk).update(at="roller")
    routes.do_not_run(visit, reasons=WHY, bench_minutes=50, by=by, now=now)
    visit.refresh_from_db()
    assert (visit.at, visit.starts_at, visit.state) == ("", None, states.TO_PUT_RIGHT)


def test_a_machine_that_must_not_run_keeps_its_time_by_no_route(visit, by, now):
    Visit.objects.filter(pk=visit.pk).update(must_not_run=["It pinks."])
    sentence = (
        f"Visit {visit.number} must not run. It pinks. It gets no roller time until the bench has looked at it: give "
        "it time at the bench, and the rollers come after that."
    )
    with refuses(sentence):
        routes.roller_ready(visit, reasons=WHY, ready_chance=0.9, by=by, now=now)
    with refuses(sentence):
        routes.ring(visit, reasons=WHY, to_ask=[], by=by, now=now)
    visit.refresh_from_db()
    assert (visit.route, visit.to_ask) == ("", [])


def test_a_route_lifts_the_mark_of_the_one_before(visit, by, now):
    routes.do_not_run(visit, reasons=WHY, bench_minutes=50, by=by, now=now)
    assert routes.roller_ready(visit, reasons=WHY, ready_chance=0.9, by=by, now=now).route == "roller-ready"


def test_a_roller_visit_with_bench_time_keeps_that_time(visit, start, by, now):
    Visit.objects.filter(pk=visit.pk).update(at="bench")
    routes.fix_first(visit, reasons=WHY, ready_chance=0.4, bench_minutes=50, by=by, now=now)
    visit.refresh_from_db()
    assert (visit.at, visit.starts_at, visit.minutes) == ("bench", start, 90)


def test_while_the_boss_is_asked_nothing_moves(visit, start, now):
    routes.ask_the_boss(visit, route="do-not-run", reasons=tuple(WHY), now=now)
    check_noted("the boss is asked: do not run?", by=SYSTEM, at=now, visit=visit)
    visit.refresh_from_db()
    assert (visit.route_asked, visit.route_reasons, visit.route) == ("do-not-run", WHY, "")
    assert (visit.state, visit.starts_at) == (states.BOOKED, start)


def test_a_question_to_the_boss_is_taken_back_without_a_trace(visit):
    _asked(visit)
    lines = TrailRow.objects.count()
    assert routes.no_longer_asked(visit).route_asked == ""
    visit.refresh_from_db()
    assert (visit.route_asked, TrailRow.objects.count()) == ("", lines)


@pytest.mark.parametrize("state", sorted(states.OVER))
def test_a_visit_that_is_over_is_sent_nowhere(visit, by, now, state):
    Visit.objects.filter(pk=visit.pk).update(state=state)
    sentence = f"Visit {visit.number} is {states.WORDS[state]}: it can't be sent anywhere any more."
    for change in (
        lambda: routes.roller_ready(visit, reasons=WHY, ready_chance=0.9, by=by, now=now),
        lambda: routes.ring(visit, reasons=WHY, to_ask=[], by=by, now=now),
        lambda: routes.fix_first(visit, reasons=WHY, ready_chance=0.4, bench_minutes=50, by=by, now=now),
        lambda: routes.do_not_run(visit, reasons=WHY, bench_minutes=50, by=by, now=now),
        lambda: routes.ask_the_boss(visit, route="do-not-run", reasons=WHY, now=now),
        lambda: routes.no_longer_asked(visit),
    ):
        with refuses(sentence):
            change()
