"""A time held for one browser while its owner fills in the pages."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.db import IntegrityError, transaction
from django.db.models import Exists, OuterRef

from garage.changes.day import locks, selling
from garage.changes.day.constraints import broke_unique
from garage.changes.people import online_limits
from garage.core.errors import Refused
from garage.core.keeping.periods import HOLD_COUNTS
from garage.core.text.languages import told
from garage.models.shop import Shop, VisitKind
from garage.models.standby import FreedTime
from garage.models.visits import Hold, HoldBegun
from garage.reads import free
from garage.reads.shop import the_shop

CAP_COUNTS = HOLD_COUNTS.length


@transaction.atomic
def take(*, browser: str, address_key: str, kind: VisitKind, starts_at: datetime, now: datetime) -> Hold:
    """Holds the time for the browser and releases its earlier hold. TimeTaken, or Refused past the cap.

    address_key: the hashed network address, by which the cap is counted.
    """
    return _take(browser=browser, address_key=address_key, kind=kind, starts_at=starts_at, shop=the_shop(), now=now)


def _take(*, browser: str, address_key: str, kind: VisitKind, starts_at: datetime, shop: Shop, now: datetime) -> Hold:
    local = shop.local_time
    old = Hold.objects.filter(browser=browser).first()
    locks.days_for_change(local.day(starts_at), local.day(old.starts_at if old else starts_at))
    Hold.objects.filter(browser=browser).delete()
    locks.shop_for_change()
    _count(address_key, shop, now)
    online_limits.check_one_more_hold(address_key, shop, now=now)
    asked = free.asked_online(kind, shop, browser=browser)
    hold = Hold(
        browser=browser,
        address_key=address_key,
        kind=kind,
        starts_at=starts_at,
        minutes=kind.minutes,
        began_at=now,
        expires_at=now + timedelta(minutes=shop.hold_minutes),
    )
    _write(hold)
    selling.hold_time(hold, asked, now=now)
    return hold


@transaction.atomic
def keep(*, browser: str, address_key: str, kind: VisitKind, starts_at: datetime, now: datetime) -> Hold:
    """A page was saved: the hold is renewed, or the time is taken again if it is still free."""
    shop = the_shop()
    hold = Hold.objects.filter(browser=browser, kind=kind, starts_at=starts_at).first()
    if hold is None:
        return _take(browser=browser, address_key=address_key, kind=kind, starts_at=starts_at, shop=shop, now=now)
    last = hold.began_at + timedelta(minutes=shop.hold_minutes_in_all)
    until = min(now + timedelta(minutes=shop.hold_minutes), last)
    if Hold.objects.filter(pk=hold.pk, expires_at__gt=now).update(expires_at=until):
        hold.expires_at = until
        return hold
    return _take(browser=browser, address_key=address_key, kind=kind, starts_at=starts_at, shop=shop, now=now)


def free_lapsed(*, now: datetime) -> int:
    """Sweeps lapsed holds and outdated counts. Returns how many holds it removed."""
    with transaction.atomic():
        on_offer = FreedTime.objects.filter(hold=OuterRef("pk"))  # ends with its offers (changes/visit/offers.py)
        lapsed = Hold.objects.filter(~Exists(on_offer), expires_at__lte=now).select_for_update(skip_locked=True)
        gone = [hold.pk for hold in lapsed]
        Hold.objects.filter(pk__in=gone).delete()
        HoldBegun.objects.filter(at__lte=now - CAP_COUNTS).delete()
    return len(gone)


def _count(key: str, shop: Shop, now: datetime) -> None:
    begun = HoldBegun.objects.filter(address_key=key, at__gt=now - CAP_COUNTS).count()
    if begun >= shop.holds_per_address_and_hour:
        raise Refused(
            told(
                "Too many times have been held open from your connection in the last hour: "
                "try again later, or ring {telephone}.",
                telephone=shop.telephone,
            )
        )
    HoldBegun.objects.create(address_key=key, at=now)


def _write(hold: Hold) -> None:
    try:
        with transaction.atomic():
            hold.save()
    except IntegrityError as error:
        if broke_unique(error, Hold, "browser"):
            raise Refused(
                told("Another of your pages is holding a time open right now: go on there, or try again.")
            ) from error
        raise
