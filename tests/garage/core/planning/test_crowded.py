"""The quick look says no only where the planner would."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from garage.core.planning.crowded import certain_minutes, certain_on_the_rollers, is_surely_full, spare_people
from garage.core.planning.day_problem import DayProblem, Job, JobStep, Pin, Worker
from garage.core.selling.free_times import bench_visit, free_times, job_at, possible, roller_visit

PEOPLE = (Worker("p1", 480, 1050, ((750, 780),)), Worker("p2", 540, 1050, ((780, 810),)))
WANTED = (roller_visit(90), roller_visit(45), bench_visit(60), bench_visit(30))


def _sold_day(chance: random.Random) -> DayProblem:
    """A day filled with visits at times that the planner itself has found free."""
    day = DayProblem("2027-03-10", 0, rollers=2, benches=2, people=PEOPLE[: chance.randint(1, 2)], jobs=())
    for n in range(chance.randint(0, 9)):
        wanted = chance.choice(WANTED)
        if times := free_times(day, wanted):
            day = replace(day, jobs=(*day.jobs, job_at(wanted, chance.choice(times), id=f"v{n}")))
    return day


@pytest.mark.long
@pytest.mark.parametrize("seed", range(25))
def test_the_quick_check_is_never_wrong_on_a_day_that_keeps_its_promises(seed):
    day = _sold_day(random.Random(seed))
    spare = spare_people(day)
    for wanted in WANTED:
        for minute in range(480, 1050, 15):
            job = job_at(wanted, minute)
            if is_surely_full(spare, job):
                assert not possible(day, job), f"{minute} is possible after all"


@pytest.mark.long
def test_the_quick_check_refuses_often_enough_to_be_worth_it():
    noes = 0
    for seed in range(25):
        day = _sold_day(random.Random(seed))
        spare = spare_people(day)
        noes += sum(is_surely_full(spare, job_at(WANTED[2], minute)) for minute in range(480, 1050, 15))
    assert noes > 200  # of 950 times asked


GATE, ROLLERS = JobStep("bench", 10, check=True), JobStep("roller", 90)
BEGUN = JobStep("roller", 90, began=600, by="p1")


def fixed(begin: int, minutes: int = 30) -> JobStep:
    return JobStep("bench", minutes, pin=Pin(begin=begin))


@pytest.mark.parametrize(
    ("steps", "promised", "certain"),
    [
        ((GATE, ROLLERS), 600, range(615, 690)),
        ((fixed(560), ROLLERS), 600, range(615, 690)),
        ((GATE, JobStep("roller", 16)), 600, range(615, 616)),
        ((GATE, JobStep("roller", 15)), 600, range(0)),
        ((GATE, ROLLERS, JobStep("roller", 200)), 600, range(615, 690)),
        ((GATE, ROLLERS), 1400, range(1415, 1440)),
        ((GATE, ROLLERS), 1439, range(0)),
        ((GATE, ROLLERS), None, range(0)),
        ((fixed(600), ROLLERS), None, range(600, 630)),
        ((fixed(0),), None, range(30)),
        ((fixed(1430),), None, range(1430, 1440)),
        ((GATE, fixed(700)), None, range(0)),
        ((BEGUN, fixed(700)), 600, range(700, 730)),
        ((BEGUN, GATE), 600, range(0)),
        ((BEGUN,), 600, range(0)),
        ((BEGUN,), None, range(0)),
        ((GATE,), 600, range(0)),
    ],
)
def test_a_person_is_certain_to_be_needed_late_in_a_promise_and_for_a_pinned_next_step(steps, promised, certain):
    job = Job("41", 480, steps, promised=promised)
    assert list(certain_minutes(job)) == list(certain)


def test_only_a_promise_still_open_is_certain_on_the_rollers():
    assert certain_on_the_rollers(Job("41", 480, (GATE, ROLLERS), promised=600)) == range(615, 690)
    for job in (
        Job("41", 480, (GATE, ROLLERS)),
        Job("41", 480, (GATE,), promised=600),
        Job("41", 480, (fixed(600),)),
        Job("41", 480, (BEGUN, GATE), promised=600),
    ):
        assert list(certain_on_the_rollers(job)) == []


def test_spare_are_those_at_work_less_the_jobs_that_need_one_for_certain():
    people = (Worker("p1", 480, 1020, ((500, 510), (600, 630))), Worker("p2", 490, 2000))
    jobs = (Job("41", 480, (GATE, ROLLERS), promised=600), Job("42", 480, (fixed(680),)), Job("43", 480, (GATE,)))
    spare = spare_people(DayProblem("2027-03-10", 0, 1, 1, people, jobs))
    assert len(spare) == 1440
    expected = {0: 0, 479: 0, 480: 1, 490: 2, 499: 2, 500: 1, 509: 1, 510: 2, 599: 2, 600: 1, 614: 1, 615: 0, 629: 0}
    expected |= {630: 1, 679: 1, 680: 0, 689: 0, 690: 1, 709: 1, 710: 2, 1019: 2, 1020: 1, 1439: 1}
    assert {minute: spare[minute] for minute in expected} == expected


def test_a_job_is_surely_full_where_nobody_is_spare_in_one_of_its_certain_minutes():
    spare = [1] * 1440
    job = Job("41", 480, (fixed(600),))
    assert not is_surely_full(spare, job)
    for minute, spared, is_full in ((599, 0, False), (600, 0, True), (629, 0, True), (630, 0, False), (610, -1, True)):
        assert is_surely_full([*spare[:minute], spared, *spare[minute + 1 :]], job) is is_full
