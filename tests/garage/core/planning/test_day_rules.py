"""What of a visit belongs to a day, what may begin, what is in doubt: one rule for plan, drawing and changes."""

# ruff: noqa: DTZ001  hypothesis takes its bounds without a zone

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import takewhile

import pytest
from hypothesis import given
from hypothesis import strategies as st

from garage.core import routes, states
from garage.core.planning.day_problem import KINDS, JobStep, Pin, Worker
from garage.core.planning.day_rules import (
    DayAt,
    NotYet,
    VisitStep,
    VisitToPlan,
    arrive_at,
    due_steps,
    is_late,
    is_overdue,
    job_of,
    people_of,
    skills_of,
    standing_day,
    step_now,
    why_not_yet,
)
from garage.core.time.day_minutes import DAY_MIN
from garage.core.time.local_time import LocalTime

LONDON = LocalTime.named("Europe/London")
DAY = date(2027, 6, 16)  # a Wednesday in summer time: local is an hour ahead of UTC
GATE, ROLLERS = VisitStep("bench", 10, is_check=True), VisitStep("roller", 90)
BENCH_WORK = VisitStep("bench", 50)
ALL_SKILLS = frozenset(KINDS)


def at(hour: int, minute: int = 0, day: date = DAY) -> datetime:
    return LONDON.at_minute(day, hour * 60 + minute)


def seen(hour: int = 8, minute: int = 0) -> DayAt:
    return DayAt(DAY, at(hour, minute), LONDON)


def visit(**given_values: object) -> VisitToPlan:
    """A set-up booked for ten o'clock, gate and rollers, not here yet."""
    values = {"number": 41, "state": states.BOOKED, "steps": (GATE, ROLLERS), "at": "roller", "starts_at": at(10)}
    return VisitToPlan(**values | given_values)


def here(**given_values: object) -> VisitToPlan:
    return visit(**{"state": states.HERE, "arrived_at": at(9, 31), "has_passed_gate": True} | given_values)


def test_a_day_is_at_its_beginning_before_it_comes_and_at_its_end_once_it_is_over():
    for now, minute in ((at(9, 5), 545), (at(9, day=date(2027, 6, 15)), 0), (at(9, day=date(2027, 6, 17)), DAY_MIN)):
        assert DayAt(DAY, now, LONDON).now_minute == minute


def test_a_booked_roller_visit_is_a_promise_half_an_hour_after_arrival():
    job = job_of(visit(worth=12000, ready=0.7), seen())
    assert (job.id, job.here_from, job.promised, job.worth, job.ready) == ("41", 570, 600, 12000, 0.7)
    assert [(step.at, step.minutes, step.check) for step in job.steps] == [("bench", 10, True), ("roller", 90, False)]


def test_bench_work_before_the_rollers_brings_the_machine_earlier():
    job = job_of(visit(steps=(BENCH_WORK, GATE, ROLLERS)), seen())
    assert job.here_from == 600 - 30 - 50


def test_a_machine_that_is_here_is_here_from_its_arrival_and_from_the_days_beginning_once_it_stayed_overnight():
    assert job_of(here(), seen(9, 40)).here_from == 571
    assert job_of(here(arrived_at=at(16, day=date(2027, 6, 15))), seen(9, 40)).here_from == 0


def test_the_owner_is_asked_half_an_hour_before_the_rollers_and_at_the_time_of_the_bench():
    assert arrive_at("roller", at(10)) == at(9, 30)
    assert arrive_at("bench", at(10)) == at(10)


@pytest.mark.parametrize(
    ("starts_at", "arrived_at", "day"),
    [
        (at(10, day=date(2027, 6, 18)), None, date(2027, 6, 18)),
        (at(10, day=date(2027, 6, 18)), at(9), date(2027, 6, 18)),
        (at(10, day=date(2027, 6, 15)), at(9, day=date(2027, 6, 15)), DAY),
        (at(10, day=date(2027, 6, 15)), None, date(2027, 6, 15)),
        (None, at(9), DAY),
        (None, None, DAY),
    ],
    ids=["agreed", "early", "here since yesterday", "not come", "here without a time", "no time"],
)
def test_a_visit_is_shown_on_the_day_of_its_time_or_today(starts_at, arrived_at, day):
    assert standing_day(starts_at, arrived_at, DAY, LONDON) == day


def test_an_agreed_bench_time_pins_the_first_step_that_has_not_begun():
    booked = visit(at="bench", starts_at=at(11), steps=(BENCH_WORK, BENCH_WORK))
    job = job_of(booked, seen())
    assert (job.promised, job.here_from, [step.pin.begin for step in job.steps]) == (None, 660, [660, None])


def test_an_agreed_bench_time_pins_nothing_once_it_has_passed_or_work_has_begun_today():
    booked = here(at="bench", starts_at=at(11), steps=(BENCH_WORK, BENCH_WORK))
    assert [step.pin.begin for step in job_of(booked, seen(11)).steps] == [660, None]
    assert [step.pin.begin for step in job_of(booked, seen(11, 1)).steps] == [None, None]
    begun = replace(booked, steps=(replace(BENCH_WORK, began_at=at(10), by="Jo"), BENCH_WORK))
    assert [step.pin.begin for step in job_of(begun, seen(10, 30)).steps] == [None, None]


def test_work_of_an_earlier_day_leaves_the_agreed_bench_time_to_the_next_step():
    yesterday = date(2027, 6, 15)
    over = replace(GATE, began_at=at(10, day=yesterday), ended_at=at(10, 10, day=yesterday), by="Jo")
    job = job_of(here(at="bench", starts_at=at(11), steps=(over, BENCH_WORK)), seen())
    assert [step.pin.begin for step in job.steps] == [None, 660]


def test_a_time_fixed_by_hand_overrides_the_agreed_one():
    pinned = replace(BENCH_WORK, pin_begins_at=at(12), pin_station=2, pin_by="Jo")
    (step,) = job_of(visit(at="bench", starts_at=at(11), steps=(pinned,)), seen()).steps
    assert (step.pin.begin, step.pin.station, step.pin.by) == (720, 2, "Jo")


@pytest.mark.parametrize(
    ("pin_begins_at", "begin"), [(at(13, 30), None), (at(13, 40), 820), (at(14, day=date(2027, 6, 17)), None)]
)
def test_a_pin_is_ignored_once_its_time_has_passed_or_on_another_day(pin_begins_at, begin):
    gate = replace(GATE, pin_begins_at=pin_begins_at)
    assert job_of(visit(starts_at=at(14), steps=(gate, ROLLERS)), seen(13, 40)).steps[0].pin.begin == begin


@pytest.mark.parametrize("state", [states.WAITING_FOR_PARTS, states.WAITING_FOR_OWNER])
def test_a_machine_that_waits_is_planned_on_the_day_of_its_time_only(state):
    assert due_steps(here(state=state), seen()) == (GATE, ROLLERS)
    assert due_steps(here(state=state, at="", starts_at=None), seen()) == ()


def test_nothing_is_due_of_a_machine_that_is_ready_but_what_has_begun():
    begun = replace(GATE, began_at=at(9, 40), ended_at=at(9, 50), by="Jo")
    assert due_steps(here(state=states.READY, steps=(begun, ROLLERS)), seen()) == (begun,)


@pytest.mark.parametrize("route", sorted(routes.WORDS))
def test_only_bench_work_is_due_of_what_is_to_be_fixed_first(route):
    waiting = here(route=route, has_passed_gate=False, at="", starts_at=None, steps=(BENCH_WORK, GATE, ROLLERS))
    due = (BENCH_WORK,) if route in {routes.FIX_FIRST, routes.DO_NOT_RUN} else waiting.steps
    then = due if route == routes.DO_NOT_RUN else waiting.steps
    assert due_steps(waiting, seen()) == due
    assert due_steps(replace(waiting, has_passed_gate=True), seen()) == then
    assert due_steps(replace(waiting, at="roller", starts_at=at(14)), seen()) == then


@pytest.mark.parametrize("passed", [True, False])
def test_the_agreed_roller_time_of_a_machine_that_must_not_run_is_a_wish_that_nothing_is_planned_for(passed):
    stopped = here(must_not_run=("It pinks.",), steps=(BENCH_WORK, GATE, ROLLERS), has_passed_gate=passed)
    job = job_of(stopped, seen())
    assert (job.promised, [step.at for step in job.steps]) == (None, ["bench"])
    assert job_of(replace(stopped, must_not_run=()), seen()).promised == 600


def test_what_has_begun_on_the_rollers_stays_drawn_whatever_is_found_afterwards():
    running = here(must_not_run=("It pinks.",), steps=(replace(ROLLERS, began_at=at(10), by="Jo"),))
    assert due_steps(running, seen(10, 30)) == running.steps


_instants = st.datetimes(datetime(2027, 6, 14), datetime(2027, 6, 18), timezones=st.just(UTC))
_moments = st.none() | _instants
_steps = st.builds(
    VisitStep,
    at=st.sampled_from(KINDS),
    minutes=st.integers(5, 120),
    is_check=st.booleans(),
    began_at=_moments,
    pin_begins_at=_moments,
    strap_min=st.integers(0, 15),
    strapped_from=_moments,
)
_visits = st.builds(
    VisitToPlan,
    number=st.integers(1, 99),
    state=st.sampled_from(sorted(states.WORDS)),
    steps=st.lists(_steps, max_size=4).map(tuple),
    route=st.sampled_from(["", *routes.WORDS]),
    at=st.sampled_from(KINDS),
    starts_at=_moments,
    arrived_at=_moments,
    has_passed_gate=st.booleans(),
)


@given(_visits, _instants)
def test_whatever_the_rows_say_the_planner_is_given_the_first_steps_in_order_and_nothing_it_cannot_place(found, now):
    day = DayAt(DAY, now, LONDON)
    job = job_of(found, day)
    assert [step.at for step in job.steps] == [step.at for step in found.steps[: len(job.steps)]]
    assert all(step.minutes >= 1 for step in job.steps)
    assert all(0 <= minute <= DAY_MIN for minute in [job.here_from, *(step.began or 0 for step in job.steps)])
    assert all(step.pin.begin is None or step.pin.begin >= day.now_minute for step in job.steps)
    assert len(job.steps) >= len(list(takewhile(lambda step: step.began_at is not None, found.steps)))


STRAPPED = replace(ROLLERS, strap_min=5)


def test_strapping_down_is_time_on_the_rollers_before_the_session_and_the_promise_is_when_it_goes_on():
    job = job_of(visit(steps=(GATE, STRAPPED)), seen())
    assert (job.steps[1].minutes, job.promised, job.here_from) == (95, 600, 570)
    assert job_of(here(steps=(STRAPPED,)), seen(9, 40)).steps[0].minutes == 90  # the gate is passed


def test_a_machine_that_stands_on_the_rollers_holds_them_before_its_session_begins():
    standing = replace(STRAPPED, strapped_from=at(10), by="Jo")
    job = job_of(here(steps=(standing,), state=states.ON_THE_ROLLERS, has_passed_gate=False), seen(10, 3))
    assert (job.steps[0].began, job.steps[0].minutes, job.steps[0].by) == (600, 95, "Jo")
    running = replace(standing, began_at=at(10, 8))
    job = job_of(here(steps=(running,), state=states.ON_THE_ROLLERS), seen(10, 20))
    assert (job.steps[0].began, job.steps[0].minutes) == (600, 98)  # 8 min until the session began


def test_a_person_working_on_a_day_off_is_listed_without_hours():
    running = here(steps=(replace(BENCH_WORK, began_at=at(9), by="Sam"),))
    over = here(steps=(replace(BENCH_WORK, began_at=at(9), ended_at=at(10), by="Al"),))
    assert people_of([Worker("Jo", 480, 1020)], [running, over]) == (Worker("Jo", 480, 1020), Worker("Sam", 0, 0))
    assert people_of([Worker("Sam", 480, 1020)], [running]) == (Worker("Sam", 480, 1020),)


@pytest.mark.parametrize(
    ("changed", "index", "skills", "why"),
    [
        ({}, 0, ALL_SKILLS, None),
        ({"steps": (replace(GATE, began_at=at(9)), ROLLERS)}, 0, ALL_SKILLS, NotYet.BEGUN),
        ({"state": states.BOOKED}, 0, ALL_SKILLS, NotYet.NOT_HERE),
        ({"has_passed_gate": False, "steps": (ROLLERS,)}, 0, ALL_SKILLS, NotYet.KEPT_OFF),
        ({"steps": (ROLLERS,)}, 0, frozenset({"bench"}), NotYet.NO_SKILL),
        ({}, 1, ALL_SKILLS, NotYet.NOT_ITS_TURN),
        ({"steps": (replace(GATE, began_at=at(9)), ROLLERS)}, 1, ALL_SKILLS, NotYet.NOT_ITS_TURN),
        ({"steps": (replace(GATE, began_at=at(9), ended_at=at(9, 10)), ROLLERS)}, 1, ALL_SKILLS, None),
        ({"has_passed_gate": False, "state": states.BOOKED}, 1, frozenset(), NotYet.NOT_HERE),
        ({"has_passed_gate": False}, 1, frozenset(), NotYet.KEPT_OFF),
        ({"must_not_run": ("It pinks.",), "steps": (ROLLERS,)}, 0, ALL_SKILLS, NotYet.KEPT_OFF),
        ({"must_not_run": ("It pinks.",)}, 0, ALL_SKILLS, None),
        ({"route": routes.DO_NOT_RUN, "steps": (ROLLERS,)}, 0, ALL_SKILLS, NotYet.KEPT_OFF),
        ({}, 1, frozenset(), NotYet.NO_SKILL),
    ],
)
def test_a_step_may_begin_or_the_first_reason_why_not_is_given(changed, index, skills, why):
    assert why_not_yet(here(**changed), index, skills) is why


def test_the_current_step_is_the_running_one_or_the_next_of_a_machine_in_the_building():
    over = replace(GATE, began_at=at(9), ended_at=at(9, 10))
    assert step_now(here()) == 0
    assert step_now(here(steps=(over, ROLLERS))) == 1
    assert step_now(here(steps=(over, replace(ROLLERS, began_at=at(10))))) == 1
    assert step_now(here(steps=(over,))) is None
    assert step_now(visit()) is None


def test_a_machine_is_in_doubt_below_eight_in_ten_and_until_its_gate_is_passed():
    assert visit(ready=0.79).is_in_doubt
    assert not visit(ready=0.8).is_in_doubt
    assert not visit(ready=0.1, has_passed_gate=True).is_in_doubt
    assert job_of(visit(ready=0.79), seen()).is_in_doubt
    assert not job_of(visit(ready=0.8), seen()).is_in_doubt


@pytest.mark.parametrize(("minutes", "overdue", "late"), [(-1, False, False), (0, True, False), (15, True, True)])
def test_a_visit_is_overdue_from_its_time_on_and_late_a_quarter_of_an_hour_after_it(minutes, overdue, late):
    now = at(10) + timedelta(minutes=minutes)
    assert (is_overdue(states.BOOKED, at(10), now), is_late(states.BOOKED, at(10), now)) == (overdue, late)
    assert not is_overdue(states.HERE, at(10), now)
    assert not is_overdue(states.BOOKED, None, now)


def test_skills_are_the_places_at_which_a_person_works():
    assert skills_of(does_bench=True, does_rollers=True) == ALL_SKILLS
    assert skills_of(does_bench=True, does_rollers=False) == {"bench"}
    assert skills_of(does_bench=False, does_rollers=False) == frozenset()


def test_a_step_keeps_all_that_the_day_knows_of_it():
    begun = VisitStep("bench", 10, is_check=True, began_at=at(9, 40), by="Jo", ended_at=at(9, 52))
    to_come = VisitStep("roller", 90, pin_station=2, pin_by="Sam", pin_begins_at=at(11))
    assert job_of(here(steps=(begun, to_come)), seen(10)).steps == (
        JobStep("bench", 10, check=True, began=580, by="Jo", ended=592),
        JobStep("roller", 90, pin=Pin(2, "Sam", 660)),
    )


def test_a_pin_for_this_very_minute_stands():
    gate = replace(GATE, pin_begins_at=at(13, 40))
    assert job_of(visit(starts_at=at(14), steps=(gate, ROLLERS)), seen(13, 40)).steps[0].pin.begin == 820


def test_a_roller_visit_of_another_day_promises_nothing_and_is_there_from_the_beginning():
    job = job_of(visit(starts_at=at(10, day=date(2027, 6, 17))), seen())
    assert (job.promised, job.here_from) == (None, 0)


def test_a_roller_visit_early_in_the_day_is_there_from_the_days_beginning():
    assert job_of(visit(starts_at=at(0, 20)), DayAt(DAY, at(12, day=date(2027, 6, 15)), LONDON)).here_from == 0


def test_only_bench_work_that_is_still_to_be_done_brings_a_machine_earlier():
    done = replace(BENCH_WORK, began_at=at(8), ended_at=at(8, 50), by="Jo")
    assert job_of(visit(steps=(done, BENCH_WORK, GATE, ROLLERS, ROLLERS)), seen()).here_from == 600 - 30 - 50


def test_a_roller_time_pins_no_step():
    assert [step.pin.begin for step in job_of(visit(), seen()).steps] == [None, None]


def test_an_agreed_bench_time_keeps_the_station_and_the_person_fixed_by_hand():
    pinned = replace(BENCH_WORK, pin_station=2, pin_by="Jo")
    booked = visit(at="bench", starts_at=at(11), steps=(pinned, BENCH_WORK))
    assert job_of(booked, seen()).steps == (JobStep("bench", 50, pin=Pin(2, "Jo", 660)), JobStep("bench", 50))


def test_an_agreed_bench_time_pins_nothing_of_a_visit_of_which_all_has_begun_or_nothing_is_due():
    over = replace(BENCH_WORK, began_at=at(10, day=date(2027, 6, 15)), ended_at=at(11, day=date(2027, 6, 15)))
    assert [step.pin for step in job_of(here(at="bench", starts_at=at(11), steps=(over,)), seen()).steps] == [Pin()]
    assert job_of(here(at="bench", starts_at=at(11), steps=()), seen()).steps == ()


def test_a_machine_that_is_ready_is_not_planned_even_on_the_day_of_its_time():
    assert due_steps(here(state=states.READY), seen()) == ()


@pytest.mark.parametrize(("at_place", "due"), [("roller", True), ("bench", False)])
def test_what_is_to_be_fixed_first_keeps_its_rollers_only_with_a_roller_time_of_that_day(at_place, due):
    waiting = here(route=routes.FIX_FIRST, has_passed_gate=False, at=at_place, steps=(BENCH_WORK, GATE, ROLLERS))
    assert due_steps(waiting, seen()) == (waiting.steps if due else (BENCH_WORK,))
    tomorrow = replace(waiting, starts_at=at(10, day=date(2027, 6, 17)))
    assert due_steps(tomorrow, seen()) == (BENCH_WORK,)


def test_a_gate_that_has_begun_is_due_though_it_is_to_be_fixed_first():
    begun = replace(GATE, began_at=at(9, 40))
    waiting = here(route=routes.FIX_FIRST, has_passed_gate=False, at="", starts_at=None, steps=(begun, ROLLERS))
    assert due_steps(waiting, seen()) == (begun,)


def test_people_without_hours_come_last_in_the_order_of_their_names():
    steps = tuple(replace(BENCH_WORK, began_at=at(9), by=name) for name in ("Sam", "Al", "Jo"))
    found = people_of([Worker("Jo", 480, 1020)], [here(steps=(steps[0],)), here(steps=steps[1:])])
    assert found == (Worker("Jo", 480, 1020), Worker("Al", 0, 0), Worker("Sam", 0, 0))


def test_a_visit_is_late_a_quarter_of_an_hour_after_its_time_and_not_a_minute_sooner():
    assert not is_late(states.BOOKED, at(10), at(10, 14))
    assert is_late(states.BOOKED, at(10), at(10, 15))


def test_what_arrived_for_an_agreed_time_of_today_belongs_to_today():
    assert standing_day(at(10), at(9), DAY, LONDON) == DAY


def test_an_instant_is_held_within_the_day():
    assert [seen().minute(at(9, 5, day=date(2027, 6, day))) for day in (15, 16, 17)] == [0, 545, DAY_MIN]
    assert [seen().has(moment) for moment in (None, at(0), at(23, 59), at(0, day=date(2027, 6, 17)))] == [
        False,
        True,
        True,
        False,
    ]
