"""The shop's local time: what day it is there, and which instants a local day holds."""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.utils import timezone

from garage.core.time import clock
from garage.reads.shop import shop_or_none


def zone() -> ZoneInfo:
    shop = shop_or_none()
    return clock.zone(shop.zone if shop else "UTC")


def today() -> date:
    return clock.local_day(timezone.now(), zone())


def instant_of(local: datetime) -> datetime:
    """UTC of a naive local time; BadInput for one that the spring change leaves out."""
    return clock.to_utc(local, zone())


def in_words(at: datetime) -> str:
    """As the trail and refusals say a time."""
    return clock.in_words(at, zone())


def day_bounds(day: date) -> tuple[datetime, datetime]:
    """First instant of the local day and of the next one, UTC: 23, 24 or 25 hours apart."""
    return clock.day_bounds(day, zone())
