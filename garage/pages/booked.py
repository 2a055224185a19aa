"""The thank-you page right after booking."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from garage.core import states
from garage.models.unconfirmed import Unconfirmed
from garage.models.visits import Visit
from garage.output.addresses import sheet_address, visit_address
from garage.pages.standby import suits_words
from garage.reads import links
from garage.reads.access import visits_with_names
from garage.reads.arrival import arrive_at
from garage.reads.online_bookings import unconfirmed_of
from garage.reads.standby import stands_by

THANKS_SHOWN = timedelta(days=1)


@dataclass(frozen=True)
class BookedPage:
    """Its links work as well as those in the mail, once it stands. held: until somebody confirms it; None then.
    token: of the visit. sooner: what suits its owner, who asked for an
    earlier time; empty if not.
    """

    visit: Visit
    held: Unconfirmed | None
    arrive_at: datetime | None
    sheet_url: str
    visit_url: str
    token: str
    sooner: str


def booked_page(number: int | None, *, now: datetime) -> BookedPage | None:
    """number: from the session of the browser that booked. The page expires after a day, since browsers are shared."""
    since = now - THANKS_SHOWN
    rows = visits_with_names().filter(booked_at__gt=since)
    visit = rows.filter(number=number).first() if number else None
    if visit is None:
        return None
    sheet_url = sheet_address(links.token(visit, links.SHEET))
    token = links.token(visit, links.VISIT)
    row = stands_by(visit)
    sooner = suits_words(row.notice_hours, [int(day) for day in row.weekdays]) if row else ""
    held = unconfirmed_of(visit) if visit.state in states.UNPROVEN else None
    return BookedPage(visit, held, arrive_at(visit), sheet_url, visit_address(token), token, sooner)
