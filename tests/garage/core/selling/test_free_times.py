"""What may be sold: never a wrong yes, hardly a wrong no, against trying everything."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from garage.core.planning.day_problem import DayProblem, Job, JobStep, Pin, Worker
from garage.core.planning.planner import plan, whole
from garage.core.selling.free_times import (
    Wanted,
    bench_visit,
    free_times,
    grid,
    job_at,
    known_visit,
    nearest,
    new_visit,
    possible,
    roller_visit,
)
from tests.garage.core.check_plan import enumerated, faults
from tests.garage.core.day_drawing import tiny_day, whole_day
from tests.garage.core.drawn_days import drawn_day


def a_day(*jobs: Job, **changed: object) -> DayProblem:
    people = (Worker("p1", 540, 1020, ((750, 780),)), Worker("p2", 540, 1020, skills=frozenset({"bench"})))
    return replace(DayProblem("2027-03-10", 480, rollers=1, benches=1, people=people, jobs=jobs), **changed)


def sold(number: str, promised: int, roller_min: int = 60) -> Job:
    return job_at(roller_visit(roller_min), promised, id=number)


def test_a_roller_visit_is_its_gate_then_bench_work_then_the_rollers():
    gate, bench, rollers = JobStep("bench", 12, check=True), JobStep("bench", 50), JobStep("roller", 90)
    assert roller_visit(90, gate_min=12) == Wanted((gate, rollers), arrive_before_min=30)
    assert roller_visit(90, gate_min=12, arrive_before_min=20, bench_before_min=50) == Wanted(
        (gate, bench, rollers), arrive_before_min=70
    )


def test_a_new_visit_needs_a_gate_on_the_rollers_only():
    assert new_visit("roller", 90, 12, 5) == roller_visit(90, gate_min=12, strap_min=5)
    assert new_visit("bench", 60, 12, 5) == bench_visit(60) == Wanted((JobStep("bench", 60),), arrive_before_min=0)


def test_a_known_visit_needs_a_gate_until_it_has_passed_and_an_arrival_until_it_is_here():
    gate, rollers = JobStep("bench", 12, check=True), JobStep("roller", 95)
    awaited = known_visit("roller", 90, 12, 5, has_passed_gate=False, is_here=False)
    assert awaited == Wanted((gate, rollers), arrive_before_min=30)
    assert known_visit("roller", 90, 12, 5, has_passed_gate=False, is_here=True) == replace(
        awaited, arrive_before_min=1440
    )
    strapped_down = (JobStep("roller", 90),)
    passed = known_visit("roller", 90, 12, 5, has_passed_gate=True, is_here=False)
    assert passed == replace(awaited, steps=strapped_down)
    at_the_bench = known_visit("roller", 90, 0, 5, has_passed_gate=False, is_here=False)
    assert at_the_bench == replace(awaited, steps=(rollers,))
    assert known_visit("bench", 60, 12, 5, has_passed_gate=False, is_here=True) == bench_visit(60)


def test_a_sold_roller_time_is_the_promise_of_its_job_and_the_rest_is_as_it_was_wanted():
    wanted = replace(roller_visit(90), gone_by=960, worth=12000, ready=0.7)
    assert job_at(wanted, 600, id="41") == Job(
        "41", 570, wanted.steps, gone_by=960, promised=600, worth=12000, ready=0.7
    )
    assert job_at(wanted, 20).here_from == 0
    assert job_at(wanted, 20).id == "wanted"


def test_a_sold_bench_time_pins_the_first_step_and_keeps_what_else_is_pinned():
    first, second = JobStep("bench", 60, pin=Pin(station=2, by="p1")), JobStep("bench", 20)
    job = job_at(Wanted((first, second), arrive_before_min=0), 600)
    assert (job.here_from, job.promised) == (600, None)
    assert job.steps == (JobStep("bench", 60, pin=Pin(station=2, by="p1", begin=600)), second)


def test_times_are_asked_for_in_any_order_and_come_in_their_own():
    assert free_times(a_day(), roller_visit(60), [660, 600, 660, 605, 3]) == [600, 605, 660]
    assert free_times(a_day(), roller_visit(60), []) == []


def test_without_people_there_is_no_time():
    assert free_times(a_day(people=()), roller_visit(60)) == []


def test_the_people_who_come_first_and_stay_longest_bound_the_times():
    people = (Worker("p1", 600, 720), Worker("p2", 540, 660))
    times = free_times(a_day(people=people), bench_visit(30))
    assert times == grid(540, 691)


def test_a_visit_that_is_called_like_a_wanted_one_is_still_in_the_way():
    for names in (["wanted 0"], ["wanted 0", "wanted 1"], ["wanted 1", "wanted 0"]):
        day = a_day(*(replace(sold("41", 600 + 180 * n), id=name) for n, name in enumerate(names)))
        assert not {600, 615} & set(free_times(day, roller_visit(60)))
        assert 660 in free_times(day, roller_visit(60))


def test_a_machine_on_the_rollers_now_is_in_the_way_until_it_is_done():
    running = Job("41", 540, (JobStep("roller", 60, began=560, by="p1"),))
    day = a_day(running, now=600)
    assert 600 not in free_times(day, roller_visit(30))
    assert min(free_times(day, roller_visit(30))) == 630


def test_a_promise_may_begin_later_within_its_window_but_no_new_time_is_sold_late_already():
    one = Worker("p1", 600, 720)
    day = a_day(people=(one,))
    assert free_times(day, roller_visit(60), [605, 610, 660, 661]) == [610, 660]


def test_an_empty_day_sells_every_time_at_which_gate_and_rollers_fit():
    assert free_times(a_day(), roller_visit(60)) == [*grid(555, 690), 690, *grid(780, 960), 960]


def test_a_sold_roller_hour_is_not_sold_again_and_the_next_quarters_only_where_both_promises_hold():
    times = free_times(a_day(sold("41", 600)), roller_visit(60))
    assert not set(times) & {570, 585, 600, 615, 630}
    assert {660, 675, 690} <= set(times)


def test_a_second_roller_sells_the_same_hour_again_but_only_with_a_second_person_who_can_run_it():
    one = a_day(sold("41", 600), rollers=2)
    two = replace(one, people=tuple(replace(p, skills=frozenset({"bench", "roller"})) for p in one.people))
    assert 600 not in free_times(one, roller_visit(60))
    assert 600 in free_times(two, roller_visit(60))


def test_two_times_are_each_possible_but_not_both():
    day = a_day(people=(Worker("p1", 600, 720),))
    first, second = sold("41", 615, 60), sold("42", 660, 60)
    assert possible(day, first)
    assert possible(day, second)
    assert not possible(replace(day, jobs=(first,)), second)


def test_a_bench_visit_is_sold_by_its_beginning_at_the_bench():
    busy = job_at(bench_visit(120), 600, id="41")
    times = free_times(a_day(busy), bench_visit(60))
    assert 540 in times
    assert not set(times) & set(range(555, 720, 15))
    assert 720 in times


def test_long_bench_work_without_a_time_makes_room_but_is_never_pushed_out():
    left_with_us = Job("43", 540, (JobStep("bench", 180),), worth=9000)
    day = a_day(left_with_us, people=(Worker("p1", 540, 840),))
    times = free_times(day, roller_visit(60))
    assert times
    for time in times:
        made = plan(replace(day, jobs=(*day.jobs, sold("44", time))))
        assert whole(made), time


def test_nothing_is_sold_before_now():
    assert min(free_times(a_day(now=800), roller_visit(60))) >= 800


def test_a_day_that_cannot_keep_every_promise_sells_only_what_makes_it_no_worse():
    """One of the two at 10:00 is broken already, and done at another time. The third would break one more."""
    times = free_times(a_day(sold("41", 600), sold("42", 600)), roller_visit(60))
    assert not {585, 600, 615, 630} & set(times)
    assert {900, 960} <= set(times)


def test_a_sale_may_take_clear_minutes_but_not_where_the_plan_would_leave_out_a_job_for_them():
    day = a_day(sold("41", 780), people=(Worker("p1", 660, 1020),), guard=15)
    assert {690, 840} <= set(free_times(day, roller_visit(60)))
    # Done at 11:10 it takes the minutes before the new time, done at 12:40 those before 13:00.
    waiting = Job("43", 660, (JobStep("bench", 20),), gone_by=780, worth=900)
    busy = replace(day, jobs=(*day.jobs, waiting))
    assert {690, 840} <= set(free_times(replace(busy, guard=0), roller_visit(60)))
    times = free_times(busy, roller_visit(60))
    assert 690 not in times
    assert 840 in times
    for time in times:
        assert whole(plan(replace(busy, jobs=(*busy.jobs, sold("44", time))))), time


@pytest.mark.long
@pytest.mark.parametrize("seed", range(24))
def test_what_is_sold_breaks_no_day(seed):
    """The plan after a sale keeps one promise more, and leaves out no job placed before.

    On a day that leaves out something anyway, another of the same worth may take its turn.
    """
    day = drawn_day(seed)
    before = plan(day)
    wanted = replace(roller_visit(60, gate_min=15, strap_min=5), worth=6000)
    for time in free_times(day, wanted, grid(day.now, 1080, 60)):
        after = plan(replace(day, jobs=(*day.jobs, job_at(wanted, time, id="wanted"))))
        assert "wanted" not in {one.job for one in (*after.left_out, *after.broken)}, time
        assert after.kept == before.kept + 1, time
        assert after.worth >= before.worth + wanted.worth, time
        assert before.left_out or not after.left_out, time


def test_a_promise_that_is_past_saving_does_not_stop_the_rest_of_the_day_from_being_sold():
    missed = replace(sold("41", 600), here_from=700)
    assert 840 in free_times(a_day(missed, now=660), roller_visit(60))


def test_a_moving_job_is_not_blocked_by_its_own_old_time():
    day = a_day(sold("41", 600))
    assert possible(day, sold("41", 615))
    assert not possible(day, sold("42", 615))


@pytest.mark.long
@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10**9))
def test_every_time_sold_has_a_sound_plan(seed):
    day = whole_day(seed, 7)
    for time in free_times(day, roller_visit(60))[::4]:
        with_it = replace(day, jobs=(*day.jobs, sold("99", time)))
        made = plan(with_it)
        assert faults(with_it, made) == []
        assert "99" not in {one.job for one in (*made.left_out, *made.broken)}


@pytest.mark.long
def test_every_answer_agrees_with_brute_force():
    """Source: exhaustive enumeration (check_plan.enumerated)."""
    wanted = Wanted((JobStep("bench", 15, check=True), JobStep("roller", 30)), arrive_before_min=30)
    answers = {(True, True): 0, (False, False): 0, (True, False): 0, (False, True): 0}
    for seed in range(60):
        day = tiny_day(seed, 2)
        if not enumerated(day, slot_min=15)[1]:
            continue
        for time in range(510, 630, 30):
            job = job_at(wanted, time)
            could = enumerated(replace(day, jobs=(*day.jobs, job)), slot_min=15)[1]
            answers[possible(day, job), could] += 1
    assert answers[True, False] == 0
    assert answers[False, True] == 0
    assert min(answers[True, True], answers[False, False]) > 20


def test_the_grid_counts_from_midnight_and_ends_before_its_end_and_before_the_next_day():
    assert grid(540, 571) == [540, 555, 570]
    assert grid(541, 570) == [555]
    assert grid(1420, 1500) == [1425]
    assert grid(0, 60, step_min=20) == [0, 20, 40]
    assert grid(600, 600) == []


def test_three_times_are_named_and_of_two_as_near_the_earlier_one():
    assert nearest([540, 570, 600, 660, 690], wanted=630) == [570, 600, 660]
    assert nearest([600, 630, 660], wanted=630, count=1) == [630]


def test_the_nearest_times_are_those_least_far_away_in_order_of_time():
    assert nearest([540, 600, 660, 900], wanted=630, count=3) == [540, 600, 660]
    assert nearest([600, 660], wanted=630, count=1) == [600]
    assert nearest([], wanted=630) == []
    noon = datetime(2027, 3, 10, 12, tzinfo=UTC)
    hours = [noon + timedelta(hours=n) for n in (-3, -1, 2)]
    assert nearest(hours, noon, count=2) == hours[1:]
