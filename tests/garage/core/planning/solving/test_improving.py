"""The exact planner: what it wins over the simple rule, what it proves, and days judged by an exact reference."""

from __future__ import annotations

from dataclasses import replace

import pytest

from garage.core.planning.day_problem import DayProblem, Job, JobStep, Pin, Placed, Worker
from garage.core.planning.placing import Floor, Resources
from garage.core.planning.plan_score import score
from garage.core.planning.planner import plan, seat_running
from garage.core.planning.solving.improving import improved
from tests.garage.core.better_day import by_highs, levels_beaten
from tests.garage.core.check_plan import faults
from tests.garage.core.drawn_days import drawn_day
from tests.garage.core.planning_by_hand import GATE, ROLLERS, a_day, seated, visit

DRAWN_DAYS = 60
LIMIT_S = 8.0  # so that the clock does not end the search on a machine that has much else to do
JUDGED_JOBS_MOST = 3  # bigger days take the reference seconds each: `make bench` judges them
ALL_FIVE = [False] * 5


@pytest.mark.long
def test_every_drawn_day_is_feasible_and_nearly_every_one_is_proved_on_all_levels():
    days = [replace(drawn_day(seed), limit_s=LIMIT_S) for seed in range(DRAWN_DAYS)]
    made = [plan(day) for day in days]
    assert [(day.jobs, found) for day, one in zip(days, made, strict=True) if (found := faults(day, one))] == []
    proved = [one.proved for one in made]
    assert sum(levels >= 3 for levels in proved) >= 0.98 * DRAWN_DAYS
    assert sum(levels == 5 for levels in proved) >= 0.9 * DRAWN_DAYS


@pytest.mark.long
def test_no_small_drawn_day_can_be_planned_better():
    """Source: better_day.py, another model of the day; the tiniest are decided by another solver too."""
    days = [day for seed in range(DRAWN_DAYS) if len((day := drawn_day(seed)).jobs) <= JUDGED_JOBS_MOST]
    made = [plan(replace(day, limit_s=LIMIT_S)) for day in days]
    assert len(days) > 10
    assert [one.proved for one in made] == [5] * len(days)
    for day, one in zip(days, made, strict=True):
        assert levels_beaten(day, one) == ALL_FIVE, day
        if len(day.jobs) == 1:
            assert levels_beaten(day, one, by_highs) == ALL_FIVE, day


def test_the_reference_sees_that_a_plan_is_not_the_best():
    day = a_day(visit("41", promised=540), visit("42", worth=9000), people=(Worker("p1", 480, 700),))
    made = plan(day)
    assert levels_beaten(day, made) == ALL_FIVE
    without = tuple(p for p in made.placed if p.job != "42")
    assert levels_beaten(day, replace(made, placed=without, worth=made.worth - 9000)) == [False, False, True]
    later = [replace(p, begin=p.begin + 60, end=p.end + 60) if p.job == "42" else p for p in made.placed]
    assert levels_beaten(day, replace(made, placed=tuple(later)))[3:] == [True]


def two_for_one() -> DayProblem:
    """Placed in any simple order the long job takes the time of two short ones that earn more together."""
    jobs = (
        Job("long", 480, (JobStep("roller", 120),), worth=1000),
        Job("a", 480, (JobStep("roller", 60),), worth=600, gone_by=600),
        Job("b", 480, (JobStep("roller", 60),), worth=600, gone_by=600),
    )
    return a_day(*jobs, people=(Worker("p1", 480, 600),))


def test_more_worth_is_found_and_the_jobs_left_out_are_told():
    made = plan(two_for_one())
    assert (made.worth, made.proved, [one.job for one in made.left_out]) == (1200, 5, ["long"])


def begun_with_a_check_running(until: int) -> DayProblem:
    over = JobStep("bench", until - 480, check=True, began=480, by="p1")
    return a_day(visit("41", over, ROLLERS, promised=540), now=485, guard=20)


@pytest.mark.parametrize(("until", "guarded"), [(520, 1), (521, 0)])
def test_a_running_check_that_ends_in_the_clear_minutes_leaves_the_promise_unguarded(until, guarded):
    made = plan(begun_with_a_check_running(until))
    assert (made.kept, made.guarded, made.proved) == (1, guarded, 5)


def test_no_time_for_the_solver_means_the_plan_at_hand_and_no_proof():
    day = replace(two_for_one(), limit_s=0.0)
    floor = Floor(Resources(day))
    seats = {job.id: seated(job, 480) if job.id == "long" else [] for job in day.jobs}
    found = improved(floor, seat_running(day), seats)
    assert (found.seats, found.proved) == (seats, 2)


def test_a_worse_plan_at_hand_is_made_the_best():
    day = two_for_one()
    seats = {job.id: seated(job, 480) if job.id == "long" else [] for job in day.jobs}
    found = improved(Floor(Resources(day)), [], seats)
    assert score(day, found.seats).worth == 1200
    assert found.proved == 5


def test_among_equal_plans_the_least_is_moved_from_the_standing_one():
    people = tuple(Worker(f"p{n}", 480, 1020) for n in (1, 2, 3))
    jobs = tuple(visit(str(n), GATE, ROLLERS, here_from=600) for n in (41, 42, 43))
    stood = (
        Placed("41", 0, "bench", 2, "p3", 600, 610),
        Placed("42", 0, "bench", 1, "p2", 600, 610),
        Placed("43", 0, "bench", 2, "p3", 610, 620),
        Placed("41", 1, "roller", 1, "p3", 670, 730),
        Placed("42", 1, "roller", 1, "p1", 610, 670),
        Placed("43", 1, "roller", 1, "p2", 730, 790),
    )
    for guard in (0, 10):
        day = a_day(*jobs, people=people, standing=stood, guard=guard)
        assert set(plan(day).placed) == set(stood)


def test_a_step_that_has_to_move_keeps_its_person_and_its_station():
    """It could have been begun by anybody at any bench: whoever works to the plan is not sent elsewhere for a delay."""
    people = tuple(Worker(f"p{n}", 480, 1020) for n in (1, 2, 3))
    job = visit("41", None, steps=(GATE, ROLLERS))
    stood = (Placed("41", 0, "bench", 2, "p3", 480, 490), Placed("41", 1, "roller", 2, "p2", 490, 550))
    for guard in (0, 10):
        later = a_day(job, people=people, standing=stood, rollers=2, guard=guard, now=500)
        assert [(p.station, p.by, p.begin) for p in plan(later).placed] == [(2, "p3", 500), (2, "p2", 510)]


def test_what_is_fixed_by_hand_and_quiet_times_bind_the_exact_plan_too():
    fixed = Job("44", 480, (JobStep("roller", 30, pin=Pin(station=2, by="p1", begin=600)),), worth=1)
    others = tuple(visit(str(n), here_from=540, worth=5000) for n in (41, 42, 43))
    day = a_day(fixed, *others, rollers=2, quiet_rollers=((700, 760),), guard=10)
    made = plan(day)
    assert faults(day, made) == []
    assert next((p.station, p.by, p.begin) for p in made.placed if p.job == "44") == (2, "p1", 600)
    assert made.proved == 5


def test_a_begun_job_that_cannot_be_finished_is_taken_as_far_as_it_goes():
    over = JobStep("bench", 10, began=480, by="p1", ended=490)
    job = Job("41", 480, (over, JobStep("bench", 60), JobStep("bench", 900)), worth=1)
    others = tuple(visit(str(n), JobStep("bench", 60), worth=5000) for n in (42, 43, 44))
    day = a_day(job, *others, now=490)
    made = plan(day)
    assert faults(day, made) == []
    assert [p.step for p in made.placed if p.job == "41"] == [1]


def test_the_same_day_gives_the_same_plan_again():
    day = replace(drawn_day(7), limit_s=LIMIT_S)
    assert plan(day) == plan(day)
