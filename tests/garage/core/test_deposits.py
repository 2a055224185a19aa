from datetime import UTC, date, datetime, timedelta

import pytest

from garage.core import states
from garage.core.deposits import BACK, DECIDE, deposit_due_on, deposit_when_over, frees_its_time_on

NOW = datetime(2026, 3, 4, 10, tzinfo=UTC)
TODAY = date(2026, 3, 4)


@pytest.mark.parametrize(
    ("asked_for", "starts_on", "due_on"),
    [
        (9, 30, 9),  # by the shop's rule
        (9, 9, 8),  # never later than the day before the visit
        (9, 6, 5),
        (9, 5, 4),  # booked for tomorrow: today
        (9, 4, 4),  # booked for today: never a day gone by
        (1, 30, 4),  # agreed before, and moved after that day had passed
    ],
)
def test_a_deposit_is_due_before_its_visit_and_never_in_the_past(asked_for, starts_on, due_on):
    march = [date(2026, 3, day) for day in (asked_for, starts_on, due_on)]
    assert deposit_due_on(march[0], starts_on=march[1], today=TODAY) == march[2]


def test_a_time_is_free_again_after_the_days_of_the_rule_and_never_without_one():
    assert frees_its_time_on(date(2026, 2, 27), 1) == date(2026, 3, 1)
    assert frees_its_time_on(date(2026, 2, 27), None) is None
    assert frees_its_time_on(None, 1) is None


@pytest.mark.parametrize(
    ("state", "owner_asked", "hours_before", "then"),
    [
        (states.CALLED_OFF, False, 1, BACK),  # the workshop's own calling-off, however late
        (states.CALLED_OFF, True, 24, BACK),
        (states.CALLED_OFF, True, 23.99, DECIDE),
        (states.CALLED_OFF, True, -1, DECIDE),
        (states.CALLED_OFF, True, None, BACK),  # no time agreed: nothing was lost
        (states.CALLED_OFF, False, None, BACK),
        (states.DID_NOT_COME, False, -3, DECIDE),
    ],
)
def test_what_becomes_of_a_deposit_depends_on_whose_wish_it_was_and_how_late(state, owner_asked, hours_before, then):
    starts_at = None if hours_before is None else NOW + timedelta(hours=hours_before)
    assert deposit_when_over(state, owner_asked=owner_asked, starts_at=starts_at, late_hours=24, now=NOW) == then


def test_late_is_what_the_shop_says():
    def then(late_hours):
        start = NOW + timedelta(hours=30)
        return deposit_when_over(states.CALLED_OFF, owner_asked=True, starts_at=start, late_hours=late_hours, now=NOW)

    assert (then(24), then(30), then(31)) == (BACK, BACK, DECIDE)
