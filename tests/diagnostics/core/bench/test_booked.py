from __future__ import annotations

import pytest

from diagnostics.core.bench.booked import BenchTime, bench_time, booked_min
from diagnostics.core.judging.judgement import BenchStep

ORDER = (BenchStep("plug", 10, 0.3), BenchStep("unit", 20, 0.15), BenchStep("carburettor", 60, 0.05))


@pytest.mark.parametrize(("expected_min", "booked"), [(0.0, 15), (15.0, 15), (15.1, 20), (40.0, 40), (40.2, 45)])
def test_the_bench_is_booked_in_steps_of_five_minutes(expected_min: float, booked: int) -> None:
    """A quarter of an hour at least: bringing the machine in and a first look."""
    assert booked_min(expected_min) == booked


def time_of(order: tuple[BenchStep, ...] = ORDER, expected_min: float = 30.0, nothing_wrong: float = 0.25) -> BenchTime:
    return bench_time(order, expected_min=expected_min, nothing_wrong=nothing_wrong)


def test_planned_are_the_minutes_in_which_three_in_five_are_put_right_and_the_spread_is_told_with_them() -> None:
    """Ends 10, 30, 90 with shares 0.6, 0.3, 0.1 and a mean of 24, stretched to 40: 16.7, 50 and 150 minutes."""
    assert time_of() == BenchTime(planned=20, low=20, high=50)
    likely_longer = (ORDER[0]._replace(finds=0.29), *ORDER[1:])
    assert time_of(likely_longer).planned == 50


def test_the_likelier_that_nothing_is_wrong_the_longer_it_takes_if_something_is() -> None:
    assert time_of(nothing_wrong=0.625) == BenchTime(planned=35, low=35, high=100)


@pytest.mark.parametrize("given", [{"order": ()}, {"nothing_wrong": 1.0}, {"expected_min": 0.0}])
def test_where_there_is_nothing_to_find_no_spread_is_told(given: dict[str, object]) -> None:
    found = time_of(**given)
    assert (found.low, found.high) == (None, None)
    assert found.planned == (15 if "expected_min" in given else 30)
