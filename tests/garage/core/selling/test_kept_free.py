"""Kept minutes are a duty of the day without a fixed time, and are used up by what they are kept for."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta

import pytest

from garage.core import routes, states
from garage.core.errors import BadInput
from garage.core.planning.day_problem import DayProblem, Worker
from garage.core.planning.day_rules import DayAt, VisitStep, VisitToPlan
from garage.core.selling.free_times import bench_visit, free_times, job_at, possible, roller_visit
from garage.core.selling.kept_free import check_kept, kept_jobs, still_kept
from garage.core.time.local_time import LocalTime
from garage.core.time.open_days import Hours

LONDON = LocalTime.named("Europe/London")
DAY = date(2027, 6, 16)  # a Wednesday
GATE, ROLLERS, BENCH_WORK = VisitStep("bench", 10, is_check=True), VisitStep("roller", 90), VisitStep("bench", 50)
TEN = datetime(2027, 6, 16, 9, tzinfo=UTC)
RULES = {(2, "bench"): 120, (2, "roller"): 100, (3, "bench"): 30}
OPEN = {2: Hours(time(8), time(17, 30))}


def left(*visits: VisitToPlan, day: date = DAY) -> dict[str, int]:
    return still_kept(RULES, visits, DayAt(day, LONDON.at_minute(day, 480), LONDON))


def a_visit(*steps: VisitStep, **given: object) -> VisitToPlan:
    return VisitToPlan(
        **{"number": 41, "state": states.BOOKED, "steps": steps, "at": "roller", "starts_at": TEN} | given
    )


def test_the_rule_of_the_weekday_is_kept_and_nothing_where_there_is_none():
    assert left() == {"bench": 120, "roller": 100}
    assert left(day=DAY + timedelta(days=1)) == {"bench": 30, "roller": 0}
    assert left(day=DAY + timedelta(days=2)) == {"bench": 0, "roller": 0}


def test_a_gate_and_a_booked_bench_visit_do_not_use_it_up():
    assert left(a_visit(GATE, ROLLERS), a_visit(BENCH_WORK, at="bench"))["bench"] == 120


@pytest.mark.parametrize(
    ("visit", "bench"),
    [
        (a_visit(BENCH_WORK, at="bench", route=routes.FIX_FIRST), 70),
        (a_visit(BENCH_WORK, GATE, ROLLERS, at="bench", route=routes.FIX_FIRST), 70),
        (a_visit(BENCH_WORK, GATE, ROLLERS, route=routes.ROLLER_READY), 70),
        (a_visit(VisitStep("bench", 200), at="bench", route=routes.DO_NOT_RUN), 0),
    ],
    ids=["fix first", "left with us", "put right and through already", "more than is kept"],
)
def test_what_is_put_right_first_uses_up_the_bench(visit, bench):
    assert left(visit)["bench"] == bench


def test_work_that_is_over_has_used_it_up_too():
    began = TEN - timedelta(hours=1)
    over = replace(BENCH_WORK, began_at=began, by="p1", ended_at=began + timedelta(minutes=45))
    visit = a_visit(over, GATE, ROLLERS, state=states.HERE, arrived_at=began)
    assert left(visit) == {"bench": 70, "roller": 10}


@pytest.mark.parametrize(
    ("given", "rollers"),
    [
        ({}, 100),
        ({"state": states.HERE, "arrived_at": TEN - timedelta(minutes=30)}, 100),
        ({"state": states.HERE, "arrived_at": TEN - timedelta(days=1)}, 10),
        ({"state": states.HERE, "arrived_at": TEN - timedelta(minutes=30), "starts_at": None, "at": ""}, 10),
    ],
    ids=["to come", "come for its time", "stood here overnight", "here without a time"],
)
def test_a_machine_that_was_here_before_its_time_was_agreed_uses_up_the_rollers(given, rollers):
    assert left(a_visit(GATE, ROLLERS, **given))["roller"] == rollers


@pytest.mark.parametrize(
    ("minutes", "pieces"), [(0, []), (1, [1]), (60, [60]), (61, [30, 31]), (150, [50, 50, 50])], ids=str
)
def test_minutes_are_kept_in_equal_pieces_of_an_hour_at_most(minutes, pieces):
    assert [job.steps[0].minutes for job in kept_jobs({"bench": minutes})] == pieces


def a_day(*people: Worker, **given: object) -> DayProblem:
    return DayProblem("2027-06-16", 0, 1, 1, people or (Worker("p1", 480, 720),), (), **given)


def test_a_sale_that_would_take_the_last_kept_minutes_is_refused_and_the_one_before_it_is_not():
    """Four hours of one person, of which one is kept: three bench hours can be sold, in any order."""
    day = replace(a_day(), jobs=kept_jobs({"bench": 60}))
    for number, begin in (("41", 480), ("42", 660), ("43", 540)):
        job = job_at(bench_visit(60), begin, id=number)
        assert possible(day, job)
        day = replace(day, jobs=(*day.jobs, job))
    assert free_times(day, bench_visit(15)) == []
    bare = replace(day, jobs=tuple(job for job in day.jobs if not job.id.startswith("kept")))
    assert free_times(bare, bench_visit(60)) == [600]


def test_kept_roller_minutes_are_spared_by_sessions_and_not_by_the_bench():
    day = replace(a_day(Worker("p1", 480, 720), Worker("p2", 480, 720)), jobs=kept_jobs({"roller": 61}))
    first = job_at(roller_visit(90), 540, id="41")
    with_it = replace(day, jobs=(*day.jobs, first))
    assert free_times(with_it, roller_visit(90)) == []
    assert free_times(replace(with_it, jobs=(first,)), roller_visit(90)) == [615, 630]
    assert 600 in free_times(with_it, bench_visit(30))


def test_more_than_the_day_has_is_kept_as_far_as_it_can_be():
    day = replace(a_day(), jobs=kept_jobs({"bench": 300}))
    assert free_times(day, bench_visit(15)) == []


@pytest.mark.parametrize(
    ("rules", "said"),
    [
        ({(2, "bench"): -1}, "Wednesday: bench is -1; allowed is 0 to 1140 minutes, what there is between"),
        ({(2, "bench"): 1141}, "Wednesday: bench is 1141; allowed is 0 to 1140 minutes"),
        ({(2, "roller"): 571}, "Wednesday: rollers is 571; allowed is 0 to 570 minutes"),
        ({(6, "bench"): 30}, "Sunday: bench is 30; allowed is 0: the garage is closed on Sundays"),
    ],
)
def test_more_than_there_is_cannot_be_kept(rules, said):
    with pytest.raises(BadInput, match=said):
        check_kept(rules, OPEN, {"bench": 2, "roller": 1})


def test_all_that_there_is_can_be_kept_and_nothing_on_a_closed_day():
    check_kept({(2, "bench"): 1140, (2, "roller"): 570, (6, "bench"): 0}, OPEN, {"bench": 2, "roller": 1})
