"""What was booked online: what waits to be confirmed, and what the limits count."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta

from django.db.models import QuerySet

from garage.core import states
from garage.core.selling.unconfirmed import why_braked
from garage.models.attempts import Attempt
from garage.models.shop import Shop
from garage.models.unconfirmed import Unconfirmed
from garage.models.visits import Hold, Visit
from garage.reads.opening import open_days

BOOKED_ONLINE = "booked-online"  # an attempt for each
AN_HOUR = timedelta(hours=1)
LOOKED_AHEAD_DAYS = 21  # for open hours: longer than a winter closing and the holidays beside it; common practice


def unconfirmed() -> QuerySet[Unconfirmed]:
    """Those that are held, the first to lapse first."""
    rows = Unconfirmed.objects.filter(visit__state=states.HELD).order_by("until", "id")
    return rows.select_related("visit__owner", "visit__machine", "visit__kind")


def unconfirmed_of(visit: Visit) -> Unconfirmed | None:
    """Of one that is held or has lapsed, with its visit as it is now. None once it stands."""
    return Unconfirmed.objects.select_related("visit").filter(visit=visit).first()


def held_from(address_key: str, *, now: datetime) -> int:
    """Times held from one network: by a browser that is still filling in, or by a visit that waits to be confirmed."""
    browsers = Hold.objects.filter(address_key=address_key, expires_at__gt=now).count()
    return browsers + Unconfirmed.objects.filter(address_key=address_key, visit__state=states.HELD).count()


def contacts_to_come(*, besides: Visit) -> Iterable[tuple[str, str]]:
    """Mail address and telephone number of each other visit that is held or still to come."""
    rows = Visit.objects.filter(state__in=states.COMING | {states.HELD}).exclude(pk=besides.pk)
    return rows.values_list("owner__email", "owner__telephone")


def how_many_wait() -> int:
    return Unconfirmed.objects.filter(visit__state=states.HELD).count()


def why_nobody_books(shop: Shop, waiting: int, *, now: datetime) -> str:
    """The brake, in the desk's words; empty while everybody can book online. waiting: to be confirmed."""
    made = Attempt.objects.filter(what=BOOKED_ONLINE, at__gt=now - AN_HOUR).count()
    most = {"most_waiting": shop.most_unconfirmed, "most_in_an_hour": shop.most_online_an_hour}
    return why_braked(waiting, made, **most)


def opening_from(shop: Shop, now: datetime) -> Iterable[tuple[datetime, datetime]]:
    """The hours in which the garage is open, today and after it."""
    local = shop.local_time
    first = local.day(now)
    last = first + timedelta(days=LOOKED_AHEAD_DAYS)
    days = open_days(shop, first, last)
    hours = (days.opening(day, local) for day in days.days(first, last))
    return (each for each in hours if each is not None)
