from __future__ import annotations

from datetime import timedelta

import pytest

from garage.core.mail.mail_tries import MOST_TRIES, wait_after


@pytest.mark.parametrize(
    ("tries", "minutes"), [(1, 1), (2, 5), (3, 15), (4, 60), (5, 180), (6, 360), (7, 720), (8, 720), (20, 720)]
)
def test_each_wait_is_longer_up_to_twelve_hours(tries: int, minutes: int) -> None:
    assert wait_after(tries) == timedelta(minutes=minutes)


def test_all_tries_together_take_about_a_day() -> None:
    waited = sum((wait_after(tries) for tries in range(1, MOST_TRIES)), timedelta())
    assert timedelta(hours=20) < waited < timedelta(hours=28)
