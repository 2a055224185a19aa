"""A day in sums, for the week: what is there, sold, in doubt, held, kept free and still free."""

from __future__ import annotations

from dataclasses import replace

import pytest

from garage.core.planning.day_problem import DayProblem, Job, JobStep, Worker
from garage.core.planning.week import place_sums

BENCH_ONLY = frozenset({"bench"})
JO = Worker("Jo", 480, 1050, ((750, 780),))


def a_day(*jobs: Job, people: tuple[Worker, ...] = (JO,), **given: object) -> DayProblem:
    return replace(DayProblem("2027-03-10", 0, rollers=1, benches=2, people=people, jobs=jobs), **given)


def sold(number: str, promised: int, ready: float = 1.0) -> Job:
    steps = (JobStep("bench", 20, check=True), JobStep("roller", 95))
    return Job(number, promised - 30, steps, promised=promised, ready=ready)


def sums(day: DayProblem, *, opens: int = 480, closes: int = 1050, **given: object):
    return place_sums(day, opens=opens, closes=closes, **{"kept": {}, "held": (), "in_doubt": ()} | given)


def test_minutes_are_there_while_a_station_and_somebody_who_can_are():
    found = sums(a_day(people=(JO, Worker("Sam", 480, 780, skills=BENCH_ONLY))))
    assert found["roller"].there_min == 540
    assert found["bench"].there_min == 540 + 300


def test_more_people_than_stations_make_no_more_minutes():
    found = sums(a_day(people=(JO, replace(JO, id="Sam", breaks=()), replace(JO, id="Alex"))))
    assert found["roller"].there_min == 570
    assert found["bench"].there_min == 2 * 540 + 30


def test_people_count_while_the_garage_is_open_and_rollers_while_they_may_run():
    found = sums(a_day(quiet_rollers=((0, 540), (960, 1440))), opens=500, closes=1000)
    assert (found["roller"].there_min, found["bench"].there_min) == (390, 470)


def test_of_today_only_what_is_left_counts():
    running = Job("41", 480, (JobStep("bench", 20, check=True, began=560, by="Jo", ended=580), JobStep("roller", 95)))
    running = replace(running, steps=(running.steps[0], replace(running.steps[1], began=590, by="Jo")))
    found = sums(a_day(running, now=600))
    assert found["bench"].sold_min == 0
    assert found["roller"].sold_min == 85
    assert found["roller"].there_min == 420
    assert found["roller"].free_min == 420 - 85


def test_what_is_free_is_bounded_by_the_people_who_work_at_both_places():
    found = sums(a_day(sold("41", 600), sold("42", 900)), kept={"bench": 60})
    assert (found["roller"].sold_min, found["bench"].sold_min) == (190, 40)
    left = 540 - 190 - 40 - 60
    assert (found["roller"].free_min, found["bench"].free_min) == (left, left)
    assert found["bench"].kept_min == 60


def test_a_second_pair_of_hands_leaves_the_rollers_as_the_limit():
    found = sums(a_day(sold("41", 600), people=(JO, replace(JO, id="Sam"))), kept={"roller": 45})
    assert found["roller"].free_min == 540 - 95 - 45
    assert found["bench"].free_min == 1080 - 20 - 95 - 45


def test_held_times_are_not_sold_and_not_free():
    found = sums(a_day(sold("41", 600), sold("hold 7", 840)), held=["hold 7"])
    assert (found["roller"].sold_min, found["roller"].held_min, found["roller"].free_min) == (95, 95, 310)


def test_a_session_of_a_machine_in_doubt_is_at_risk_and_named():
    found = sums(a_day(sold("41", 600, ready=0.62), sold("42", 900, ready=0.5)), in_doubt=["41"])
    (risky,) = found["roller"].risky
    assert (risky.number, risky.minutes, risky.ready) == ("41", 95, 0.62)
    assert (found["roller"].risky_min, found["roller"].sold_min) == (95, 190)
    assert found["bench"].risky == ()


def test_a_session_that_is_over_is_at_no_risk():
    over = JobStep("roller", 95, began=480, by="Jo", ended=575)
    assert sums(a_day(Job("41", 470, (over,), ready=0.1), now=600), in_doubt=["41"])["roller"].risky == ()


def test_more_sold_than_there_is_says_how_much_and_leaves_nothing():
    found = sums(a_day(sold("41", 600), people=()), opens=0, closes=0)["roller"]
    assert (found.there_min, found.over_min, found.free_min, found.length_min) == (0, 95, 0, 95)
    assert sums(a_day(sold("41", 600)))["roller"].over_min == 0


@pytest.mark.parametrize("place", ["roller", "bench"])
def test_an_empty_closed_day_is_all_noughts(place):
    found = sums(a_day(people=()), opens=0, closes=0)[place]
    assert (found.there_min, found.sold_min, found.free_min, found.length_min) == (0, 0, 0, 0)
