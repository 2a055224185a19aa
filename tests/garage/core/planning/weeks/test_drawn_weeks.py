"""Weeks drawn by chance: the shares and spreads that the figures say, and the same from the same seed."""

from __future__ import annotations

import numpy as np
import pytest

from garage.core.planning.weeks.drawn_weeks import Workshop, drawn_week, lognormal_minutes

WEEKS = range(12)


def machines(**changed: object):
    shop = Workshop(booked=0, **changed)  # nothing is sold: drawn in a moment
    return [one for week in WEEKS for day in drawn_week(shop, 3, week) for one in day.machines]


def test_the_same_seed_draws_the_same_week_and_another_seed_week_or_day_another():
    shop = Workshop()
    week = drawn_week(shop, 1, 0)
    assert drawn_week(shop, 1, 0) == week
    assert drawn_week(shop, 1, 1) != week
    assert drawn_week(shop, 2, 0) != week
    assert len({day.machines for day in week}) == 5


@pytest.mark.parametrize(("mean", "spread"), [(95, 0.25), (50, 0.45)])
def test_minutes_have_the_mean_and_the_spread_that_was_asked_for(mean, spread):
    chance = np.random.default_rng(7)
    drawn = [lognormal_minutes(chance, mean, spread) for _ in range(20_000)]
    assert np.mean(drawn) == pytest.approx(mean, rel=0.01)
    assert np.std(drawn) / np.mean(drawn) == pytest.approx(spread, rel=0.03)
    assert min(drawn) >= 1


def test_one_machine_in_three_is_not_ready_and_the_surer_ones_are_more_often_ready():
    """Of machines said to be ready with a chance of 0.9 or so, about nine in ten are."""
    drawn = machines(work=20)
    ready = np.array([one.ready for one in drawn])
    truth = np.array([one.is_ready for one in drawn])
    assert len(drawn) > 3000
    assert ready.mean() == pytest.approx(2 / 3, abs=0.02)
    assert truth.mean() == pytest.approx(2 / 3, abs=0.03)
    for low in (0.2, 0.5, 0.8):
        those = (ready >= low) & (ready < low + 0.2)
        assert truth[those].mean() == pytest.approx(ready[those].mean(), abs=0.05)


@pytest.mark.parametrize("work", [1.0, 1.33])
def test_a_day_holds_the_work_that_was_asked_for(work):
    capacity = Workshop().capacity_min
    drawn = machines(work=work)
    planned = sum(one.roller_min for one in drawn) / (len(WEEKS) * 5 * capacity)
    assert planned == pytest.approx(work, abs=0.02)


def test_what_is_booked_is_sold_at_the_times_that_the_garage_offers_and_what_is_in_doubt_comes_sooner():
    shop = Workshop()
    booked = [one for week in range(3) for day in drawn_week(shop, 4, week) for one in day.machines if one.promised]
    assert {one.promised % 15 for one in booked} == {0}
    early = [one for one in booked if one.promised - one.here_from == 80]
    late = [one for one in booked if one.promised - one.here_from == 30]
    assert early
    assert late
    assert max(one.ready for one in early) < 0.8 <= min(one.ready for one in late if one.here_from > shop.opens)
    assert sum(one.roller_min for one in booked) / (15 * shop.capacity_min) == pytest.approx(0.7, abs=0.1)
