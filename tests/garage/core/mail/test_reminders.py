"""What is due when: every rule on both sides of its limit, across nights, changes of the clock and changes of mind."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from garage.core import states
from garage.core.mail.reminders import (
    BEGUN,
    DAY_BEFORE,
    FINISHED,
    INVOICE_DUE,
    INVOICE_LATE,
    SHEET_EARLY,
    SHEET_LATE,
    STILL_HERE,
    Remindable,
    ReminderRules,
    due_reminders,
)
from garage.core.time.local_time import LocalTime
from garage.core.time.quiet_hours import QuietHours

LONDON = LocalTime.named("Europe/London")
RULES = ReminderRules(LONDON, QuietHours(20 * 60, 8 * 60), invoice_due_days=14)
ANY_HOUR = replace(RULES, quiet=QuietHours(0, 0))
TEN = datetime(2026, 1, 15, 10, tzinfo=UTC)  # a Thursday in winter: the wall clock shows UTC
VISIT = Remindable(states.BOOKED, starts_at=TEN, told_at=TEN - timedelta(days=20))
FILLED = replace(VISIT, sheet=FINISHED)


def at(text):
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


def due(visit, moment, rules=RULES):
    moment = at(moment) if isinstance(moment, str) else moment
    return [reminder.what for reminder in due_reminders(visit, now=moment, rules=rules)]


def span(visit, what, rules=RULES, *, around=TEN):
    """First and last five minutes in which it is due, in UTC, looked for as the sweep looks."""
    moments = [around - timedelta(days=5) + timedelta(minutes=5 * n) for n in range(12 * 24 * 17)]
    found = [moment for moment in moments if what in due(visit, moment, rules)]
    return (f"{found[0]:%d %H:%M}", f"{found[-1]:%d %H:%M}") if found else None


def test_the_sheet_is_asked_for_72_and_36_hours_before_while_the_time_can_be_sold_again():
    assert span(VISIT, SHEET_EARLY, ANY_HOUR) == ("12 10:00", "13 21:55")
    assert span(VISIT, SHEET_LATE, ANY_HOUR) == ("13 22:00", "14 09:55")


def test_what_would_fall_into_the_night_goes_out_in_the_hour_before_it():
    assert span(VISIT, SHEET_LATE) == ("13 19:00", "14 09:55")
    assert due(VISIT, "2026-01-13T20:00") == due(VISIT, "2026-01-14T07:59") == []
    assert due(VISIT, "2026-01-14T08:00") == [SHEET_LATE]


def test_never_two_about_the_sheet_at_once():
    for n in range(12 * 24 * 4):
        found = due(VISIT, TEN - timedelta(days=4) + timedelta(minutes=5 * n))
        assert not {SHEET_EARLY, SHEET_LATE} <= set(found)


def test_the_visit_is_told_from_noon_of_the_day_before_until_the_night():
    assert span(FILLED, DAY_BEFORE) == ("14 12:00", "14 19:55")
    assert span(FILLED, DAY_BEFORE, ANY_HOUR) == ("14 12:00", "14 23:55")


@pytest.mark.parametrize(
    ("starts_at", "noon"),
    [
        ("2026-03-30T09:00", "2026-03-29T11:00"),  # the day the clocks go forward: noon is 11:00 UTC
        ("2026-03-29T09:00", "2026-03-28T12:00"),  # the day before that
        ("2026-10-26T10:00", "2026-10-25T12:00"),  # the day they go back
        ("2026-10-25T10:00", "2026-10-24T11:00"),
    ],
)
def test_noon_is_noon_on_the_wall_clock_when_the_clocks_change(starts_at, noon):
    visit = replace(FILLED, starts_at=at(starts_at), told_at=None)
    assert due(visit, at(noon) - timedelta(minutes=1)) == []
    assert due(visit, noon) == [DAY_BEFORE]


def test_hours_before_a_time_are_counted_as_they_pass_when_the_clocks_change():
    visit = replace(VISIT, starts_at=at("2026-03-30T11:00"), told_at=None)  # noon on the wall, 72 h is 11:00 on it
    assert due(visit, "2026-03-27T10:59") == []
    assert due(visit, "2026-03-27T11:00") == [SHEET_EARLY]


def test_a_begun_sheet_is_asked_for_and_a_finished_one_is_not():
    assert due(replace(VISIT, sheet=BEGUN), "2026-01-12T10:00") == [SHEET_EARLY]
    assert due(FILLED, "2026-01-12T10:00") == []


def test_a_sheet_finished_in_between_is_not_asked_for_again():
    reminded = frozenset({(SHEET_EARLY, date(2026, 1, 15))})
    assert due(replace(VISIT, reminded=reminded), "2026-01-13T19:00") == [SHEET_LATE]
    assert due(replace(FILLED, reminded=reminded), "2026-01-13T19:00") == []


@pytest.mark.parametrize("route", ["fix-first", "do-not-run"])
def test_no_sheet_is_asked_for_when_the_bench_is_known_to_come_first(route):
    assert due(replace(VISIT, route=route), "2026-01-12T10:00") == []
    assert due(replace(VISIT, route=route), "2026-01-14T12:00") == [DAY_BEFORE]


@pytest.mark.parametrize("state", sorted(set(states.WORDS) - states.COMING))
def test_nothing_before_a_visit_whose_machine_is_here_or_which_is_over(state):
    for moment in ("2026-01-12T10:00", "2026-01-13T19:00", "2026-01-14T12:00"):
        assert due(replace(VISIT, state=state), moment) == []


def test_nothing_before_a_visit_without_a_time():
    assert due(replace(VISIT, starts_at=None, state=states.TO_PUT_RIGHT), "2026-01-14T12:00") == []


def test_whoever_booked_late_is_not_told_the_same_at_once():
    booked_at = TEN - timedelta(hours=73)
    assert span(replace(VISIT, told_at=booked_at), SHEET_EARLY) is None
    assert span(replace(VISIT, told_at=booked_at), SHEET_LATE) == ("13 19:00", "14 09:55")
    yesterday = replace(VISIT, told_at=at("2026-01-14T09:00"))
    assert span(yesterday, SHEET_LATE) is span(yesterday, DAY_BEFORE) is None
    assert due(replace(FILLED, told_at=at("2026-01-14T00:00")), "2026-01-14T12:00") == [DAY_BEFORE]
    assert due(replace(FILLED, told_at=at("2026-01-14T00:01")), "2026-01-14T12:00") == []


def test_each_goes_out_once_for_its_day():
    told = replace(FILLED, reminded=frozenset({(DAY_BEFORE, date(2026, 1, 15))}))
    assert due(told, "2026-01-14T12:05") == []


def test_moved_within_the_day_nothing_is_repeated_and_moved_to_another_day_it_is():
    told = replace(FILLED, reminded=frozenset({(DAY_BEFORE, date(2026, 1, 15))}))
    assert due(replace(told, starts_at=TEN + timedelta(hours=4)), "2026-01-14T13:00") == []
    moved = replace(told, starts_at=TEN + timedelta(days=5), told_at=at("2026-01-14T13:00"))
    assert due(moved, "2026-01-19T12:00") == [DAY_BEFORE]


def test_two_about_the_sheet_are_a_day_apart_also_when_the_visit_was_moved_in_between():
    moved = replace(VISIT, starts_at=TEN + timedelta(days=1), sheet_reminded_at=at("2026-01-12T19:00"))
    assert due(moved, "2026-01-13T10:00") == []
    assert due(moved, "2026-01-13T19:00") == [SHEET_EARLY]


def test_the_agreed_day_is_the_local_one():
    visit = replace(FILLED, starts_at=at("2026-06-30T23:30"), told_at=None)  # 1 July, 00:30 on the wall
    [reminder] = due_reminders(visit, now=at("2026-06-30T11:00"), rules=RULES)
    assert reminder.about == date(2026, 7, 1)


def test_a_machine_left_standing_is_reminded_of_once_for_a_week():
    ready = Remindable(states.READY, ready_at=at("2026-01-12T10:00"))
    assert span(ready, STILL_HERE) == ("15 10:00", "22 09:55")
    assert due(replace(ready, reminded=frozenset({(STILL_HERE, date(2026, 1, 12))})), "2026-01-15T10:00") == []
    assert due(replace(ready, state=states.COLLECTED), "2026-01-15T10:00") == []


def test_an_invoice_is_reminded_of_when_it_is_due_for_a_week():
    owing = Remindable(states.COLLECTED, unpaid_since=date(2026, 1, 1))
    assert span(owing, INVOICE_DUE) == ("15 12:00", "22 11:55")
    assert due(replace(owing, unpaid_since=None), "2026-01-15T12:00") == []
    sooner = replace(RULES, invoice_due_days=12)
    assert due(owing, "2026-01-13T12:00", sooner) == [INVOICE_DUE]


def test_a_business_is_reminded_once_it_is_late_the_day_after_for_a_week():
    owing = Remindable(states.COLLECTED, unpaid_since=date(2026, 1, 1), is_business=True)
    assert span(owing, INVOICE_LATE) == ("16 12:00", "23 11:55")
    assert due(owing, "2026-01-15T12:00") == []


@pytest.mark.parametrize("hour", range(24))
def test_nothing_at_all_goes_out_at_night(hour):
    visit = replace(VISIT, unpaid_since=date(2026, 1, 1))
    for day in range(11, 22):
        moment = datetime(2026, 1, day, hour, 30, tzinfo=UTC)
        if hour >= 20 or hour < 8:
            assert due(visit, moment) == []


def test_a_night_over_noon_sends_it_before():
    owls = replace(RULES, quiet=QuietHours(9 * 60, 18 * 60))
    assert span(FILLED, DAY_BEFORE, owls) == ("14 08:00", "14 23:55")
