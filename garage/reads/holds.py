"""What a browser has open."""

from __future__ import annotations

from datetime import datetime

from django.utils import timezone

from garage.models.visits import Hold


def held_until(browser: str, starts_at: datetime) -> datetime | None:
    """Until when this time is held open for the browser; None when it is not, or not any more."""
    hold = Hold.objects.filter(browser=browser, starts_at=starts_at, expires_at__gt=timezone.now()).first()
    return hold.expires_at if hold else None
