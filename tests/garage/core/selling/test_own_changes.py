"""Until when an owner moves or calls off without a word."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from garage.core import states
from garage.core.errors import Refused
from garage.core.selling.own_changes import check_owner_may_call_off, check_owner_may_move

NOW = datetime(2026, 11, 25, 10, tzinfo=UTC)


@pytest.mark.parametrize("state", sorted(states.COMING))
def test_a_coming_visit_is_moved_until_a_day_before(state):
    check_owner_may_move(state, NOW + timedelta(hours=24), NOW, "01632 960100")
    with pytest.raises(Refused, match="less than a day away: ring 01632 960100"):
        check_owner_may_move(state, NOW + timedelta(hours=24, seconds=-1), NOW, "01632 960100")


@pytest.mark.parametrize("state", sorted(states.COMING))
def test_a_coming_visit_is_called_off_at_any_time(state):
    check_owner_may_call_off(state, "01632 960100")


@pytest.mark.parametrize("state", sorted(states.IN_THE_BUILDING | states.OVER))
def test_a_visit_here_or_over_is_discussed_by_telephone(state):
    with pytest.raises(Refused, match="Ring 01632 960100"):
        check_owner_may_call_off(state, "01632 960100")
    with pytest.raises(Refused, match="Ring 01632 960100"):
        check_owner_may_move(state, NOW + timedelta(days=9), NOW, "01632 960100")


def test_a_visit_without_a_time_has_none_to_move():
    with pytest.raises(Refused, match="no time to move"):
        check_owner_may_move(states.TO_PUT_RIGHT, None, NOW, "01632 960100")
