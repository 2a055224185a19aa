"""Bench work for minutes that the plan leaves idle: never in the way of the plan."""

from __future__ import annotations

from dataclasses import replace

import pytest

from garage.core.planning.idle_minutes import for_idle_minutes
from garage.core.planning.planner import plan
from tests.garage.core.drawn_days import drawn_day
from tests.garage.core.planning_by_hand import GATE, ROLLERS, a_day, pinned, seated, visit


def test_it_takes_a_bench_and_a_person_that_are_free_and_ten_minutes_more():
    """41 has p1 at bench 1 from 08:21: twenty minutes are one too few for a check of ten before it, but p2 is idle."""
    begun = seated(visit("41"), 501)
    left = visit("42")
    (one,) = for_idle_minutes(a_day(visit("41"), left), begun)
    assert (one.job, one.begin, one.end, one.by) == ("42", 480, 490, "p2")
    alone = a_day(visit("41"), left, people=a_day().people[:1])
    assert [p.begin for p in for_idle_minutes(alone, begun)] == [480]
    assert [p.begin for p in for_idle_minutes(alone, seated(visit("41"), 499))] == [509]


@pytest.mark.parametrize(
    ("job", "begins"),
    [
        (visit("42"), [480]),
        (visit("42", here_from=600), [600]),
        (visit("42", gone_by=499), []),
        (visit("42", ROLLERS), []),
        (visit("42", pinned("bench", 10, begin=600), ROLLERS), [600]),
        (visit("42", pinned("bench", 10, by="p1", station=2), ROLLERS), [480]),
        (visit("42", replace(GATE, began=470, by="p1", ended=485), ROLLERS), []),
    ],
)
def test_it_is_the_next_bench_step_of_a_machine_that_is_here(job, begins):
    assert [p.begin for p in for_idle_minutes(a_day(job, now=480), [])] == begins


def test_the_surest_comes_first():
    jobs = (visit("42", ready=0.5), visit("43", ready=0.9))
    people = a_day().people[:1]
    assert [p.job for p in for_idle_minutes(a_day(*jobs, people=people), [])] == ["43", "42"]


@pytest.mark.parametrize("seed", range(0, 30, 3))
def test_on_drawn_days_nothing_of_it_is_in_the_way_of_the_plan(seed):
    day = replace(drawn_day(seed, jobs=12), limit_s=0.0)
    made = plan(day)
    spare = for_idle_minutes(day, made.placed)
    assert not {p.job for p in spare} & {p.job for p in made.placed}
    for one in spare:
        for other in (*made.placed, *spare):
            if other is not one and (other.by == one.by or (other.at, other.station) == (one.at, one.station)):
                assert other.end <= one.begin or one.end <= other.begin
