"""The planner against its manual: every plan is judged by check_plan, small days also by trying everything."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from garage.core.planning.day_problem import DayProblem, Job, JobStep, Pin, Placed, Worker
from garage.core.planning.placing import Floor, Resources
from garage.core.planning.planner import by_order, orders, plan, seat_running, whole
from tests.garage.core.check_plan import enumerated, faults
from tests.garage.core.day_drawing import running_day, tiny_day, whole_day
from tests.garage.core.planning_by_hand import a_day, a_dovetailed_day, begins


def visit(number: str, promised: int | None, roller_min: int = 60, **changed: object) -> Job:
    here = 480 if promised is None else promised - 30
    steps = (JobStep("bench", 10, check=True), JobStep("roller", roller_min))
    job = Job(number, here, steps, promised=promised, worth=9000)
    return replace(job, **changed)


@pytest.mark.long
@settings(max_examples=15, deadline=None)
@given(st.integers(0, 10**9), st.integers(1, 12))
def test_a_whole_day_holds_every_rule(seed, jobs):
    day = whole_day(seed, jobs)
    assert faults(day, plan(day)) == []


@pytest.mark.long
@settings(max_examples=20, deadline=None)
@given(st.integers(0, 10**9))
def test_a_day_under_way_holds_every_rule(seed):
    day = running_day(seed)
    assert faults(day, plan(day)) == []


def test_the_judge_sees_a_plan_that_was_tampered_with():
    day = whole_day(7, 8)
    made = plan(day)
    first = made.placed[0]
    for spoilt in (
        replace(first, begin=first.begin - 1),
        replace(first, end=first.end + 1),
        replace(first, station=9),
        replace(first, by="nobody"),
    ):
        assert faults(day, replace(made, placed=(spoilt, *made.placed[1:])))
    assert faults(day, replace(made, placed=made.placed[1:]))
    assert faults(day, replace(made, kept=made.kept + 1))


@pytest.mark.long
def test_no_promise_that_could_be_kept_is_lost_on_a_tiny_day():
    """Source: exhaustive enumeration (check_plan.enumerated)."""
    days = [tiny_day(seed) for seed in range(40)]
    best = [enumerated(day, slot_min=15) for day in days]
    made = [plan(day) for day in days]
    assert [(one.kept, whole(one)) for one in made] == best
    assert sum(most for most, _ in best) > 35
    assert 7 < sum(could for _, could in best) < 36


def test_two_days_by_chance_hold_every_rule_and_the_same_day_gives_the_same_plan():
    for day in (whole_day(3, 11), running_day(3)):
        assert faults(day, plan(day)) == []
        assert plan(day) == plan(day)


def test_the_check_comes_before_the_rollers_and_the_promise_is_kept_to_the_minute():
    made = plan(a_day(visit("41", 540)))
    assert [(p.at, p.by, p.begin, p.end) for p in made.placed] == [
        ("bench", "p2", 510, 520),
        ("roller", "p1", 540, 600),
    ]
    assert (made.kept, made.proved, made.worth, made.roller_minutes) == (1, 5, 9000, 60)


def test_an_unpromised_machine_never_pushes_a_promise_aside():
    made = plan(a_day(visit("41", None, roller_min=240, worth=99000), visit("42", 600)))
    assert whole(made)
    assert made.kept == 1


def test_a_running_step_holds_its_person_and_station_through_a_break():
    running = Job("41", 480, (JobStep("roller", 90, began=700, by="p1"),))
    made = plan(a_day(running, visit("42", None, roller_min=30), now=760))
    on_rollers = [(p.job, p.begin, p.end) for p in made.placed if p.at == "roller"]
    assert on_rollers == [("41", 700, 790), ("42", 790, 820)]
    assert faults(a_day(running, visit("42", None, roller_min=30), now=760), made) == []


def test_a_failed_check_frees_the_rollers_and_the_others_stay_sound():
    failed = Job(
        "42", 540, (JobStep("bench", 10, check=True, began=600, by="p2", ended=612), JobStep("bench", 110)), worth=5000
    )
    day = a_day(failed, visit("43", None, roller_min=45), visit("44", 810, roller_min=45), now=615)
    made = plan(day)
    assert whole(made)
    assert faults(day, made) == []
    assert min(p.begin for p in made.placed if p.at == "roller") == 625


def test_running_work_stays_at_its_pinned_station_or_the_known_one_or_takes_the_lowest_that_is_free():
    def running(number: str, at: str = "roller", **pin: int) -> Job:
        return Job(number, 480, (JobStep(at, 60, began=490, by="p1", pin=Pin(**pin)), JobStep("bench", 5)))

    known = (Placed("42", 0, "roller", 3, "p1", 490, 550), Placed("43", 0, "roller", 2, "p1", 490, 550))
    jobs = (
        running("41"),
        running("42"),
        running("43", station=1),
        running("44", "bench"),
        running("45"),
        running("46"),
    )
    seated = seat_running(a_day(*jobs, visit("47", None), rollers=4, standing=known, now=500))
    told = [f"{one.job} {one.at} {one.station}" for one in seated]
    assert told == ["41 roller 2", "42 roller 3", "43 roller 1", "44 bench 1", "45 roller 4", "46 roller 1"]
    assert {(one.step, one.by, one.begin, one.end) for one in seated} == {(0, "p1", 490, 550)}
    (late,) = seat_running(a_day(running("41"), now=560))
    assert (late.begin, late.end) == (490, 565)


def test_a_guarded_promise_keeps_its_minutes_from_the_jobs_placed_after_it():
    def second(roller_min: int, *, guarded: bool, busy: tuple[Placed, ...] = ()) -> int:
        jobs = (visit("41", 540, here_from=480), visit("42", None, steps=(JobStep("roller", roller_min),)))
        floor = Floor(Resources(a_day(*jobs, guard=20)))
        floor.hold_all(busy)
        return by_order(floor, jobs, guarded)["42"][0].begin

    assert [second(40, guarded=guarded) for guarded in (True, False)] == [480, 480]
    assert [second(41, guarded=guarded) for guarded in (True, False)] == [600, 480]
    whole_plan = plan(
        a_day(visit("41", 540, here_from=480), visit("42", None, steps=(JobStep("roller", 41),)), guard=20)
    )
    assert whole_plan.guarded == 1
    until_ten_past = (Placed("40", 0, "roller", 1, "Jo", 540, 550),)
    assert [second(length, guarded=True, busy=until_ten_past) for length in (40, 41)] == [480, 610]


def test_a_promise_that_cannot_be_guarded_is_kept_without_its_clear_minutes():
    jobs = (visit("41", 540, here_from=521), visit("42", None, steps=(JobStep("roller", 60),)))
    seats = by_order(Floor(Resources(a_day(*jobs, guard=20))), jobs, guarded=True)
    assert begins(seats["41"]) == [(0, 521), (1, 540)]
    assert begins(seats["42"]) == [(0, 480)]


def test_a_job_that_misses_its_promise_is_placed_after_all_others():
    jobs = (visit("41", 540), visit("42", 540), visit("43", None, here_from=600, steps=(JobStep("roller", 60),)))
    seats = by_order(Floor(Resources(a_day(*jobs))), jobs, guarded=False)
    assert begins(seats["41"]) == [(0, 510), (1, 540)]
    assert begins(seats["43"]) == [(0, 600)]
    assert begins(seats["42"]) == [(0, 510), (1, 660)]


def test_a_job_without_room_is_left_out_whole_unless_it_has_begun():
    over = JobStep("bench", 10, began=470, by="p1", ended=480)
    steps = (JobStep("bench", 30), JobStep("bench", 600))
    jobs = (visit("41", None, steps=steps), visit("42", None, steps=(over, *steps)))
    seats = by_order(Floor(Resources(a_day(*jobs))), jobs, guarded=False)
    assert seats["41"] == []
    assert begins(seats["42"]) == [(1, 480)]


def test_begun_work_whose_promise_can_be_kept_takes_its_turn_though_its_last_step_finds_no_room():
    over = JobStep("bench", 10, check=True, began=470, by="p1", ended=480)
    begun = visit("41", 540, steps=(over, JobStep("roller", 60), JobStep("bench", 600)))
    other = visit("42", None, here_from=530, steps=(JobStep("roller", 60),))
    seats = by_order(Floor(Resources(a_day(begun, other))), (begun, other), guarded=False)
    assert (begins(seats["41"]), begins(seats["42"])) == ([(1, 540)], [(0, 600)])
    missed = replace(begun, steps=(over, JobStep("bench", 80), *begun.steps[1:]))
    seats = by_order(Floor(Resources(a_day(missed, other))), (missed, other), guarded=False)
    assert (begins(seats["41"]), begins(seats["42"])) == ([(1, 510), (2, 590)], [(0, 530)])


def test_jobs_are_tried_by_their_time_then_by_stay_worth_length_risk_and_last_by_their_stay_alone():
    over = JobStep("roller", 50, began=480, by="p1", ended=490)
    jobs = (
        Job("a", 500, (JobStep("bench", 10, pin=Pin(begin=530)), JobStep("roller", 60)), promised=600, worth=1000),
        Job("b", 510, (JobStep("roller", 60),), promised=540),
        Job("c", 480, (JobStep("bench", 60, pin=Pin(begin=760)),)),
        Job("d", 480, (JobStep("bench", 50, began=480, by="p1", ended=490), JobStep("bench", 10)), 700, None, 100, 0.5),
        Job("e", 490, (JobStep("bench", 30),), 800, None, 900, 0.2),
        Job("f", 480, (over,), promised=500),
        Job("g", 470, (JobStep("bench", 10),), 700, None, 100, 0.5),
        Job("h", 481, (JobStep("bench", 1),), worth=5),
    )
    assert ["".join(job.id for job in order) for order in orders(a_day(*jobs))] == [
        "abcgdefh",
        "abcegdhf",
        "abcfhgde",
        "abcegdfh",
        "abcegdfh",
        "dgeabchf",
    ]


def on_the_rollers(day: DayProblem) -> list[tuple[str, int]]:
    return [(one.job, one.begin) for one in plan(day).placed]


DOVETAILED = [("42", 480), ("41", 525), ("42", 555)]


def test_what_the_simple_rule_misses_is_searched_and_without_time_for_it_a_simple_plan_comes():
    day = a_dovetailed_day()
    found, simple = plan(day), plan(replace(day, limit_s=0.0))
    assert on_the_rollers(day) == DOVETAILED
    assert (found.kept, found.proved, simple.kept, simple.proved) == (2, 5, 1, 0)
    assert faults(day, simple) == []


def test_a_day_too_big_for_a_model_is_planned_by_the_simple_rule():
    jobs = [visit(str(n), 480 + 15 * (n % 30) if n % 2 else None) for n in range(200)]
    day = a_day(*jobs, guard=10)
    made = plan(day)
    assert faults(day, made) == []
    assert (made.proved, len(made.left_out) > 150) == (0, True)


def test_a_promise_nobody_can_keep_beside_the_others_is_given_up_for_them():
    rival = Job("43", 480, (JobStep("roller", 30),), gone_by=520, promised=480, worth=200)
    day = a_dovetailed_day(rival)
    assert on_the_rollers(day) == DOVETAILED
    assert [one.job for one in plan(day).broken] == ["43"]


def test_what_a_search_left_out_fills_the_gaps_the_most_valuable_first():
    people = (Worker("p1", 480, 630), Worker("p2", 480, 630))
    small = [Job(number, 480, (JobStep("roller", 30),), worth=worth) for number, worth in (("43", 10), ("44", 50))]
    day = a_dovetailed_day(*small, people=people)
    assert on_the_rollers(day) == [*DOVETAILED, ("44", 600)]
    assert [one.job for one in plan(day).left_out] == ["43"]


def test_a_found_day_is_polished_until_a_promise_has_its_clear_minutes_by_another_person():
    promised = Job("43", 480, (JobStep("roller", 30),), promised=560)
    busy = Job("44", 480, (JobStep("bench", 30, pin=Pin(by="p2", begin=525)),))
    people = tuple(Worker(f"p{n}", 480, 600) for n in (1, 2, 3))
    made = plan(a_dovetailed_day(promised, busy, rollers=2, guard=20, people=people))
    assert [(one.by, one.station, one.begin) for one in made.placed if one.job == "43"] == [("p3", 2, 560)]
    assert (made.kept, made.guarded) == (3, 2)


def test_a_plan_adds_up_what_it_does():
    running = Job("40", 480, (JobStep("roller", 60, began=500, by="p1"),), worth=500)
    day = a_day(running, visit("41", 600), visit("42", 600), visit("43", None, gone_by=500), now=530, guard=10)
    made = plan(day)
    assert (made.day, made.kept, made.guarded, made.worth, made.proved) == ("2027-03-10", 1, 1, 500 + 2 * 9000, 5)
    assert made.roller_minutes == 30 + 2 * 60
    assert not any(whole(plan(a_day(job))) for job in (visit("43", None, gone_by=500), visit("41", 540, here_from=556)))
