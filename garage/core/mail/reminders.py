"""Which reminders are due for a visit now. Each goes out once for the day it is about, in a window, never at night.

A reminder whose moment falls into the night goes out in the hour before that night. If nothing could be sent in that
hour it goes out in the morning, as long as its window is open. Afterwards it is dropped: a late one only confuses.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from garage.core import routes, states
from garage.core.time.local_time import LocalTime
from garage.core.time.quiet_hours import QuietHours

SHEET_EARLY, SHEET_LATE, DAY_BEFORE = "sheet_reminder", "sheet_last_reminder", "visit_reminder"
STILL_HERE, INVOICE_DUE, SERVICE = "collect_reminder", "invoice_reminder", "service_reminder"
INVOICE_LATE = "invoice_late"  # to a business, in place of INVOICE_DUE
ABOUT_THE_SHEET = frozenset({SHEET_EARLY, SHEET_LATE})
BEFORE_THE_VISIT = ABOUT_THE_SHEET | {DAY_BEFORE}  # of no use once its time has begun

NOT_BEGUN, BEGUN, FINISHED = "not-begun", "begun", "finished"  # the check sheet

# How long before the agreed time, common practice, no source: late enough to be remembered, early enough that a time
# which is given back can be sold again.
EARLY, LATE, SOLD_AGAIN = timedelta(hours=72), timedelta(hours=36), timedelta(hours=24)
NOON_MIN = 12 * 60  # of the local day before the visit, and of the day on which an invoice or a service is due
TOLD_JUST_NOW = timedelta(hours=12)  # whoever was written to about the time since then needs no reminder
BETWEEN_TWO = timedelta(hours=24)  # about the sheet, also when the visit was moved in between
LEFT_STANDING = timedelta(hours=72)  # ready, and not collected
LATE_AFTER = timedelta(days=1)  # the day on which it is due: only then is it late
DROPPED_AFTER = timedelta(days=7)  # of what is not before a visit


@dataclass(frozen=True, slots=True)
class Remindable:
    """What the rules need of a visit. `..._at` are aware instants.

    told_at: when its owner was last written to about the time. reminded: each reminder that has gone out, with the
    local day it was about. sheet_reminded_at: the last one about the check sheet. unpaid_since: the local day of issue
    of an invoice with something left to pay. is_business: its owner is one. service_on: the local day to remind of a
    service after the work.
    """

    state: str
    starts_at: datetime | None = None
    told_at: datetime | None = None
    sheet: str = NOT_BEGUN
    route: str = ""
    ready_at: datetime | None = None
    unpaid_since: date | None = None
    is_business: bool = False
    service_on: date | None = None
    reminded: frozenset[tuple[str, date]] = frozenset()
    sheet_reminded_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class ReminderRules:
    """The shop's: its wall clock, its night, and when an invoice is due."""

    local: LocalTime
    quiet: QuietHours
    invoice_due_days: int


@dataclass(frozen=True, slots=True)
class DueReminder:
    """about: the local day that it reminds of. With its name it is what may go out once."""

    what: str
    about: date


@dataclass(frozen=True, slots=True)
class _Window:
    what: str
    about: date
    opens_at: datetime
    closes_at: datetime


def due_reminders(visit: Remindable, *, now: datetime, rules: ReminderRules) -> tuple[DueReminder, ...]:
    """What is to be written to the owner now: nothing at night, nothing twice.

    >>> from datetime import UTC
    >>> rules = ReminderRules(LocalTime(UTC), QuietHours(20 * 60, 8 * 60), invoice_due_days=14)
    >>> visit = Remindable("booked", starts_at=datetime(2026, 3, 12, 10, tzinfo=UTC), sheet=FINISHED)
    >>> [reminder.what for reminder in due_reminders(visit, now=datetime(2026, 3, 11, 12, tzinfo=UTC), rules=rules)]
    ['visit_reminder']
    """
    if rules.quiet.is_quiet(now, rules.local):
        return ()
    return tuple(
        DueReminder(window.what, window.about)
        for window in _windows(visit, rules)
        if window.opens_at <= now < window.closes_at and (window.what, window.about) not in visit.reminded
    )


def _windows(visit: Remindable, rules: ReminderRules) -> Iterator[_Window]:
    if visit.state in states.COMING and visit.starts_at is not None:
        yield from _before_the_visit(visit, visit.starts_at, rules)
    if visit.state == states.READY and visit.ready_at is not None:
        left_at = visit.ready_at + LEFT_STANDING
        yield _kept_open(STILL_HERE, rules.local.day(visit.ready_at), left_at, rules)
    if visit.unpaid_since is not None:
        due_on = visit.unpaid_since + timedelta(days=rules.invoice_due_days)
        what, day = (INVOICE_LATE, due_on + LATE_AFTER) if visit.is_business else (INVOICE_DUE, due_on)
        yield _kept_open(what, visit.unpaid_since, rules.local.at_minute(day, NOON_MIN), rules)
    if visit.service_on is not None:
        yield _kept_open(SERVICE, visit.service_on, rules.local.at_minute(visit.service_on, NOON_MIN), rules)


def _kept_open(what: str, about: date, at: datetime, rules: ReminderRules) -> _Window:
    return _Window(what, about, rules.quiet.not_at_night(at, rules.local), at + DROPPED_AFTER)


def _before_the_visit(visit: Remindable, starts_at: datetime, rules: ReminderRules) -> Iterator[_Window]:
    """None of which its owner was told the time so shortly before that it would say the same again."""
    day = rules.local.day(starts_at)
    noon_before = rules.local.at_minute(day - timedelta(days=1), NOON_MIN)
    early_at, late_at, day_before_at = (
        rules.quiet.not_at_night(at, rules.local) for at in (starts_at - EARLY, starts_at - LATE, noon_before)
    )
    found = [_Window(DAY_BEFORE, day, day_before_at, rules.local.at_minute(day, 0))]
    if _sheet_is_wanted(visit):
        found += [
            _Window(SHEET_EARLY, day, _not_soon_after(visit, early_at), late_at),
            _Window(SHEET_LATE, day, _not_soon_after(visit, late_at), starts_at - SOLD_AGAIN),
        ]
    for window in found:
        if visit.told_at is None or visit.told_at <= window.opens_at - TOLD_JUST_NOW:
            yield window


def _sheet_is_wanted(visit: Remindable) -> bool:
    """Not of a machine of which enough is known to send it to the bench first."""
    return visit.sheet != FINISHED and visit.route not in routes.TO_FIX


def _not_soon_after(visit: Remindable, at: datetime) -> datetime:
    if visit.sheet_reminded_at is None:
        return at
    return max(at, visit.sheet_reminded_at + BETWEEN_TWO)
