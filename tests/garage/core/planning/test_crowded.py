"""The quick look says no only where the planner would."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from garage.core.planning.crowded import is_surely_full, spare_people
from garage.core.planning.day_problem import DayProblem, Worker
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


@pytest.mark.parametrize("seed", range(25))
def test_the_quick_check_is_never_wrong_on_a_day_that_keeps_its_promises(seed):
    day = _sold_day(random.Random(seed))
    spare = spare_people(day)
    for wanted in WANTED:
        for minute in range(480, 1050, 15):
            job = job_at(wanted, minute)
            if is_surely_full(spare, job):
                assert not possible(day, job), f"{minute} is possible after all"


def test_the_quick_check_refuses_often_enough_to_be_worth_it():
    noes = 0
    for seed in range(25):
        day = _sold_day(random.Random(seed))
        spare = spare_people(day)
        noes += sum(is_surely_full(spare, job_at(WANTED[2], minute)) for minute in range(480, 1050, 15))
    assert noes > 200  # of 950 times asked
