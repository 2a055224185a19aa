"""A time was given back: put down, and kept for standby while somebody there could use it. Inside a change only."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from decimal import Decimal
from uuid import uuid4

from django.db import transaction

from garage.changes.day import locks, selling
from garage.core.errors import Refused
from garage.core.money import to_penny
from garage.core.selling import standby
from garage.core.selling.freed_minutes import gone_min
from garage.core.time.day_minutes import rounded_up_min
from garage.models.shop import ROLLER, Shop
from garage.models.standby import FreedTime, Offer
from garage.models.visits import Hold, SoldPiece, Step, Visit
from garage.reads import free
from garage.reads.shop import the_shop
from garage.reads.standby import on_standby, rules_of, time_freed
from garage.wake import wake

OFFER_FREED_TIMES = "garage.tasks.offer_freed_times"


def put_down(visit: Visit, had: selling.AgreedTime | None, *, why: str, shop: Shop, now: datetime) -> None:
    """had: the time that the visit has just given back, its day still locked. None if it had none, or has used it.

    Where nobody on standby could use it, everybody can book it at once. So can they a time ahead of another length than
    its kind's, which no hold describes. Of one that has begun only what is left is kept: the rest is gone, and put down
    as that.
    """
    if had is None or _has_used(visit, had, why, now):
        return
    gone = gone_min(had.starts_at, had.minutes, now)
    price = to_penny(visit.price * gone / had.minutes)
    if gone:
        _written(visit, replace(had, minutes=gone), price, why=why, now=now)
    if gone == had.minutes:
        return
    left = replace(had, starts_at=had.starts_at + timedelta(minutes=gone), minutes=had.minutes - gone)
    row = _written(visit, left, visit.price - price, why=why, now=now)
    _keep_for_somebody(row, shop, is_left=gone > 0, now=now)


def note(visit: Visit, had: selling.AgreedTime | None, *, why: str, now: datetime) -> FreedTime | None:
    """Put down without keeping it for anybody."""
    if had is None or _has_used(visit, had, why, now):
        return None
    return _written(visit, had, visit.price, why=why, now=now)


def finished_early(visit: Visit, *, now: datetime) -> None:
    """Its last session is over before its time: what is left is given up if somebody could use it. Otherwise it stays
    with the visit until that is ready to collect. It costs nobody anything, since the session was had.
    """
    if visit.at != ROLLER or visit.starts_at is None or _goes_on_the_rollers(visit):
        return
    shop, gone = the_shop(), gone_min(visit.starts_at, visit.minutes, now)
    locks.days_for_change(shop.local_time.day(visit.starts_at))
    starts_at = visit.starts_at + timedelta(minutes=gone)
    ahead = SoldPiece.objects.filter(visit=visit, begins_at__gte=starts_at)
    first = ahead.first()
    if first is None:
        return
    left = selling.AgreedTime(ROLLER, first.place, starts_at, visit.minutes - gone)
    row = _row(visit, left, Decimal(0), why=FreedTime.EARLY, now=now)
    if _may_be_kept(row, shop, is_left=True) and _could_use(row, shop, now):
        ahead.delete()
        row.save()
        _keep(row, shop, now=now)


def keep_again(row: FreedTime, shop: Shop, *, now: datetime) -> None:
    """It went on sale to everybody, and now a machine in the building that has passed its gate could use what is left.
    Tried once for each such machine: if the day can't do it, or it is sold, it stays as it is.
    """
    locks.days_for_change(shop.local_time.day(row.starts_at))
    row = FreedTime.objects.select_related("visit__kind").select_for_update(of=["self"]).get(pk=row.pk)
    if row.closed_at is None:
        return
    row.kept_from = row.closed_at = now
    row.save(update_fields=["kept_from", "closed_at"])
    _keep_for_somebody(row, shop, is_left=row.starts_at <= now or row.minutes < row.visit.kind.minutes, now=now)


def _goes_on_the_rollers(visit: Visit) -> bool:
    return Step.objects.filter(visit=visit, at=ROLLER, ended_at=None).exists()


def _keep_for_somebody(row: FreedTime, shop: Shop, *, is_left: bool, now: datetime) -> None:
    if _may_be_kept(row, shop, is_left=is_left) and _could_use(row, shop, now):
        _keep(row, shop, now=now)


def _may_be_kept(row: FreedTime, shop: Shop, *, is_left: bool) -> bool:
    """is_left: what is left of a time that had begun, which is shorter."""
    kind, whole_min = row.visit.kind, rounded_up_min(row.visit.kind.minutes)
    fits = row.at == kind.at and (row.minutes == whole_min or (is_left and row.minutes < whole_min))
    return bool(shop.standby_minutes) and fits


def _has_used(visit: Visit, had: selling.AgreedTime, why: str, now: datetime) -> bool:
    """Its time began while it was here. One that failed its gate then has not had its session."""
    if visit.arrived_at is None or had.starts_at > now:
        return False
    has_run = Step.objects.filter(visit=visit, at=ROLLER, began_at__isnull=False).exists()
    return why != FreedTime.FIX_FIRST or had.at != ROLLER or has_run


def _row(visit: Visit, had: selling.AgreedTime, price: Decimal, *, why: str, now: datetime) -> FreedTime:
    return FreedTime(
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


def _written(visit: Visit, had: selling.AgreedTime, price: Decimal, *, why: str, now: datetime) -> FreedTime:
    row = _row(visit, had, price, why=why, now=now)
    row.save()
    return row


def close(row: FreedTime, *, now: datetime) -> None:
    """On sale to everybody, or taken: the hold goes, and offers that are still open are over."""
    Hold.objects.filter(freed_time=row).delete()
    row.hold, row.closed_at = None, now
    row.save(update_fields=["hold", "closed_at"])
    left = Offer.objects.filter(time=row, answer="")
    left.filter(open_until__gt=now).update(answer=Offer.GONE, answered_at=now)
    left.update(answer=Offer.LAPSED, answered_at=now)


def _could_use(row: FreedTime, shop: Shop, now: datetime) -> list[standby.OnStandby]:
    freed, local = time_freed(row), shop.local_time
    return [one for one in on_standby(row.at) if standby.fits(one, freed, now, local)]


def _keep(row: FreedTime, shop: Shop, *, now: datetime) -> None:
    """By a hold, as for a browser: nobody sees it as free. If the day can't do it any more, it is not kept."""
    kind, gone = row.visit.kind, gone_min(row.starts_at, row.minutes, now)
    try:
        with transaction.atomic():
            hold = Hold.objects.create(
                browser=f"standby-{uuid4()}",
                address_key="",
                kind=kind,
                starts_at=row.starts_at + timedelta(minutes=gone),
                minutes=row.minutes - gone,
                began_at=now,
                expires_at=standby.public_at(time_freed(row), rules_of(shop), shop.local_time),
            )
            selling.hold_time(hold, _asked_kept(row, hold, shop, now), now=now)
            row.hold, row.closed_at = hold, None
            row.save(update_fields=["hold", "closed_at"])
    except Refused:
        row.hold, row.closed_at = None, now
    else:
        wake(OFFER_FREED_TIMES)


def _asked_kept(row: FreedTime, hold: Hold, shop: Shop, now: datetime) -> free.Asked:
    """A machine in the building that could use it needs no gate at the bench before."""
    is_today = shop.local_time.day(row.starts_at) == shop.local_time.day(now)
    if is_today and any(one.is_here for one in _could_use(row, shop, now)):
        return free.asked_kept_here(hold.kind, hold.minutes, shop, browser=hold.browser)
    return free.asked_kept(hold.kind, hold.minutes, shop, browser=hold.browser)
