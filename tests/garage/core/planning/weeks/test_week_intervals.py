"""Intervals over weeks, and what counts as a promise kept."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from garage.core.planning.weeks.day_run import DayRun, RollerStay
from garage.core.planning.weeks.week_intervals import (
    WeeklyInterval,
    kept_difference,
    kept_share,
    mean_interval,
    pounds_a_day,
    ratio_interval,
    useful_a_day,
    useful_ratio,
)
from garage.core.planning.weeks.week_measures import WeekFigures, week_figures
from tests.garage.core.planning.weeks.days_by_hand import a_day, machine


def week(**changed: int) -> WeekFigures:
    values = dict.fromkeys(("useful_min", "lost_min", "after_closing_min", "worth_pence", "promises", "kept"), 0)
    return WeekFigures(**values | changed)


def test_the_interval_of_a_mean_is_students():
    """Source: scipy.stats.t.interval."""
    values = np.random.default_rng(1).normal(300, 40, 9)
    found = mean_interval(list(values))
    low, high = stats.t.interval(0.95, 8, loc=values.mean(), scale=stats.sem(values))
    assert (found.low, found.high) == pytest.approx((low, high))


def test_the_interval_of_a_ratio_covers_the_true_ratio_about_95_times_in_100():
    chance, hit = np.random.default_rng(2), 0
    for _ in range(400):
        below = chance.poisson(18, 30)
        above = chance.binomial(below, 0.9)
        found = ratio_interval(list(above), list(below))
        hit += found.low <= 0.9 <= found.high
    assert 360 <= hit <= 396


def test_one_week_has_no_interval_and_no_promise_no_share():
    assert useful_a_day([week(useful_min=500)]).value == 100
    assert math.isnan(useful_a_day([week(useful_min=500)]).half)
    assert math.isnan(kept_share([week(), week()]).value)


def test_differences_are_taken_week_by_week():
    """Both vary widely from week to week, and always by the same."""
    theirs = [week(useful_min=many, promises=10, kept=kept) for many, kept in ((1000, 4), (2000, 9), (1500, 6))]
    ours = [week(useful_min=2 * one.useful_min, promises=10, kept=one.kept + 1) for one in theirs]
    assert useful_ratio(ours, theirs) == WeeklyInterval(2.0, 0.0)
    assert (kept_difference(ours, theirs).value, kept_difference(ours, theirs).half) == pytest.approx((0.1, 0.0))


def test_money_is_in_pounds_a_day():
    assert pounds_a_day([week(worth_pence=50_000), week(worth_pence=70_000)]).value == 120


@pytest.mark.parametrize(("begin", "kept"), [(539, 0), (540, 1), (555, 1), (556, 0)])
def test_a_promise_is_kept_from_its_minute_to_fifteen_after(begin, kept):
    run = DayRun(a_day(machine("1", 540), machine("2")), (RollerStay("1", 1, begin, begin + 60),))
    assert (week_figures([run]).kept, week_figures([run]).promises) == (kept, 1)


def test_a_promise_to_a_machine_that_was_not_ready_or_did_not_come_is_not_counted():
    bad, away = machine("1", 540, is_ready=False), machine("2", 660, comes=False)
    lost = DayRun(a_day(bad, away), (RollerStay("1", 1, 540, 555, is_lost=True),))
    found = week_figures([lost, lost])
    assert (found.promises, found.kept, found.lost_min, found.worth_pence) == (0, 0, 30, 0)
