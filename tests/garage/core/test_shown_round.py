"""Five stops for each role, each a page that its menu leads to."""

import pytest

from garage.core.menu import BOSS, FRONT_DESK, MECHANIC, menu_of
from garage.core.shown_round import round_of, stands_at

LONGEST = 150  # letters: two lines on a desk, four on a phone


@pytest.mark.parametrize("role", [BOSS, FRONT_DESK, MECHANIC])
def test_it_has_five_stops_that_the_menu_of_that_role_leads_to(role):
    menu, stops = menu_of(role), round_of(role)
    assert len({stop.address for stop in stops}) == 5
    assert {stop.address for stop in stops} <= {place.address for place in (*menu.row, *menu.more)}
    assert max(len(stop.words) for stop in stops) <= LONGEST


@pytest.mark.parametrize("role", [BOSS, FRONT_DESK, MECHANIC])
def test_each_stop_leads_to_the_next_and_the_last_nowhere(role):
    stops = round_of(role)
    here, been = stands_at(stops, stops[0].address), []
    while here:
        been.append(here.number)
        here = here.after and stands_at(stops, here.after.address)
    assert been == [1, 2, 3, 4, 5]


def test_other_pages_are_no_stop():
    assert stands_at(round_of(BOSS), "sent") is None
