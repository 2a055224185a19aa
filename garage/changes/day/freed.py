"""A time was given back: put down, and kept for standby while somebody there could use it. Inside a change only."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from decimal import Decimal
from uuid import uuid4

from django.db import transaction

from garage.changes.day import selling
from garage.core.errors import Refused
from garage.core.money import to_penny
from garage.core.selling import standby
from garage.core.selling.freed_minutes import gone_min
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

    Where nobody on standby could use it, everybody can book it at once. So can they a time ahead of another length than
    its kind's, which no hold describes. Of one that has begun only what is left is kept: the rest is gone, and put down
    as that.
    """
    if had is None or _has_used(visit, had, now):
        return
    gone = gone_min(had.starts_at, had.minutes, now)
    price = to_penny(visit.price * gone / had.minutes)
    if gone:
        _written(visit, replace(had, minutes=gone), price, why=why, now=now)
    if gone == had.minutes:
        return
    left = replace(had, starts_at=had.starts_at + timedelta(minutes=gone), minutes=had.minutes - gone)
    row = _written(visit, left, visit.price - price, why=why, now=now)
    if shop.standby_minutes and _can_be_held(row, visit, is_left=gone > 0) and _is_wanted(row, shop, now):
        _keep(row, shop, now=now)


def note(visit: Visit, had: selling.AgreedTime | None, *, why: str, now: datetime) -> FreedTime | None:
    """Put down without keeping it for anybody."""
    return None if had is None or _has_used(visit, had, now) else _written(visit, had, visit.price, why=why, now=now)


def _can_be_held(row: FreedTime, visit: Visit, *, is_left: bool) -> bool:
    """is_left: what is left of a time that had begun, which is shorter."""
    whole_min = rounded_up_min(visit.kind.minutes)
    return row.at == visit.kind.at and (row.minutes == whole_min or (is_left and row.minutes < whole_min))


def _has_used(visit: Visit, had: selling.AgreedTime, now: datetime) -> bool:
    return visit.arrived_at is not None and had.starts_at <= now


def _written(visit: Visit, had: selling.AgreedTime, price: Decimal, *, why: str, now: datetime) -> FreedTime:
    return FreedTime.objects.create(
        at=had.at,
        place=had.place,
        starts_at=had.starts_at,
        minutes=had.minutes,
        visit=visit,
        why=why,
        price=price,
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
            asked = free.asked_kept(kind, row.minutes, shop, browser=hold.browser)
            selling.hold_time(hold, asked, now=now)
            row.hold, row.closed_at = hold, None
            row.save(update_fields=["hold", "closed_at"])
    except Refused:
        row.hold, row.closed_at = None, row.freed_at
    else:
        wake(OFFER_FREED_TIMES)
