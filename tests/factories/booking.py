"""Drafts and holds as an owner's pages make them; a clock that tests set."""

from __future__ import annotations

import uuid
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.utils import timezone
from icalendar import Calendar

from garage.changes.day import holds
from garage.changes.visit import bookings
from garage.core import routes, states
from garage.core.selling.draft import Draft
from garage.core.selling.owner_choice import WITH_US
from garage.models.messages import Message
from garage.models.shop import VisitKind
from garage.models.visits import Hold, Visit
from garage.reads.opening import open_days
from garage.reads.shop import the_shop
from tests.factories import garage

LONDON = garage.LONDON


def at_local(day: date, hour: int, minute: int = 0) -> datetime:
    return datetime.combine(day, time(hour, minute), LONDON).astimezone(ZoneInfo("UTC"))


def workday(ahead: int = 2) -> date:
    """An open day some days ahead: the first Monday to Friday that is no bank holiday."""
    return _open_from(garage.next_workday_at(12, ahead=ahead).date())[0]


def open_day(nth: int) -> date:
    """The nth open day, counted from 1, of those at least two days ahead."""
    return _open_from(garage.next_workday_at(12).date())[nth - 1]


def open_day_after(start: datetime, nth: int = 1) -> datetime:
    """The same hour by the clock of the garage on the nth open day after that one."""
    local = start.astimezone(LONDON)
    return at_local(_open_from(local.date() + timedelta(days=1))[nth - 1], local.hour, local.minute)


def _open_from(first: date) -> list[date]:
    last = first + timedelta(days=21)
    return list(open_days(the_shop(), first, last).days(first, last))


def draft(kind: VisitKind, starts_at: datetime, **given: object) -> Draft:
    values = {
        "key": uuid.uuid4(),
        "kind_slug": kind.slug,
        "starts_at": starts_at,
        "name": "Robin Ashworth",
        "email": "robin@example.org",
        "telephone": "07700 900321",
        "machine_words": "Corrick 185",
        "wants": "Set up for the new pipe.",
    }
    return Draft(**values | given)


def hold(kind: VisitKind, starts_at: datetime, browser: str = "browser-1", address_key: str = "here") -> Hold:
    return holds.take(browser=browser, address_key=address_key, kind=kind, starts_at=starts_at, now=timezone.now())


def booked(kind: VisitKind, starts_at: datetime, **given: object) -> Visit:
    return bookings.book_online(
        draft(kind, starts_at, **given), browser="nobody", address_key="here", now=timezone.now()
    )


def arrived(visit: Visit) -> Visit:
    visit.state, visit.arrived_at = states.HERE, timezone.now()
    visit.save()
    return visit


def left_with_us(
    kind: VisitKind,
    starts_at: datetime,
    *,
    now: datetime,
    may_go_on: datetime | None = None,
    passed: bool = True,
    **given: object,
) -> Visit:
    """Here since a day before now, put right, without a time and, if passed, through the gate at the bench."""
    made = booked(kind, starts_at, **given)
    made.pieces.all().delete()
    made.steps.filter(is_check=True).delete()
    made.steps.update(index=0, strap_minutes=5)
    Visit.objects.filter(pk=made.pk).update(
        state=states.HERE,
        choice=WITH_US,
        chosen_at=now - timedelta(days=4),
        arrived_at=now - timedelta(days=1),
        may_go_on_from=may_go_on,
        route=routes.ROLLER_READY if passed else routes.FIX_FIRST,
        gate_at_bench_passed_at=now - timedelta(hours=1) if passed else None,
        at="",
        starts_at=None,
        minutes=0,
    )
    return Visit.objects.get(pk=made.pk)


def diary(message: Message) -> tuple[str, str, int, datetime]:
    """Of the file for the owner's diary: method, UID, SEQUENCE and when it begins."""
    calendar = Calendar.from_ical(bytes(message.enclosures.get().content))
    event = calendar.walk("VEVENT")[0]
    return str(calendar["method"]), str(event["uid"]), int(event["sequence"]), event.decoded("dtstart")
