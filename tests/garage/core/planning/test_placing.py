"""Beginnings found by shifts against beginnings found by looking at every minute."""

from hypothesis import given
from hypothesis import strategies as st

from garage.core.planning.day_problem import DayProblem, Job, JobStep, Worker
from garage.core.planning.placing import Floor, Resources, beginnings, chain, earliest, span


@given(st.integers(0, 2**200 - 1), st.integers(1, 120))
def test_start_minutes_are_those_from_which_everything_is_free(free, minutes):
    slow = sum(1 << t for t in range(200) if all(free >> m & 1 for m in range(t, t + minutes)))
    assert beginnings(free, minutes) == slow


@given(st.integers(0, 2**100), st.integers(0, 110), st.integers(0, 110))
def test_the_earliest_is_the_lowest_set_bit_between_the_limits(bits, lower, upper):
    slow = [t for t in range(lower, upper + 1) if bits >> t & 1]
    assert earliest(bits, lower, upper) == (slow[0] if slow else None)


@given(st.integers(0, 60), st.integers(0, 60))
def test_a_span_has_one_bit_a_minute(begin, end):
    assert span(begin, end) == sum(1 << t for t in range(begin, end))


def test_the_less_skilled_are_asked_first_and_a_chain_leaves_the_floor_unchanged():
    people = (Worker("p1", 480, 600), Worker("p2", 480, 600, skills=frozenset({"bench"})))
    job = Job("41", 480, (JobStep("bench", 10), JobStep("roller", 60)))
    floor = Floor(Resources(DayProblem("2027-03-10", 480, 1, 1, people, (job,))))
    first, second = chain(floor, job, in_window=False), chain(floor, job, in_window=False)
    assert first == second
    assert [p.by for p in first] == ["p2", "p1"]
    assert (
        chain(floor, Job("42", 480, (JobStep("bench", 90), JobStep("roller", 60))), in_window=False)[-1].at == "bench"
    )
