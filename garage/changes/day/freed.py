"""A time was given back: put down, and kept for standby while somebody there could use it. Inside a change only."""

from __future__ import annotations

from datetime import datetime
from uuid import uuid4

from django.db import transaction

from garage.changes.day import selling
from garage.core.errors import Refused
from garage.core.selling import standby
from garage.core.time.day_minutes import rounded_up_min
from garage.models.shop import Shop
from garage.models.standby import FreedTime, Offer
from garage.models.visits import Hold, Visit
from garage.reads import free
from garage.reads.standby import on_standby, rules_of, time_freed
from garage.wake import wake

OFFER_FREED_TIMES = "garage.tasks.offer_freed_times"


def put_down(visit: Visit, had: selling.AgreedTime | None, *, why: str, shop: Shop, now: datetime) -> None:
    """had: the time that the visit has just given back, its day still locked. None if it had none, or has used it.

    Where nobody on standby could use it, everybody can book it at once. So can they what is left of a time that has
    begun, and a time of another length than its kind's, which no hold describes.
    """
    row = note(visit, had, why=why, now=now)
    if row is None or row.starts_at <= now or not shop.standby_minutes:
        return
    is_whole = row.at == visit.kind.at and row.minutes == rounded_up_min(visit.kind.minutes)
    if is_whole and _is_wanted(row, shop, now):
        _keep(row, shop, now=now)


def note(visit: Visit, had: selling.AgreedTime | None, *, why: str, now: datetime) -> FreedTime | None:
    """Put down without keeping it for anybody."""
    if had is None or (visit.arrived_at and had.starts_at <= now):
        return None
    return FreedTime.objects.create(
        at=had.at,
        place=had.place,
        starts_at=had.starts_at,
        minutes=had.minutes,
        visit=visit,
        why=why,
        price=visit.price,
        freed_at=now,
        closed_at=now,
    )


def close(row: FreedTime, *, now: datetime) -> None:
    """On sale to everybody, or taken: the hold goes, and offers that are still open are over."""
    Hold.objects.filter(freed_time=row).delete()
    row.hold, row.closed_at = None, now
    row.save(update_fields=["hold", "closed_at"])
    left = Offer.objects.filter(time=row, answer="")
    left.filter(open_until__gt=now).update(answer=Offer.GONE, answered_at=now)
    left.update(answer=Offer.LAPSED, answered_at=now)


def _is_wanted(row: FreedTime, shop: Shop, now: datetime) -> bool:
    freed, local = time_freed(row), shop.local_time
    return any(standby.fits(one, freed, now, local) for one in on_standby(row.at))


def _keep(row: FreedTime, shop: Shop, *, now: datetime) -> None:
    """By a hold, as for a browser: nobody sees it as free. If the day can't do it any more, it is not kept."""
    until = standby.public_at(time_freed(row), rules_of(shop), shop.local_time)
    kind = row.visit.kind
    try:
        with transaction.atomic():
            hold = Hold.objects.create(
                browser=f"standby-{uuid4()}",
                address_key="",
                kind=kind,
                starts_at=row.starts_at,
                minutes=row.minutes,
                began_at=row.freed_at,
                expires_at=until,
            )
            selling.hold_time(hold, free.asked_held(kind, shop, browser=hold.browser), now=now)
            row.hold, row.closed_at = hold, None
            row.save(update_fields=["hold", "closed_at"])
    except Refused:
        row.hold, row.closed_at = None, row.freed_at
    else:
        wake(OFFER_FREED_TIMES)
