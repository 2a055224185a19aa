"""The search finds days that placing one whole job after another cannot, and gives up after its nodes."""

from itertools import permutations

from garage.core.planning.day_problem import DayProblem, Job, JobStep, Pin, Placed, Worker
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


PEOPLE = (Worker("p1", 480, 1020), Worker("p2", 480, 1020))


def search(*jobs: Job, nodes: int, busy: tuple[Placed, ...] = (), in_window: bool = False, **changed: object):
    day = DayProblem(
        **{"day": "2027-03-10", "now": 480, "rollers": 1, "benches": 1, "people": PEOPLE, "jobs": jobs} | changed
    )
    floor = Floor(Resources(day))
    floor.hold_all(busy)
    return fit_all(floor, tuple(Duty(job, in_window) for job in jobs), nodes)


def test_each_step_costs_a_node_where_nothing_is_in_the_way():
    job = Job("41", 480, (JobStep("bench", 10), JobStep("roller", 60), JobStep("bench", 5)))
    assert search(job, nodes=2) is None
    assert search(job, nodes=3) == {
        "41": [
            Placed("41", 0, "bench", 1, "p1", 480, 490),
            Placed("41", 1, "roller", 1, "p1", 490, 550),
            Placed("41", 2, "bench", 1, "p1", 550, 555),
        ]
    }
    assert search(nodes=0) == {}
    over = Job("42", 480, (JobStep("bench", 10, began=470, by="p1", ended=480),))
    assert search(over, nodes=0) == {}


def test_only_open_steps_are_placed_and_not_before_what_has_begun_is_over():
    running = JobStep("bench", 10, began=475, by="p1")
    found = search(Job("41", 470, (running, JobStep("roller", 60))), nodes=1)
    assert found == {"41": [Placed("41", 1, "roller", 1, "p1", 485, 545)]}


def test_work_that_is_held_already_stays_in_the_way():
    busy = (Placed("40", 0, "roller", 1, "Jo", 480, 500), Placed("39", 0, "bench", 1, "p1", 490, 600))
    found = search(Job("41", 480, (JobStep("roller", 60),)), nodes=1, busy=busy)
    assert found == {"41": [Placed("41", 0, "roller", 1, "p2", 500, 560)]}


def test_a_promise_counts_only_where_it_is_asked_for():
    job = Job("41", 480, (JobStep("roller", 60),), promised=540)
    for in_window, begin in ((True, 540), (False, 480)):
        assert search(job, nodes=1, in_window=in_window)["41"][0].begin == begin


def test_the_most_urgent_step_is_tried_first_by_all_the_work_that_follows_it():
    easy = Job("41", 480, (JobStep("roller", 30),), gone_by=530)
    urgent = Job("42", 480, (JobStep("roller", 30), JobStep("bench", 30)), gone_by=540)
    assert search(easy, urgent, nodes=4) is None
    later = Job("41", 480, (JobStep("roller", 30),), gone_by=541)
    found = search(later, urgent, nodes=3)
    assert [(one.begin, one.end) for one in (*found["41"], *found["42"])] == [(510, 540), (480, 510), (510, 540)]


def test_of_two_alike_the_one_that_can_begin_first_is_tried_first():
    late, early = (
        Job(number, here, (JobStep("roller", 30),), gone_by=600) for number, here in (("41", 490), ("42", 480))
    )
    found = search(late, early, nodes=2)
    assert [found[number][0].begin for number in ("41", "42")] == [510, 480]


def test_somebody_whom_another_job_is_fixed_to_is_left_for_it():
    either = Job("41", 480, (JobStep("bench", 60),), gone_by=540)
    fixed = Job("42", 480, (JobStep("roller", 60, pin=Pin(by="p1")),), gone_by=545)
    found = search(either, fixed, nodes=10)
    assert [(found[number][0].by, found[number][0].begin) for number in ("41", "42")] == [("p2", 480), ("p1", 480)]


def test_a_day_whose_jobs_lack_people_or_stations_is_given_up():
    job = Job("41", 480, (JobStep("bench", 10), JobStep("roller", 60)))
    assert search(job, nodes=100, rollers=0) is None
    assert search(job, nodes=100, people=(Worker("p1", 480, 1020, skills=frozenset({"bench"})),)) is None
    assert search(job, nodes=100, people=()) is None
