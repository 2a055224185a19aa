"""A month of the whole garage at random, from a fixed seed: owners, desk, mechanic and clock over the real pages."""

from __future__ import annotations

import pytest

from garage.core import states
from tests.soak.garage import soaked
from tests.soak.month import PACES, lives

SEED, DAYS = 1, 30
# What such a month is to come through, or it would hold because nothing happened.
REACHED = {
    *(states.HELD, states.LAPSED, states.BOOKED, states.DEPOSIT_AWAITED, states.HERE),
    *(states.ON_THE_BENCH, states.CALLED_OFF),
}


@pytest.mark.long
@pytest.mark.django_db
def test_a_month_at_random_leaves_nothing_wrong():
    with soaked(SEED, PACES["test"]) as garage:
        try:
            lives(garage, DAYS)
        except Exception as error:  # whatever it is, what was done before it belongs to it
            raise AssertionError(garage.told(error)) from error
    assert garage.watch.reached.keys() >= REACHED
    assert sum(garage.did.values()) > 100
