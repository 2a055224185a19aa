import pytest

from diagnostics.core.guides.drawn.running.level import (
    MAGNET_MM,
    PER_MM,
    PICKUP_MM,
    RIM_FOOT_MM,
    STACK,
    at,
    pole_height_mm,
)


def test_the_packers_that_the_rule_chooses_bring_both_middles_level():
    assert STACK.stack_mm == (0.8, 0.5)
    assert pole_height_mm(sum(STACK.stack_mm)) == pytest.approx(MAGNET_MM)


def test_the_pickup_is_drawn_as_much_too_low_as_it_measures():
    too_low = at(0, PICKUP_MM)[1] - at(0, MAGNET_MM)[1]
    assert too_low == pytest.approx(1.3 * PER_MM)


def test_the_two_measured_parts_make_the_magnets_height():
    assert RIM_FOOT_MM + 9 == MAGNET_MM
