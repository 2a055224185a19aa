from datetime import UTC, datetime, timedelta

import pytest

from garage.core.errors import Refused
from jobs.core.tapped import CLOCKS_DIFFER, OLDEST, time_of_tap

NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
SECOND = timedelta(seconds=1)


@pytest.mark.parametrize("ago", [timedelta(), timedelta(minutes=20), OLDEST])
def test_a_tap_counts_from_the_time_on_the_phone(ago):
    assert time_of_tap(NOW - ago, opened_at=None, now=NOW) == NOW - ago


def test_a_phone_that_is_a_little_ahead_counts_from_now():
    assert time_of_tap(NOW + CLOCKS_DIFFER, opened_at=None, now=NOW) == NOW


def test_a_tap_at_the_moment_the_card_was_opened_counts():
    assert time_of_tap(NOW - SECOND, opened_at=NOW - SECOND, now=NOW) == NOW - SECOND


@pytest.mark.parametrize(
    ("tapped_at", "says"),
    [
        (NOW + CLOCKS_DIFFER + SECOND, "still to come: put the phone's clock right"),
        (NOW - OLDEST - SECOND, "more than a day ago"),
        (NOW - timedelta(hours=2), "before the card was opened"),
        (datetime.max.replace(tzinfo=UTC), "still to come"),
        (datetime.min.replace(tzinfo=UTC), "more than a day ago"),
    ],
)
def test_a_time_that_cannot_be_is_refused_in_a_sentence(tapped_at, says):
    with pytest.raises(Refused, match=says):
        time_of_tap(tapped_at, opened_at=NOW - timedelta(hours=1), now=NOW)
