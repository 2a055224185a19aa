"""Periods of the book."""

from datetime import date

import pytest

from jobs.core.periods import periods


@pytest.mark.parametrize(
    ("day", "words", "first", "last"),
    [
        (date(2028, 2, 29), "today", date(2028, 2, 29), date(2028, 2, 29)),
        (date(2028, 2, 29), "this month", date(2028, 2, 1), date(2028, 2, 29)),
        (date(2027, 1, 31), "last month", date(2026, 12, 1), date(2026, 12, 31)),
        (date(2027, 11, 30), "this quarter", date(2027, 10, 1), date(2027, 12, 31)),
        (date(2027, 3, 31), "this quarter", date(2027, 1, 1), date(2027, 3, 31)),
        (date(2027, 9, 1), "this quarter", date(2027, 7, 1), date(2027, 9, 30)),
        (date(2027, 4, 1), "this quarter", date(2027, 4, 1), date(2027, 6, 30)),
        (date(2027, 6, 30), "this year", date(2027, 1, 1), date(2027, 12, 31)),
    ],
)
def test_a_period_holds_its_first_and_last_day(day, words, first, last):
    assert {name: (begins, ends) for name, begins, ends in periods(day)}[words] == (first, last)


def test_the_periods_stand_from_the_shortest_to_the_longest():
    names = ["today", "this month", "last month", "this quarter", "this year"]
    assert [name for name, _, _ in periods(date(2027, 3, 31))] == names
