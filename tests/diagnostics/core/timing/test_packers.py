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


HEIGHT, THICKNESS = "a height from -1000 to 1000 mm", "a thickness above 0, at most 1000 mm"


@pytest.mark.parametrize(
    ("call", "where", "found", "allowed"),
    [
        ((1001, 12, []), "pickup_mm", 1001, HEIGHT),
        ((-1001, 12, []), "pickup_mm", -1001, HEIGHT),
        ((12, 1001, []), "magnet_mm", 1001, HEIGHT),
        ((12, -1001, []), "magnet_mm", -1001, HEIGHT),
        ((12, 12, "all"), "packers_mm", "all", "a list of thicknesses in mm"),
        ((12, 12, [0.5] * 1001), "packers_mm", "1001 entries", "at most 1000 entries"),
        ((12, 12, [1, 1001]), "packers_mm[1]", 1001, THICKNESS),
        ((12, 12, [0]), "packers_mm[0]", 0, THICKNESS),
        (
            (0, 7, [0.700000001] * 41),
            "packers_mm",
            "41 entries",
            "at most 40 entries where thicknesses have so many decimals",
        ),
    ],
)
def test_bad_input_is_refused_with_what_is_allowed(call, where, found, allowed):
    with pytest.raises(BadInput) as refused:
        packers(*call)
    assert (refused.value.where, refused.value.found, refused.value.allowed) == (where, found, allowed)


def test_heights_and_thicknesses_may_be_as_great_as_a_metre():
    assert packers(-1000, 0, (1000,)).stack_mm == (1000.0,)
    assert packers(0, 1000, [1000] * 1000).stack_mm == (1000.0,)
    assert packers(1000, -1000, []).needed_mm == -2000.0
    assert packers(0, 28, [0.700000001] * 40).stack_mm == (0.700000001,) * 40


def test_every_answer_has_its_figures_and_its_sentence():
    stack = packers(12, 13.3, [0.5, 0.75])
    assert (stack.needed_mm, stack.stack_mm, stack.nearest_mm, stack.left_over_mm) == (1.3, (0.75, 0.5), None, 0.05)
    assert stack.means == ("Put 1.25 mm of packers under the stator plate, then reset the timing.",)
    level = packers(12, 12.1, [0.5])
    assert (level.needed_mm, level.stack_mm, level.nearest_mm, level.left_over_mm) == (0.1, (), None, 0.1)
    assert level.means == ("The pickup and magnets are level to within 0.1 mm: no packer is needed.",)
    none = packers(12, 14, [0.5, 0.75])
    assert (none.needed_mm, none.stack_mm, none.nearest_mm, none.left_over_mm) == (2.0, None, (0.75, 0.5), 0.75)
    assert none.means == ("No stack from stock comes within 0.1 mm of 2 mm: the nearest is 1.25 mm.",)
    high = packers(12.5, 12.25, [0.25])
    assert (high.needed_mm, high.stack_mm, high.nearest_mm, high.left_over_mm) == (-0.25, None, (), -0.25)
    assert high.means == (
        "The pickup is 0.25 mm above the magnets: the plate must come down, not up. Packers only raise it.",
    )


@pytest.mark.parametrize("cells", [packers_module.TABLE_CELLS, 0], ids=["by the table", "by halves"])
@pytest.mark.parametrize(
    ("needed", "stock", "stack"),
    [
        (1, [0.95, 1.05], (0.95,)),  # equally near: the thinner
        (2, [0.4, 0.6, 1.0, 1.5], (1.5, 0.4)),  # 0.1 off with two: before three that fit exactly
        (1, [2.0, 3.0], None),  # twice the need is no nearer than nothing
        (1, [1.99, 3], (1.99,)),  # but a little less is
        (3, [1, 1, 1], (1.0, 1.0, 1.0)),
    ],
)
def test_the_choice_is_the_fewest_then_the_nearest_then_the_thinner(monkeypatch, cells, needed, stock, stack):
    monkeypatch.setattr(packers_module, "TABLE_CELLS", cells)
    found = packers(0, needed, stock)
    assert (found.stack_mm or found.nearest_mm or None) == stack


def test_the_table_is_taken_up_to_its_limit_and_halves_beyond_it(monkeypatch):
    """Need 1 mm in tenths: 21 sums from 0 to twice the need, times one more than the packers."""
    refused_by_halves = [0.1] * 41
    monkeypatch.setattr(packers_module, "TABLE_CELLS", 21 * 42)
    assert packers(0, 1, refused_by_halves).stack_mm == (0.1,) * 9  # 0.1 off level is near enough
    monkeypatch.setattr(packers_module, "TABLE_CELLS", 21 * 42 - 1)
    with pytest.raises(BadInput, match="41 entries"):
        packers(0, 1, refused_by_halves)


def test_thicknesses_beyond_64_bits_are_exact_too():
    fine = Decimal("0.5000000000000000000001")
    found = packers(0, 2 * fine + Decimal("0.1"), [fine, fine, Decimal("0.3")])
    assert found.stack_mm == (0.5, 0.5)
    assert packers(0, 2 * fine + Decimal("0.1000000000000000000001"), [fine, fine]).stack_mm is None
