"""What a job says of itself: what has begun, what is open, what is promised, and how long running work holds."""

import pytest

from garage.core.planning.day_problem import DayProblem, Job, JobStep
from tests.garage.core.planning_by_hand import GATE, ROLLERS, a_day, visit

RUNNING = JobStep("bench", 10, began=480, by="p1")
OVER = JobStep("bench", 10, began=480, by="p1", ended=490)


def test_a_step_runs_from_its_beginning_until_it_has_ended():
    assert [step.is_running for step in (GATE, RUNNING, OVER)] == [False, True, False]
    assert JobStep("bench", 10, began=0, by="p1").is_running


@pytest.mark.parametrize(("now", "ends"), [(480, 490), (489, 490), (490, 495), (500, 505)])
def test_running_work_ends_after_its_time_or_five_minutes_from_now_once_that_is_used_up(now, ends):
    assert RUNNING.runs_to(now) == ends


def test_work_that_has_not_begun_would_run_from_now():
    assert GATE.runs_to(600) == 610


@pytest.mark.parametrize(
    ("steps", "first_open", "is_begun"),
    [
        ((GATE, ROLLERS), 0, False),
        ((RUNNING, ROLLERS), 1, True),
        ((OVER, ROLLERS), 1, True),
        ((OVER, GATE, RUNNING, ROLLERS), 3, True),
        ((OVER, OVER), 2, True),
        ((JobStep("bench", 10, began=0, by="p1"), ROLLERS), 1, True),
        ((), 0, False),
    ],
)
def test_the_open_steps_are_those_after_the_last_that_has_begun(steps, first_open, is_begun):
    job = Job("41", 480, steps)
    assert (job.first_open, job.open_count, job.has_begun) == (first_open, len(steps) - first_open, is_begun)


def test_a_machine_is_in_doubt_below_eight_in_ten():
    assert [visit(ready=ready).is_in_doubt for ready in (0.79, 0.8, 1.0)] == [True, False, False]


def test_the_first_roller_step_is_the_one_a_promise_means():
    assert Job("41", 480, (GATE, ROLLERS, ROLLERS)).first_roller == 1
    assert Job("41", 480, (ROLLERS,)).first_roller == 0
    assert Job("41", 480, (GATE,)).first_roller is None


@pytest.mark.parametrize(
    ("steps", "promised", "is_open"),
    [
        ((GATE, ROLLERS), 540, True),
        ((ROLLERS,), 0, True),
        ((GATE, ROLLERS), None, False),
        ((GATE,), 540, False),
        ((OVER, ROLLERS), 540, True),
        ((JobStep("roller", 30, began=480, by="p1"), ROLLERS), 540, False),
        ((OVER, JobStep("roller", 30, began=490, by="p1", ended=500), GATE), 540, False),
    ],
)
def test_a_promise_is_open_until_its_roller_step_has_begun(steps, promised, is_open):
    assert Job("41", 480, steps, promised=promised).has_open_promise is is_open


def test_a_day_has_as_many_stations_of_a_kind_as_it_says():
    day: DayProblem = a_day(rollers=1, benches=2)
    assert (day.stations("roller"), day.stations("bench")) == (1, 2)
