"""What labour is charged, in tenths of an hour. The rules are the garage's own."""

from decimal import Decimal

import pytest

from garage.core.charged_time import chargeable_minutes, hours
from garage.core.errors import BadInput


@pytest.mark.parametrize(("worked", "charged"), [(0, 0), (5, 0), (6, 6), (11, 6), (50, 48), (60, 60)])
def test_a_partial_tenth_of_an_hour_is_not_charged(worked, charged):
    assert chargeable_minutes(worked) == charged


@pytest.mark.parametrize(
    ("worked", "down", "nearest", "up"),
    [(0, 0, 0, 0), (1, 0, 0, 6), (3, 0, 0, 6), (4, 0, 6, 6), (6, 6, 6, 6), (9, 6, 6, 12), (10, 6, 12, 12)],
)
def test_a_shop_rounds_tenths_down_up_or_to_the_nearest_with_half_of_one_in_the_owners_favour(
    worked: int, down: int, nearest: int, up: int
) -> None:
    charged = [chargeable_minutes(worked, rounding=rounding) for rounding in ("down", "nearest", "up")]
    assert charged == [down, nearest, up]


@pytest.mark.parametrize(("worked", "charged"), [(1, 0), (2, 3), (4, 3), (5, 6)])
def test_a_step_of_three_minutes_has_no_half(worked: int, charged: int) -> None:
    assert chargeable_minutes(worked, step=3, rounding="nearest") == charged


@pytest.mark.parametrize(("minutes", "said"), [(0, "0.00"), (3, "0.05"), (48, "0.80"), (135, "2.25")])
def test_hours_have_two_exact_decimals(minutes, said):
    assert str(hours(minutes)) == said
    assert hours(minutes) * 60 == Decimal(minutes)


@pytest.mark.parametrize("step", [3, 6, 12, 15, 30, 60])
def test_a_shop_may_charge_in_steps_that_give_hours_of_two_decimals(step):
    assert chargeable_minutes(2 * step - 1, step) == step
    assert hours(step) * 60 == step


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda: chargeable_minutes(10, step=7), "step is 7; allowed is 3, 6, 12, 15, 30 or 60 minutes."),
        (
            lambda: chargeable_minutes(10, rounding="sideways"),
            "rounding is 'sideways'; allowed is down, nearest or up.",
        ),
        (lambda: chargeable_minutes(-1), "minutes is -1; allowed is 0 or more."),
        (lambda: hours(10), "minutes is 10; allowed is a multiple of 3: hours then have two decimals."),
    ],
)
def test_bad_input_is_refused_in_words(make, said):
    with pytest.raises(BadInput) as refused:
        make()
    assert str(refused.value) == said
