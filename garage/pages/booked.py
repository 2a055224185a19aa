"""The thank-you page right after booking."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from garage.models.visits import Visit
from garage.output.addresses import sheet_address, visit_address
from garage.reads import links
from garage.reads.access import visits_with_names
from garage.reads.arrival import arrive_at

THANKS_SHOWN = timedelta(days=1)


@dataclass(frozen=True)
class BookedPage:
    """Its links work as well as those in the mail. token: of the visit."""

    visit: Visit
    arrive_at: datetime | None
    sheet_url: str
    visit_url: str
    token: str


def booked_page(number: int | None, *, now: datetime) -> BookedPage | None:
    """number: from the session of the browser that booked. The page expires after a day, since browsers are shared."""
    since = now - THANKS_SHOWN
    visit = visits_with_names().filter(number=number, booked_at__gt=since).first() if number else None
    if visit is None:
        return None
    sheet_url = sheet_address(links.token(visit, links.SHEET))
    token = links.token(visit, links.VISIT)
    return BookedPage(visit, arrive_at(visit), sheet_url, visit_address(token), token)
