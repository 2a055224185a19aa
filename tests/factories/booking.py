"""Drafts and holds as an owner's pages make them; a clock that tests set."""

from __future__ import annotations

import uuid
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from garage.changes import holds, visits
from garage.core.draft import Draft
from garage.models.shop import VisitKind
from garage.models.visits import Hold, Visit
from garage.reads.opening import open_days
from garage.reads.shop import the_shop
from tests.factories import garage

LONDON = ZoneInfo("Europe/London")


def at_local(day: date, hour: int, minute: int = 0) -> datetime:
    return datetime.combine(day, time(hour, minute), LONDON).astimezone(ZoneInfo("UTC"))


def workday(ahead: int = 2) -> date:
    """An open day some days ahead: the first Monday to Friday that is no bank holiday."""
    first = garage.next_workday_at(12, ahead=ahead).date()
    shop = the_shop()
    last = date.fromordinal(first.toordinal() + 14)
    return next(open_days(shop, first, last).days(first, last))


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
    return holds.take(browser=browser, address_key=address_key, kind=kind, starts_at=starts_at)


def booked(kind: VisitKind, starts_at: datetime, **given: object) -> Visit:
    return visits.book(draft(kind, starts_at, **given), browser="nobody")
