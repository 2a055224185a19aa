"""When something was tapped on a phone that had no signal: by the phone's own clock, within bounds."""

from __future__ import annotations

from datetime import datetime, timedelta

from garage.core.errors import Refused

CLOCKS_DIFFER = timedelta(minutes=1)  # between a phone and the garage's computer; both ask a time server. Own choice
OLDEST = timedelta(days=1)  # after a night nobody knows any more what was meant. Own choice


def time_of_tap(tapped_at: datetime, *, opened_at: datetime | None, now: datetime) -> datetime:
    """When it counts from: never after now. Aware datetimes. opened_at: the card's, None of one not opened yet.

    Raises Refused.
    """
    if tapped_at - now > CLOCKS_DIFFER:
        raise Refused("By the phone's clock this is still to come: put the phone's clock right, then write it anew.")
    if now - tapped_at > OLDEST:
        raise Refused("This was tapped more than a day ago: write it anew, with the day in words.")
    if opened_at and tapped_at < opened_at:
        raise Refused("By the phone's clock this was before the card was opened: write it anew.")
    return min(tapped_at, now)
