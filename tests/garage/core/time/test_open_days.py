"""Open days, against the bank holidays that gov.uk publishes."""

from datetime import UTC, date, datetime, time

import pytest

from garage.core.errors import BadInput
from garage.core.time.local_time import LocalTime
from garage.core.time.open_days import Hours, OpenDays, bank_holidays

WEEK = {weekday: Hours(time(8, 30), time(17)) for weekday in range(5)} | {5: Hours(time(9), time(13))}

ENGLAND_2026 = ["01-01", "04-03", "04-06", "05-04", "05-25", "08-31", "12-25", "12-28"]
ENGLAND_2027 = ["01-01", "03-26", "03-29", "05-03", "05-31", "08-30", "12-27", "12-28"]
SCOTLAND_2026 = ["01-01", "01-02", "04-03", "05-04", "05-25", "06-15", "08-03", "11-30", "12-25", "12-28"]
SCOTLAND_2027 = ["01-01", "01-04", "03-26", "05-03", "05-31", "08-02", "11-30", "12-27", "12-28"]
IRELAND_2026 = sorted([*ENGLAND_2026, "03-17", "07-13"])
IRELAND_2027 = sorted([*ENGLAND_2027, "03-17", "07-12"])


@pytest.mark.parametrize(
    ("part", "year", "published"),
    [
        ("ENG", 2026, ENGLAND_2026),
        ("WLS", 2026, ENGLAND_2026),
        ("ENG", 2027, ENGLAND_2027),
        ("WLS", 2027, ENGLAND_2027),
        ("SCT", 2026, SCOTLAND_2026),
        ("SCT", 2027, SCOTLAND_2027),
        ("NIR", 2026, IRELAND_2026),
        ("NIR", 2027, IRELAND_2027),
    ],
)
def test_bank_holidays_on_weekdays_are_the_published_ones(part, year, published):
    found = [f"{day:%m-%d}" for day in sorted(bank_holidays("GB", part, year, year)) if day.weekday() < 5]
    assert found == published


@pytest.mark.parametrize(
    ("country", "part", "found"),
    [("XX", "", "XX"), ("GB", "XYZ", "GB XYZ"), ("", "", ""), ("gb england", "", "gb england")],
)
def test_an_unknown_country_or_part_is_refused(country, part, found):
    with pytest.raises(BadInput) as refused:
        bank_holidays(country, part, 2026, 2026)
    allowed = "a country and part with known bank holidays, such as GB and ENG"
    assert (refused.value.where, refused.value.found, refused.value.allowed) == ("country", found, allowed)


def test_bank_holidays_of_several_years_hold_the_last_of_them_and_no_further_one():
    # published: New Year's Day is a holiday of each year
    years = {day.year for day in bank_holidays("GB", "ENG", 2026, 2028)}
    assert years == {2026, 2027, 2028}


def test_without_a_part_the_holidays_are_those_of_the_whole_country():
    # published: Good Friday is kept in all parts, the second of January in Scotland only
    found = bank_holidays("GB", "", 2026, 2026)
    assert date(2026, 4, 3) in found
    assert date(2026, 1, 2) not in found


def test_holidays_closed_days_and_days_worked_after_all():
    days = OpenDays(
        WEEK,
        bank_holidays=bank_holidays("GB", "ENG", 2026, 2026),
        closed={date(2026, 8, 27): "at the meeting"},
        open_after_all=frozenset({date(2026, 8, 31)}),
    )
    assert days.why_closed(date(2026, 8, 31)) == ""
    assert days.why_closed(date(2026, 5, 25)) == "bank holiday: Spring Bank Holiday"
    assert days.why_closed(date(2026, 8, 27)) == "at the meeting"
    assert days.why_closed(date(2026, 8, 30)) == "closed on Sundays"
    assert list(days.days(date(2026, 8, 26), date(2026, 9, 1))) == [
        date(2026, 8, 26),
        date(2026, 8, 28),
        date(2026, 8, 29),
        date(2026, 8, 31),
        date(2026, 9, 1),
    ]


def test_a_closed_day_overrides_a_worked_holiday():
    day = date(2026, 8, 31)
    days = OpenDays(WEEK, closed={day: "roller under repair"}, open_after_all=frozenset({day}))
    assert days.why_closed(day) == "roller under repair"


def test_opening_is_local_time_in_summer_and_winter():
    days, london = OpenDays(WEEK), LocalTime.named("Europe/London")
    assert days.opening(date(2026, 7, 1), london) == (
        datetime(2026, 7, 1, 7, 30, tzinfo=UTC),
        datetime(2026, 7, 1, 16, 0, tzinfo=UTC),
    )
    assert days.opening(date(2026, 11, 28), london) == (
        datetime(2026, 11, 28, 9, 0, tzinfo=UTC),
        datetime(2026, 11, 28, 13, 0, tzinfo=UTC),
    )
    assert days.opening(date(2026, 11, 29), london) is None
