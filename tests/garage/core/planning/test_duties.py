"""What a day must achieve, and whether it can: found where no order of whole jobs does, and never found wrongly."""

from dataclasses import replace
from itertools import permutations

import pytest

from garage.core.planning.day_problem import DayProblem, Job, JobStep, Pin, Placed, Worker
from garage.core.planning.duties import Duty, clear, could_be_clear, duties, duties_met, fit_all, hold
from garage.core.planning.placing import Floor, Resources
from garage.core.planning.planner import by_order, plan, seat_running, whole
from tests.garage.core.planning_by_hand import a_day

PEOPLE = (Worker("p1", 480, 1020), Worker("p2", 480, 1020))


def visit(number: str, promised: int | None, **changed: object) -> Job:
    steps = (JobStep("bench", 10, check=True), JobStep("roller", 60))
    return replace(Job(number, 480, steps, promised=promised), **changed)


def floor_of(day: DayProblem) -> Floor:
    floor = Floor(Resources(day))
    floor.hold_all(seat_running(day))
    return floor


def fitted(*jobs: Job, **changed: object):
    """Every job as it could be on a day of its own, all together."""
    day = DayProblem(
        **{"day": "2027-03-10", "now": 480, "rollers": 1, "benches": 1, "people": PEOPLE, "jobs": jobs} | changed
    )
    floor = floor_of(day)
    return fit_all(floor, seat_running(day), duties(floor, jobs))


def test_a_day_must_do_what_each_job_could_do_alone_and_keep_what_promise_could_be_kept():
    over = JobStep("bench", 10, check=True, began=480, by="p1", ended=490)
    too_long = JobStep("bench", 600)
    jobs = (
        visit("41", 540),
        visit("42", 540, here_from=556),
        visit("43", None),
        visit("44", None, steps=(too_long,)),
        visit("45", None, steps=(over,)),
        visit("46", None, steps=(over, JobStep("bench", 20), too_long)),
        visit("47", 540, steps=(over, JobStep("roller", 60), too_long)),
        visit("48", 540, steps=(over, JobStep("bench", 100), JobStep("roller", 60), too_long)),
        visit("49", None, steps=(JobStep("bench", 20), too_long)),
        visit("50", None, steps=(over, too_long)),
    )
    cut = [replace(jobs[n], steps=jobs[n].steps[:length]) for n, length in ((5, 2), (6, 2), (7, 3))]
    assert duties(Floor(Resources(a_day(*jobs))), jobs) == (
        Duty(jobs[0], True),
        Duty(jobs[1], False),
        Duty(jobs[2], False),
        Duty(cut[0], False),
        Duty(cut[1], True),
        Duty(cut[2], False),
    )


def test_the_minutes_before_a_promise_could_be_clear_if_they_can_on_a_day_of_its_own():
    day = a_day(visit("41", 540), visit("42", 495), visit("43", None), guard=10)
    floor = floor_of(day)
    # The check of 42 ends at 490, and its clear minutes would begin at 485.
    assert [could_be_clear(floor, duty) for duty in duties(floor, day.jobs)] == [True, False, False]
    without = floor_of(replace(day, guard=0))
    assert not any(could_be_clear(without, duty) for duty in duties(without, day.jobs))


def test_duties_hold_when_each_job_is_done_and_each_promise_kept():
    promised, plain = visit("41", 540), visit("42", None)
    asked = (Duty(promised, True), Duty(plain, False))
    day = a_day(promised, plain)
    kept = by_order(Floor(Resources(day)), day.jobs, guarded=False)
    assert hold(asked, kept)
    assert not hold(asked, kept | {"42": []})
    assert not hold(asked, kept | {"41": kept["41"][:1]})
    late = [kept["41"][0], replace(kept["41"][1], begin=556, end=616)]
    assert not hold(asked, kept | {"41": late})
    assert hold((Duty(promised, False),), {"41": late})


def test_minutes_are_clear_when_nothing_else_is_in_them():
    job = visit("41", 540)
    day = a_day(job, visit("42", None), guard=10)
    seats = {
        "41": [Placed("41", 0, "bench", 1, "p1", 480, 490), Placed("41", 1, "roller", 1, "p1", 540, 600)],
        "42": [Placed("42", 0, "bench", 1, "p1", 520, 530)],
    }
    asked = duties(floor_of(day), day.jobs)
    assert clear(day, asked, seats) == [Duty(job, True)]
    seats["42"] = [Placed("42", 0, "bench", 1, "p1", 521, 531)]
    assert clear(day, asked, seats) == []
    assert clear(replace(day, guard=0), asked, seats) == []


def test_the_duties_that_a_plan_meets_are_what_it_places_and_keeps():
    over = JobStep("bench", 10, began=480, by="p1", ended=490)
    jobs = (
        visit("41", 540),
        visit("42", 540),
        visit("43", None),
        visit("44", None, steps=(over, JobStep("bench", 20), JobStep("bench", 30))),
        visit("45", None, steps=(over, JobStep("bench", 20))),
    )
    day = a_day(*jobs)
    seats = {
        "41": [Placed("41", 0, "bench", 1, "p1", 490, 500), Placed("41", 1, "roller", 1, "p1", 540, 600)],
        "42": [Placed("42", 0, "bench", 1, "p2", 500, 510), Placed("42", 1, "roller", 1, "p1", 600, 660)],
        "43": [],
        "44": [Placed("44", 1, "bench", 1, "p2", 510, 530)],
        "45": [],
    }
    cut = replace(jobs[3], steps=jobs[3].steps[:2])
    met = duties_met(floor_of(day), day.jobs, seats)
    assert met == (Duty(jobs[0], True), Duty(jobs[1], False), Duty(cut, False))
    assert hold(met, seats)


def test_duties_are_met_together_where_no_order_of_whole_jobs_does_it():
    jobs = (
        Job("41", 495, (JobStep("roller", 30),), gone_by=585),
        Job("42", 480, (JobStep("roller", 45), JobStep("roller", 45)), gone_by=600),
    )
    people = (Worker("p1", 480, 600), Worker("p2", 480, 600))
    day = DayProblem("2027-03-10", 480, 1, 1, people, jobs)
    for order in permutations(jobs):
        seats = by_order(floor_of(day), order, guarded=False)
        assert not all(len(seats[job.id]) == len(job.steps) for job in jobs)
    found = fitted(*jobs, people=people)
    assert [(p.begin, p.end) for p in (*found["42"], *found["41"])] == [(480, 525), (555, 600), (525, 555)]
    assert whole(plan(day))


def test_what_runs_stays_in_the_way_and_is_part_of_the_filled_day():
    running = Job("41", 470, (JobStep("bench", 10, began=475, by="p1"), JobStep("roller", 60)))
    found = fitted(running, Job("42", 480, (JobStep("bench", 30),), gone_by=515))
    assert found["41"][0] == Placed("41", 0, "bench", 1, "p1", 475, 485)
    assert found["41"][1].begin >= 485
    assert (found["42"][0].begin, found["42"][0].by) == (485, found["42"][0].by)


@pytest.mark.parametrize(("guard", "fits"), [(0, True), (10, False)])
def test_work_that_the_plan_would_leave_out_for_clear_minutes_does_not_fit(guard, fits):
    promised = Job("41", 480, (JobStep("roller", 60),), promised=540)
    beside = Job("42", 480, (JobStep("bench", 55),), gone_by=540, worth=9000)
    assert (fitted(promised, beside, people=PEOPLE[:1], guard=guard) is not None) == fits
    day = DayProblem("2027-03-10", 480, 1, 1, PEOPLE[:1], (promised, beside), guard=guard)
    assert (not plan(day).left_out) == fits


def test_promises_fit_though_the_minutes_before_them_are_not_clear():
    """Nothing is left out for them where every job has a promise."""
    first, second = (Job(n, 480, (JobStep("roller", 60),), promised=at) for n, at in (("41", 540), ("42", 600)))
    assert fitted(first, second, guard=10) is not None


def test_somebody_whom_another_job_is_fixed_to_is_left_for_it():
    either = Job("41", 480, (JobStep("bench", 60),), gone_by=540)
    fixed = Job("42", 480, (JobStep("roller", 60, pin=Pin(by="p1")),), gone_by=545)
    found = fitted(either, fixed)
    assert [(found[number][0].by, found[number][0].begin) for number in ("41", "42")] == [("p2", 480), ("p1", 480)]


def test_a_day_that_cannot_do_everything_has_no_filling():
    jobs = tuple(Job(str(n), 480, (JobStep("roller", 60),), gone_by=590) for n in range(2))
    assert fitted(*jobs) is None
    assert fitted(*jobs, rollers=2) is not None


def test_nothing_is_found_without_work_for_the_solver():
    day = a_day(visit("41", 540), visit("42", None))
    floor = floor_of(day)
    assert fit_all(floor, [], duties(floor, day.jobs), work_s=0.0) is None
    assert fit_all(floor, [], duties(floor, day.jobs)) is not None
