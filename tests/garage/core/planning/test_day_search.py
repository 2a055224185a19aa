"""The search finds days that placing one whole job after another cannot, and gives up after its nodes."""

from itertools import permutations

from garage.core.planning.day_problem import DayProblem, Job, JobStep, Worker
from garage.core.planning.day_search import Duty, fit_all
from garage.core.planning.placing import Floor, Resources
from garage.core.planning.planner import by_order, plan, whole
from tests.garage.core.check_plan import faults


def an_interlocking_day() -> DayProblem:
    """One bench, one roller, two people, to the minute: the jobs' steps must be dovetailed."""
    jobs = (
        Job("41", 480, (JobStep("bench", 30), JobStep("roller", 60)), gone_by=600),
        Job("42", 480, (JobStep("roller", 30), JobStep("bench", 60), JobStep("roller", 30)), gone_by=630),
    )
    people = (Worker("p1", 480, 630), Worker("p2", 480, 630))
    return DayProblem("2027-03-10", 480, 1, 1, people, jobs)


def duties_of(day: DayProblem) -> tuple[Duty, ...]:
    return tuple(Duty(job, in_window=False) for job in day.jobs)


def test_steps_of_several_jobs_are_dovetailed():
    day = an_interlocking_day()
    found = fit_all(Floor(Resources(day)), duties_of(day), nodes=100)
    assert found is not None
    assert sorted(found) == ["41", "42"]
    assert faults(day, plan(day)) == []
    assert whole(plan(day))


def test_one_node_is_not_enough():
    day = an_interlocking_day()
    assert fit_all(Floor(Resources(day)), duties_of(day), nodes=1) is None


def test_a_day_that_cannot_be_planned_is_given_up():
    jobs = tuple(Job(str(n), 480, (JobStep("roller", 60),), gone_by=590) for n in range(2))
    day = DayProblem("2027-03-10", 480, 1, 1, (Worker("p1", 480, 1020), Worker("p2", 480, 1020)), jobs)
    assert fit_all(Floor(Resources(day)), duties_of(day), nodes=1000) is None


def test_the_search_finds_what_no_order_of_whole_jobs_does():
    jobs = (
        Job("41", 495, (JobStep("roller", 30),), gone_by=585),
        Job("42", 480, (JobStep("roller", 45), JobStep("roller", 45)), gone_by=600),
    )
    day = DayProblem("2027-03-10", 480, 1, 1, (Worker("p1", 480, 600), Worker("p2", 480, 600)), jobs)
    floor = Floor(Resources(day))
    for order in permutations(jobs):
        seats = by_order(floor, order, guarded=False)
        assert not all(len(seats[job.id]) == len(job.steps) for job in jobs)
    found = fit_all(floor, duties_of(day), nodes=100)
    assert found is not None
    assert [(p.begin, p.end) for p in (*found["42"], *found["41"])] == [(480, 525), (555, 600), (525, 555)]
    assert whole(plan(day))
