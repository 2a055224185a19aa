"""What bench work may cost, checked by hand."""

from dataclasses import replace
from decimal import Decimal

import pytest

from diagnostics.core.bench.bench_cost import BenchPrice, bench_cost
from diagnostics.core.judging.judgement import BenchStep

ORDER = (BenchStep("plug", 10, 0.3), BenchStep("unit", 20, 0.15), BenchStep("carburettor", 60, 0.05))
PRICE = BenchPrice(Decimal("54.00"), "down", covered_min=0, limit_pounds=120, is_agreed=False)


def pounds(*, order=ORDER, expected_min=30.0, nothing_wrong=0.25, **price):
    """The range, whole pounds."""
    cost = bench_cost(order, expected_min=expected_min, nothing_wrong=nothing_wrong, price=replace(PRICE, **price))
    return (int(cost.low), int(cost.high))


def test_from_and_to_are_the_minutes_of_one_and_of_nine_in_ten_by_hand():
    """Ends 10, 30, 90 with shares 0.6, 0.3, 0.1: mean 24, stretched to 40. 16.7 min → 12, £10.80; 50 → 48, £43.20."""
    assert pounds() == (10, 45)


@pytest.mark.parametrize(("rounding", "said"), [("down", (10, 45)), ("nearest", (15, 45)), ("up", (15, 50))])
def test_tenths_of_an_hour_are_rounded_as_the_shop_has_set(rounding, said):
    """16 min: 12, 18 or 18, £10.80 or £16.20. 50 min: 48, 48 or 54, £43.20 or £48.60."""
    assert pounds(rounding=rounding) == said


def test_what_the_booked_price_covers_is_left_out():
    assert pounds(covered_min=30) == (0, 20)  # 50 − 30 = 20 min, 18 charged: £16.20
    assert pounds(covered_min=60) == (0, 0)


def test_the_likelier_that_nothing_is_wrong_the_longer_it_takes_if_something_is():
    """The expected minutes count a sound machine as none."""
    assert pounds(nothing_wrong=0.625) == (25, 90)  # 33 min → 30, £27; 100 min → 96, £86.40


def test_steps_that_are_done_only_if_a_test_has_shown_their_fault_make_it_little_dearer():
    """Each fault twice, as test and as repair: ends 10, 20, 40, 60, 120, 180 with a mean of 39. 61.5 min → 60, £54."""
    twice = tuple(BenchStep(do, one.minutes, one.finds) for one in ORDER for do in (one.do, "If that is it"))
    assert pounds(order=twice) == (10, 55)


def test_the_shortest_work_is_a_look():
    assert pounds(expected_min=1.0) == (10, 15)  # 15 min at least: 12 charged, £10.80


@pytest.mark.parametrize(
    "given",
    [
        {"order": ()},
        {"expected_min": 0.0},
        {"nothing_wrong": 1.0},
        {"order": (BenchStep("plug", 10, 0.0),)},
        {"order": (BenchStep("plug", 0, 0.3),)},
    ],
)
def test_where_there_is_nothing_to_find_there_is_nothing_to_say(given):
    values = {"order": ORDER, "expected_min": 30.0, "nothing_wrong": 0.25} | given
    assert bench_cost(values.pop("order"), price=PRICE, **values) is None


def test_a_shop_without_a_price_for_labour_says_nothing():
    assert (
        bench_cost(ORDER, expected_min=30, nothing_wrong=0.25, price=replace(PRICE, labour_per_hour=Decimal(0))) is None
    )
