"""What stands on the wall of each station, and what is late."""

from __future__ import annotations

from dataclasses import replace

from garage.core.planning.day_problem import Broken, DayProblem, Job, JobStep, Placed, Plan
from garage.core.planning.stations_now import Delay, StationNow, late_now, stations_now

ROLLERS, BENCH = ("roller", 1), ("bench", 1)


def placed(job: str, step: int, at: tuple[str, int], begin: int, end: int) -> Placed:
    return Placed(job, step, *at, "p1", begin, end)


def plan(*steps: Placed, broken: tuple[str, ...] = ()) -> Plan:
    told = tuple(Broken(job, "It cannot be kept.") for job in broken)
    return Plan("2027-03-10", steps, (), 0, told, 0, 0, 0, 0, ())


def day(*jobs: Job, now: int = 600) -> DayProblem:
    return DayProblem("2027-03-10", now, 1, 1, (), jobs)


RUNNING = Job("41", 480, (JobStep("roller", 90, began=540, by="p1"),))
WAITING = Job("42", 480, (JobStep("bench", 10, check=True), JobStep("roller", 60)), promised=700)


def test_each_station_says_what_runs_until_when_and_what_comes_next():
    session = placed("41", 0, ROLLERS, 540, 630)
    gate, next_one = placed("42", 0, BENCH, 610, 620), placed("42", 1, ROLLERS, 700, 760)
    found = stations_now((BENCH, ROLLERS), day(RUNNING, WAITING), (session, gate, next_one), plan(session))
    assert found == (StationNow("bench", 1, None, gate), StationNow("roller", 1, session, next_one))


def test_what_runs_is_where_the_planner_sees_it_and_not_where_it_was_accepted():
    accepted, seen = placed("41", 0, ("roller", 2), 540, 630), placed("41", 0, ROLLERS, 545, 650)
    (rollers, others) = stations_now((ROLLERS, ("roller", 2)), day(RUNNING), (accepted,), plan(seen))
    assert (rollers.now, rollers.next, others.now, others.next) == (seen, None, None, None)


def test_the_next_step_is_the_earliest_that_has_not_begun_though_it_should_have():
    late, later = placed("42", 0, BENCH, 590, 600), placed("43", 0, BENCH, 610, 620)
    other = replace(WAITING, id="43")
    (bench,) = stations_now((BENCH,), day(WAITING, other), (later, late), plan())
    assert bench.next == late


def late(*jobs: Job, now: int, to_work_to: tuple[Placed, ...] = (), broken: tuple[str, ...] = ()) -> list[tuple]:
    found = late_now(day(*jobs, now=now), to_work_to, plan(broken=broken))
    return [(one.why, one.job, one.step, one.since) for one in found]


def test_work_runs_over_from_the_minute_after_its_time():
    assert late(RUNNING, now=630) == []
    assert late(RUNNING, now=631) == [(Delay.RUNS_OVER, "41", 0, 630)]
    over = replace(RUNNING, steps=(replace(RUNNING.steps[0], ended=640),))
    assert late(over, now=660) == []


def test_work_that_has_not_begun_is_late_after_five_minutes():
    gate = (placed("42", 0, BENCH, 590, 600),)
    assert late(WAITING, now=595, to_work_to=gate) == []
    assert late(WAITING, now=596, to_work_to=gate) == [(Delay.NOT_BEGUN, "42", 0, 590)]
    begun = replace(WAITING, steps=(replace(WAITING.steps[0], began=592, by="p1"), WAITING.steps[1]))
    assert late(begun, now=596, to_work_to=gate) == []


def test_a_promise_that_cannot_be_kept_any_more_is_late_with_its_session():
    assert late(WAITING, now=600, broken=("42",)) == [(Delay.NOT_KEPT, "42", 1, 700)]
    assert late(replace(WAITING, promised=None), now=600, broken=("42",)) == []


def test_the_longest_late_comes_first():
    found = late(RUNNING, WAITING, now=660, to_work_to=(placed("42", 0, BENCH, 600, 610),), broken=("42",))
    assert [why for why, *_ in found] == [Delay.NOT_BEGUN, Delay.RUNS_OVER, Delay.NOT_KEPT]
