from datetime import date, datetime, time, timedelta

import pytest
from django.db import connection
from django.template.loader import render_to_string
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from garage.changes.day import steps
from garage.core import routes, states
from garage.core.errors import Refused
from garage.models.people import Person
from garage.models.shop import ClosedDay, Station
from garage.models.visits import Step, Visit
from garage.pages.day_sheet import day_page
from garage.reads.shop import the_shop
from tests.factories import booking
from tests.factories import garage as factory

pytestmark = pytest.mark.django_db


@pytest.fixture
def working_day() -> datetime:
    """An instant at 10:00 UTC on a working day to come, with the shop and one mechanic ready for it."""
    factory.shop()
    factory.person(first_name="Ada")
    return factory.next_workday_at(10)


def _booked(starts_at: datetime, **given: object) -> Visit:
    visit = factory.visit(starts_at=starts_at, **given)
    Step.objects.create(visit=visit, index=0, at="bench", minutes=10, what="gate", is_check=True)
    Step.objects.create(visit=visit, index=1, at="roller", minutes=90, what="set-up")
    return visit


def test_a_booked_visit_is_drawn_planned_and_expected(working_day: datetime) -> None:
    visit = _booked(working_day)
    page = day_page(working_day.date(), the_shop(), now=timezone.now())
    assert [row.number for row in page.nexts] == [visit.number, visit.number]
    assert page.expected == (visit,)
    assert page.sub == "1 person, 1 machine, 90 roller minutes sold."
    assert any("promised" in line.text for line in page.drawing.lines)


def test_a_promise_stands_at_the_rollers_that_the_plan_gives_the_machine(working_day: datetime) -> None:
    Station.objects.create(kind="roller", number=2, name="Small rollers")
    factory.person(first_name="Bo")
    _booked(working_day)
    second = _booked(working_day)
    Step.objects.filter(visit=second, at="roller").update(pin_station=2)
    page = day_page(working_day.date(), the_shop(), now=timezone.now())
    (mark,) = [label for label in page.drawing.labels if label.text.startswith(f"{second.number} promised")]
    (name,) = [label for label in page.drawing.labels if label.text == "Rollers 2"]
    assert abs(mark.y - name.y) < 40


def test_a_called_off_visit_is_not_on_the_sheet(working_day: datetime) -> None:
    visit = _booked(working_day)
    Visit.objects.filter(pk=visit.pk).update(state=states.CALLED_OFF)
    page = day_page(working_day.date(), the_shop(), now=timezone.now())
    assert (page.nexts, page.expected) == ((), ())


def test_a_visit_that_is_not_here_in_time_needs_a_hand(working_day: datetime) -> None:
    late = _booked(working_day)
    in_time = day_page(working_day.date(), the_shop(), now=working_day + timedelta(minutes=10))
    too_late = day_page(working_day.date(), the_shop(), now=working_day + timedelta(minutes=20))
    assert in_time.hands == ()
    assert [(hand.visit, hand.url_name) for hand in too_late.hands] == [(late, "visit")]


@pytest.mark.parametrize("stop", [{"must_not_run": ["It pinks."]}, {"route": routes.DO_NOT_RUN}])
def test_a_machine_that_must_not_run_and_still_has_the_rollers_needs_a_hand(
    working_day: datetime, stop: dict[str, object]
) -> None:
    visit = _booked(working_day, **stop)
    page = day_page(working_day.date(), the_shop(), now=timezone.now())
    assert (page.nexts, [(hand.visit, hand.url_name) for hand in page.hands]) == ((), [(visit, "findings")])
    assert page.hands[0].words.startswith("must not run, and still has the rollers at ")
    Visit.objects.filter(pk=visit.pk).update(route_asked=routes.DO_NOT_RUN)
    (asked,) = day_page(working_day.date(), the_shop(), now=timezone.now()).hands
    assert asked.words == "waits for the boss's word on its route."
    Visit.objects.filter(pk=visit.pk).update(route_asked="", state=states.READY, arrived_at=working_day)
    assert day_page(working_day.date(), the_shop(), now=timezone.now()).hands == ()


def test_a_step_has_its_button_exactly_where_it_may_begin(working_day: datetime) -> None:
    visit = _booked(working_day, state=states.HERE, arrived_at=working_day - timedelta(minutes=30))
    ada = Person.objects.get(first_name="Ada")
    page = day_page(working_day.date(), the_shop(), now=working_day - timedelta(minutes=20))
    assert [(row.step.what, row.may_begin) for row in page.nexts] == [("gate", True), ("set-up", False)]
    with pytest.raises(Refused, match="has not passed the gate"):
        steps.begin(visit.steps.get(index=1), by=ada, now=timezone.now(), station=1)
    assert steps.begin(visit.steps.get(index=0), by=ada, now=timezone.now(), station=1).began_at


@pytest.mark.parametrize(("ready_chance", "kind"), [(0.79, "doubt"), (0.8, "thread")])
def test_a_machine_that_the_notes_name_as_risky_is_drawn_in_doubt_too(
    working_day: datetime, ready_chance: float, kind: str
) -> None:
    _booked(working_day, ready_chance=ready_chance)
    page = day_page(working_day.date(), the_shop(), now=timezone.now())
    assert [curve.kind for curve in page.drawing.curves if curve.kind != "promise"] == [kind]
    assert any("may well fail" in note for note in page.troubles) == (kind == "doubt")


def test_work_done_is_listed_as_done_and_the_rest_as_planned(working_day: datetime) -> None:
    visit = _booked(working_day, state=states.HERE, arrived_at=working_day - timedelta(minutes=30))
    gate = visit.steps.get(index=0)
    gate.began_at, gate.ended_at = working_day - timedelta(minutes=20), working_day - timedelta(minutes=10)
    gate.by, gate.station = factory.person(), 1
    gate.save()
    page = day_page(working_day.date(), the_shop(), now=working_day - timedelta(minutes=5))
    assert [row.step.what for row in page.nexts] == ["set-up"]
    assert len([line for line in page.drawing.lines if "gate" in line.text]) == 1


# The shop, visits, steps, people with hours and absences, opening, exceptions, stations, plans, routes, freed times.
MOST_QUERIES = 12


def _asked(day: date, now: datetime) -> int:
    with CaptureQueriesContext(connection) as queries:
        day_page(day, the_shop(), now=now)
    return len(queries)


@pytest.mark.parametrize("seen_after", [timedelta(days=7), timedelta(hours=1), timedelta(days=-7)])
def test_ten_times_the_visits_take_as_many_queries_on_a_day_past_present_or_to_come(
    working_day: datetime, seen_after: timedelta
) -> None:
    closed = ClosedDay.objects.create(day=working_day.date() - timedelta(days=1), why="stock-taking")
    now, state = working_day + seen_after, states.COLLECTED if seen_after > timedelta(days=1) else states.BOOKED
    counted = []
    for many in (1, 9):
        for nth in range(many):
            visit = _booked(working_day + timedelta(minutes=15 * nth), state=state, route=routes.FIX_FIRST)
            if state == states.COLLECTED:
                visit.steps.update(began_at=working_day, ended_at=working_day + timedelta(hours=1), station=1)
        counted += [_asked(day, now) for day in (working_day.date(), closed.day)]
    assert set(counted) == {MOST_QUERIES}


def test_a_machine_that_is_strapped_down_is_drawn_on_its_roller_from_then_on(working_day: datetime) -> None:
    visit = _booked(working_day, state=states.HERE, arrived_at=working_day - timedelta(minutes=30))
    ada, minutes = Person.objects.get(first_name="Ada"), timedelta(minutes=1)
    visit.steps.filter(index=0).update(
        began_at=working_day - 20 * minutes, ended_at=working_day - 10 * minutes, by=ada, station=1
    )
    Visit.objects.filter(pk=visit.pk).update(gate_at_bench_passed_at=working_day)
    steps.put_on_the_rollers(visit, by=ada, now=working_day, station=1)
    page = day_page(working_day.date(), the_shop(), now=working_day + 2 * minutes)
    local = f"{the_shop().local_time.shown(working_day):%H:%M}"
    assert [(row.begin, row.is_running, row.may_begin) for row in page.nexts] == [(local, False, False)]


def test_a_closed_day_says_why_and_names_the_next_working_day(working_day: datetime) -> None:
    friday = working_day.date()
    while friday.weekday() != 4:
        friday += timedelta(days=1)
    ClosedDay.objects.create(day=friday + timedelta(days=3), why="winter closing")
    ClosedDay.objects.create(day=friday + timedelta(days=4), why="winter closing")
    page = day_page(friday + timedelta(days=3), the_shop(), now=timezone.now())
    assert (page.closed, page.next_open) == ("winter closing", friday + timedelta(days=5))
    assert page.following is not None
    assert page.following.day == page.next_open


def test_an_open_day_says_nothing_of_closing_even_if_nobody_works(working_day: datetime) -> None:
    page = day_page(working_day.date(), the_shop(), now=timezone.now())
    assert (page.closed, page.following) == ("", None)
    Person.objects.all().delete()
    page = day_page(working_day.date(), the_shop(), now=timezone.now())
    assert (page.closed, page.next_open) == ("", None)


def _at(working_day: datetime, hour: int, minute: int = 0) -> datetime:
    return booking.at_local(working_day.date(), hour, minute)


def _begun(visit: Visit, at: datetime) -> None:
    visit.steps.filter(index=0).update(began_at=at - timedelta(minutes=20), ended_at=at, station=1)
    visit.steps.filter(index=1).update(began_at=at, by=Person.objects.get(first_name="Ada"), station=1)


@pytest.mark.parametrize(
    ("begins", "ends", "has_rollers", "said"),
    [
        (None, None, True, ""),
        (time(9), time(16), True, " On this day the rollers run from 09:00 to 16:00."),
        (None, None, False, " On this day the rollers do not run."),
    ],
)
def test_the_sheet_says_when_the_rollers_run_where_that_is_not_all_day(
    working_day: datetime, begins: time | None, ends: time | None, has_rollers: bool, said: str
) -> None:
    factory.roller_hours(begins, ends, has_rollers=has_rollers)
    page = day_page(working_day.date(), the_shop(), now=timezone.now())
    assert page.sub == f"1 person, no machines, 0 roller minutes sold.{said}"


@pytest.mark.parametrize(
    ("begun_at", "is_outside"),
    [((8, 59), True), ((9, 0), False), ((14, 30), False), ((14, 31), True), ((16, 30), True)],
)
def test_a_session_outside_the_roller_hours_is_a_caution_and_no_refusal(
    working_day: datetime, begun_at: tuple[int, int], is_outside: bool
) -> None:
    factory.roller_hours(time(9), time(16))
    begun = _at(working_day, *begun_at)
    visit = _booked(working_day, state=states.ON_THE_ROLLERS, arrived_at=begun - timedelta(hours=1))
    _begun(visit, begun)
    page = day_page(working_day.date(), the_shop(), now=begun + timedelta(minutes=5))
    words = "has a session on the rollers outside their hours: today they run from 09:00 to 16:00."
    assert [(hand.words, hand.url_name) for hand in page.hands] == ([(words, "visit")] if is_outside else [])
    assert [row.is_running for row in page.nexts] == [True]


def test_a_session_that_overruns_the_roller_hours_is_named_once_they_are_over(working_day: datetime) -> None:
    factory.roller_hours(time(9), time(16))
    visit = _booked(working_day, state=states.ON_THE_ROLLERS, arrived_at=_at(working_day, 13))
    _begun(visit, _at(working_day, 14))
    for minute, count in ((59, 0), (61, 1)):
        page = day_page(working_day.date(), the_shop(), now=_at(working_day, 15) + timedelta(minutes=minute))
        assert len(page.hands) == count


def test_what_would_begin_outside_the_roller_hours_keeps_its_button_and_says_so(working_day: datetime) -> None:
    factory.roller_hours(time(9), time(16))
    arrived = _at(working_day, 8)
    visit = _booked(working_day, state=states.HERE, arrived_at=arrived, gate_passed_at=arrived)
    visit.steps.filter(index=0).update(began_at=arrived, ended_at=arrived + timedelta(minutes=10), station=1)
    early, in_time = (
        day_page(working_day.date(), the_shop(), now=_at(working_day, *at)).nexts for at in ((8, 30), (9, 0))
    )
    assert [(row.may_begin, row.caution) for row in early] == [
        (True, "Begun now, it would be outside the roller hours: today they run from 09:00 to 16:00.")
    ]
    assert [(row.may_begin, row.caution) for row in in_time] == [(True, "")]
    assert "today they run from" in _list_of(working_day, _at(working_day, 8, 30))
    assert "today they run from" not in _list_of(working_day, _at(working_day, 9))


def _list_of(working_day: datetime, now: datetime) -> str:
    page = day_page(working_day.date(), the_shop(), now=now)
    return render_to_string("garage/day_sheet.html#day-list", {"page": page, "shop": the_shop()})
