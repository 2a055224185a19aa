"""Packer stacks against a slow plain twin that tries every choice, and the limits of the manual."""

import itertools
import random
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from diagnostics.core.timing import packers as packers_module
from diagnostics.core.timing.packers import packers
from garage.core.errors import BadInput


def tried_one_by_one(needed, stock):
    """(is within, count, distance) of the best choice, over every choice; exact as the Decimals are."""
    within, nearest = [], []
    for count in range(len(stock) + 1):
        for chosen in itertools.combinations(stock, count):
            distance = abs(sum(chosen, Decimal(0)) - needed)
            nearest.append((distance, count))
            if distance <= Decimal("0.1"):
                within.append((count, distance))
    if within:
        return (True, *min(within))
    distance, count = min(nearest)
    return (False, count, distance)


def checked_against_the_twin(needed, stock):
    found = packers(Decimal(20), Decimal(20) + needed, stock)
    is_within, count, distance = tried_one_by_one(needed, stock)
    chosen = found.stack_mm if is_within else found.nearest_mm
    assert (found.stack_mm is not None) == is_within
    assert (found.nearest_mm is None) == is_within
    assert len(chosen) == count
    left = [float(each) for each in stock]
    for each in chosen:
        left.remove(each)  # each entry of the stock once
    assert abs(needed - sum(map(Decimal, map(repr, chosen)), Decimal(0))) == distance
    assert found.left_over_mm == pytest.approx(float(needed) - sum(chosen), abs=1e-9)


hundredths = st.lists(st.decimals("0.05", "3", places=2), max_size=9)


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(st.decimals("-0.1", "8", places=2), hundredths)
def test_the_counting_table_agrees_with_brute_force(needed, stock):
    checked_against_the_twin(needed, stock)


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(st.decimals("0.2", "8", places=9), st.lists(st.decimals("0.05", "3", places=9), max_size=9))
def test_pairing_halves_agrees_with_brute_force(needed, stock):
    checked_against_the_twin(needed, stock)


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(st.decimals("0.2", "8", places=2), hundredths)
def test_both_methods_find_the_same(needed, stock):
    counted = packers(0, needed, stock)
    before, packers_module.TABLE_CELLS = packers_module.TABLE_CELLS, 0
    try:
        paired = packers(0, needed, stock)
    finally:
        packers_module.TABLE_CELLS = before
    assert (counted.stack_mm is None, counted.left_over_mm) == (paired.stack_mm is None, paired.left_over_mm)
    assert len(counted.stack_mm or counted.nearest_mm or ()) == len(paired.stack_mm or paired.nearest_mm or ())


def test_floats_typed_with_many_digits_are_exact():
    chance = random.Random(7)
    for _ in range(20):
        stock = [Decimal(repr(chance.uniform(0.05, 3))) for _ in range(8)]
        checked_against_the_twin(Decimal(repr(chance.uniform(0.2, 9))), stock)


# The manual of `timing`: within 0.1 mm counts, exactly; a float 12.1 - 12.0 is over 0.1 in binary.
@pytest.mark.parametrize(
    ("pickup", "magnet", "stock", "stack"),
    [
        (12.0, 12.1, [0.1], ()),
        (12.0, 12.1000001, [0.1], (0.1,)),
        (12.1, 12.0, [0.1], ()),
        (12, 12.6, [0.5], (0.5,)),
        (12, 12.6000001, [0.5], None),
        (12, 12.4, [0.5], (0.5,)),
        (12, 12.3999999, [0.5], None),
        (12, 13.5, [0.5, 0.5, 0.5, 1.0], (1.0, 0.5)),
        (12, 13.5, [0.75, 0.75, 1.6], (1.6,)),  # one packer within 0.1 before two that fit exactly
        (12, 13.5, [1.4, 1.55], (1.55,)),  # equally few: the nearest
        (12, 12.5, [], None),
    ],
)
def test_the_limits_are_exact(pickup, magnet, stock, stack):
    assert packers(pickup, magnet, stock).stack_mm == stack


def test_without_a_stack_the_nearest_sum_is_given():
    found = packers(12, 14, [0.5, 0.5, 3.5])
    assert (found.stack_mm, found.nearest_mm, found.left_over_mm) == (None, (0.5, 0.5), 1.0)


def test_nothing_at_all_may_be_nearest():
    assert packers(12, 12.5, [5.0]).nearest_mm == ()


def test_a_pickup_above_the_magnets_asks_for_the_plate_to_come_down():
    found = packers(12.5, 12.25, [0.25, 0.5])
    assert (found.needed_mm, found.stack_mm) == (-0.25, None)
    assert "down" in found.means[0]


# 40 entries must answer at once: hundredths go through the table, finer ones through the halves.
@pytest.mark.parametrize("places", [2, 9])
def test_forty_entries_are_answered(places):
    chance = random.Random(places)
    stock = [Decimal(chance.randint(10**places // 10, 2 * 10**places)).scaleb(-places) for _ in range(40)]
    found = packers(0, sum(sorted(stock)[10:25]), stock)
    assert abs(found.left_over_mm) <= 0.1
    assert sum(found.stack_mm) + found.left_over_mm == pytest.approx(found.needed_mm)


def test_a_long_coarse_stock_is_answered_and_a_long_fine_one_is_refused_with_its_limit():
    assert packers(0, 7, [0.7] * 500).stack_mm == (0.7,) * 10
    with pytest.raises(BadInput, match=r"packers_mm is '50 entries'; allowed is at most 40 entries"):
        packers(0, 7, [0.700000001] * 50)


@pytest.mark.parametrize(
    ("call", "where"),
    [
        ((None, 12, []), "pickup_mm"),
        ((12, "x", []), "magnet_mm"),
        ((12, 12, None), "packers_mm"),
        ((12, 12, 0.5), "packers_mm"),
        ((12, 12, [0.5, 0]), "packers_mm[1]"),
        ((12, 12, [-0.5]), "packers_mm[0]"),
        ((12, 12, [float("nan")]), "packers_mm[0]"),
        ((12, 12, [0.5] * 1001), "packers_mm"),
    ],
)
def test_bad_input_is_named(call, where):
    with pytest.raises(BadInput) as refused:
        packers(*call)
    assert refused.value.where == where
