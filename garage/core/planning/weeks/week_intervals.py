"""What a practice made of the drawn weeks: minutes and money a day, promises kept, each with its 95 % interval.

A week is the unit: its days are added up, and the interval is that of a mean over weeks (Student's t). A share is a
ratio of two sums over weeks, with the usual linearised interval (Cochran, Sampling Techniques, 1977, section 6.4; from
memory). Differences are taken week by week, since every practice met the same weeks.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from scipy.special import stdtrit

from garage.core.planning.weeks.drawn_weeks import DAYS_A_WEEK
from garage.core.planning.weeks.week_measures import WeekFigures

PENCE = 100
UPPER_TAIL = 0.975  # of Student's t, for an interval of 95 %


@dataclass(frozen=True, slots=True)
class WeeklyInterval:
    """A figure and half the width of its 95 % interval, NaN with fewer than two weeks."""

    value: float
    half: float

    @property
    def low(self) -> float:
        return self.value - self.half

    @property
    def high(self) -> float:
        return self.value + self.half


def useful_a_day(weeks: Sequence[WeekFigures]) -> WeeklyInterval:
    return mean_interval([week.useful_min / DAYS_A_WEEK for week in weeks])


def lost_a_day(weeks: Sequence[WeekFigures]) -> WeeklyInterval:
    return mean_interval([week.lost_min / DAYS_A_WEEK for week in weeks])


def after_closing_a_day(weeks: Sequence[WeekFigures]) -> WeeklyInterval:
    return mean_interval([week.after_closing_min / DAYS_A_WEEK for week in weeks])


def pounds_a_day(weeks: Sequence[WeekFigures]) -> WeeklyInterval:
    return mean_interval([week.worth_pence / PENCE / DAYS_A_WEEK for week in weeks])


def kept_share(weeks: Sequence[WeekFigures]) -> WeeklyInterval:
    return ratio_interval([week.kept for week in weeks], [week.promises for week in weeks])


def kept_difference(ours: Sequence[WeekFigures], theirs: Sequence[WeekFigures]) -> WeeklyInterval:
    """The share of promises kept more by ours; both met the same promises."""
    more = [one.kept - other.kept for one, other in zip(ours, theirs, strict=True)]
    return ratio_interval(more, [week.promises for week in ours])


def useful_ratio(ours: Sequence[WeekFigures], theirs: Sequence[WeekFigures]) -> WeeklyInterval:
    return ratio_interval([week.useful_min for week in ours], [week.useful_min for week in theirs])


def mean_interval(values: Sequence[float]) -> WeeklyInterval:
    """The mean of some weeks' values.

    >>> found = mean_interval([1.0, 2.0, 3.0])
    >>> found.value, round(found.half, 3)
    (2.0, 2.484)
    """
    return ratio_interval(values, [1.0] * len(values))


def ratio_interval(above: Sequence[float], below: Sequence[float]) -> WeeklyInterval:
    """The ratio of two sums over the same weeks. NaN if there is nothing below.

    >>> found = ratio_interval([1, 3], [2, 4])
    >>> round(found.value, 3), round(found.half, 3)
    (0.667, 1.412)
    """
    weeks, total = len(above), sum(below)
    if not total:
        return WeeklyInterval(math.nan, math.nan)
    value = sum(above) / total
    if weeks < 2:
        return WeeklyInterval(value, math.nan)
    squares = sum((one - value * other) ** 2 for one, other in zip(above, below, strict=True))
    error = math.sqrt(squares / (weeks - 1) / weeks) / (total / weeks)
    return WeeklyInterval(value, float(stdtrit(weeks - 1, UPPER_TAIL)) * error)
