"""A freed time is offered to standby, taken or left. Each is one transaction: lock, check, write, notify.

The order of locks is that of garage/changes/day/locks.py: visits first, then the day. The time's own row comes last.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from garage.changes import trail
from garage.changes.day import freed, locks
from garage.changes.mail import notices
from garage.changes.visit.visits import take_free_time
from garage.core import states
from garage.core.errors import Refused
from garage.core.selling.standby import (
    NextOffers,
    OnStandby,
    TimeFreed,
    after_the_building,
    fits,
    goes_on_at,
    next_offers,
    public_at,
)
from garage.core.text.languages import in_english, told, told_later
from garage.models.actors import SYSTEM, Actor
from garage.models.shop import Shop
from garage.models.standby import FreedTime, Offer
from garage.models.visits import Hold, Visit
from garage.reads import free
from garage.reads.opening import is_shut_at
from garage.reads.shop import shop_or_none, the_shop
from garage.reads.standby import (
    being_offered,
    could_be_kept_again,
    offers_made,
    on_standby,
    passed_the_gate_since,
    rules_of,
    suits,
    time_freed,
)
from garage.wake import wake

GONE = told_later("This time has gone to somebody else, or the offer is over. Yours is as it was.")
GONE_FROM_HERE = told_later(
    "The rollers have gone to another machine, or the time to answer is over. Yours stays here and waits for its turn."
)


def offer_all_due(*, now: datetime) -> None:
    """What is to be done about each freed time now: given, offered, or on sale to everybody. Safe to do twice."""
    shop = shop_or_none()
    if shop is None:
        return
    _keep_again(shop, now=now)
    for row in being_offered():
        _carry_out(row, _next(row, shop, now), shop, now=now)


def _keep_again(shop: Shop, *, now: datetime) -> None:
    """What came free today before a machine in the building had passed its gate, and is still to be had."""
    for row in could_be_kept_again(now, shop.local_time):
        since = row.closed_at or row.freed_at
        here = passed_the_gate_since(row.at, since) if not is_shut_at(row.at, row.starts_at, row.minutes, shop) else []
        if any(fits(one, time_freed(row), now, shop.local_time) for one in here):
            with transaction.atomic():
                freed.keep_again(row, shop, now=now)


def _next(row: FreedTime, shop: Shop, now: datetime) -> NextOffers:
    is_shut = is_shut_at(row.at, row.starts_at, row.minutes, shop)  # since it came free
    if row.hold is None or row.hold.expires_at <= now or is_shut:
        return NextOffers(is_through=True)
    standby = on_standby(row.at)
    return next_offers(time_freed(row), standby, offers_made(row), rules_of(shop), now, shop.local_time)


def _carry_out(row: FreedTime, then: NextOffers, shop: Shop, *, now: datetime) -> None:
    if then.given:
        try:
            give(row, then.given, now=now)
        except Refused:  # the day can't do it with this machine after all
            open_to_everybody(row, now=now)
    elif then.is_through:
        open_to_everybody(row, now=now)
    elif then.offered and then.open_until:
        does = ask_to_go_on if then.offered[0].is_here else offer
        does(row, then.offered, open_until=then.open_until, shop=shop, now=now)


@transaction.atomic
def offer(row: FreedTime, standby: Sequence[OnStandby], *, open_until: datetime, shop: Shop, now: datetime) -> None:
    """To each of these owners, by a mail with a link; without an address it stands on the list of what is told by hand.
    Who no longer wants it by now is left out.
    """
    visits, kept = _locked([one.number for one in standby]), _still_kept(row, shop)
    for visit in visits if kept else []:
        if _is_asked_already(visit, row) or not suits(visit, time_freed(row), shop=shop, now=now):
            continue
        made = Offer.objects.create(time=row, visit=visit, offered_at=now, open_until=open_until)
        when, until = (in_english(shop.local_time.in_words, at) for at in (row.starts_at, open_until))
        trail.about_visit(visit, f"offered {when}, until {until}", by=SYSTEM, now=now)
        notices.time_offered(made, shop, now=now)


@transaction.atomic
def ask_to_go_on(row: FreedTime, here: Sequence[OnStandby], *, open_until: datetime, shop: Shop, now: datetime) -> None:
    """Each of these owners, whose machines were left with us, is asked whether the work may go on. The time is kept
    until then, and for those on standby after that.
    """
    visits, kept = _locked([one.number for one in here]), _still_kept(row, shop)
    for visit in visits if kept else []:
        one = suits(visit, time_freed(row), shop=shop, now=now)
        if _is_asked_already(visit, row) or one is None or not one.must_be_asked:
            continue
        made = Offer.objects.create(time=row, visit=visit, in_the_building=True, offered_at=now, open_until=open_until)
        _keep_until(row, after_the_building(time_freed(row), [open_until]), shop)
        until = in_english(shop.local_time.in_words, open_until)
        words = f"its owner is asked whether the work may go on, until {until}"
        trail.about_visit(visit, words, by=SYSTEM, now=now)
        notices.asked_to_go_on(made, shop, now=now)


def _keep_until(row: FreedTime, comes: TimeFreed, shop: Shop) -> None:
    until = public_at(comes, rules_of(shop), shop.local_time)
    Hold.objects.filter(freed_time=row, expires_at__lt=until).update(expires_at=until)


def _is_asked_already(visit: Visit, row: FreedTime) -> bool:
    return Offer.objects.filter(time=row, visit=visit).exists()


@transaction.atomic
def give(row: FreedTime, one: OnStandby, *, now: datetime) -> None:
    """To a machine in the building: nobody is asked, since its owner waits for the rollers, or has agreed."""
    shop = the_shop()
    [visit], kept = _locked([one.number]), _still_kept(row, shop)
    found = suits(visit, time_freed(kept), shop=shop, now=now) if kept else None
    if kept and found and not found.must_be_asked:
        freed.close(kept, now=now)
        answered = {"in_the_building": True, "offered_at": now, "open_until": now, "answered_at": now}
        Offer.objects.update_or_create(time=kept, visit=visit, defaults={"answer": Offer.GIVEN} | answered)
        _take(visit, kept, shop, by=SYSTEM, now=now)


@transaction.atomic
def open_to_everybody(row: FreedTime, *, now: datetime) -> None:
    """Standby is through, or the shop's time is up."""
    shop = the_shop()
    locks.days_for_change(shop.local_time.day(row.starts_at))
    row = FreedTime.objects.select_for_update().get(pk=row.pk)
    if row.closed_at is None:
        freed.close(row, now=now)


@transaction.atomic
def accept(offer: Offer, *, by: Actor, now: datetime) -> Visit:
    """By the personal link, or at the desk for an owner who rings. The first yes has it; the rule of the rollers is
    asked as for any time.
    """
    shop, local = the_shop(), the_shop().local_time
    visit = locks.visit_for_change(offer.visit)
    times = (offer.time.starts_at, visit.starts_at)
    locks.days_for_change(*(local.day(moment) for moment in times if moment))
    row = FreedTime.objects.select_for_update().get(pk=offer.time_id)
    offer = Offer.objects.select_related("time__visit").get(pk=offer.pk)
    is_kept = row.closed_at is None and row.hold is not None and row.hold.expires_at > now
    if not (is_kept and offer.is_open(now)):
        raise Refused(told(_gone_words(offer)))
    if not suits(visit, time_freed(offer.time), shop=shop, now=min(now, offer.offered_at)):
        raise Refused(told("Your visit has changed since this was offered: look at its page."))
    Offer.objects.filter(pk=offer.pk).update(answer=Offer.YES, answered_at=now)
    freed.close(row, now=now)
    return _take(visit, row, shop, by=by, now=now)


@transaction.atomic
def decline(offer: Offer, *, by: Actor, now: datetime) -> None:
    """The next on standby is asked at once."""
    visit = locks.visit_for_change(offer.visit)
    offer = Offer.objects.select_for_update().get(pk=offer.pk)
    if not offer.is_open(now):
        raise Refused(told(_gone_words(offer)))
    offer.answer, offer.answered_at = Offer.NO, now
    offer.save(update_fields=["answer", "answered_at"])
    did = "the work is not to go on yet" if offer.in_the_building else "does not want the time that was offered"
    trail.about_visit(visit, did, by=by, now=now)
    wake(freed.OFFER_FREED_TIMES)


def _gone_words(offer: Offer) -> str:
    return GONE_FROM_HERE if offer.in_the_building else GONE


def _take(visit: Visit, row: FreedTime, shop: Shop, *, by: Actor, now: datetime) -> Visit:
    at, kind = visit.kind.at, visit.kind
    asked = free.asked_for(visit, at=at, minutes=visit.minutes if visit.at == at else kind.minutes, shop=shop)
    did = "is given" if by is SYSTEM else "takes"
    trail.about_visit(visit, f"{did} a time that came free", by=by, now=now)
    starts_at = goes_on_at(time_freed(row), now) if visit.state in states.IN_THE_BUILDING else row.starts_at
    return take_free_time(visit, starts_at=starts_at, asked=asked, by=by, now=now)


def _locked(numbers: Sequence[int]) -> list[Visit]:
    """Locked in one order, whoever locks them."""
    rows = Visit.objects.filter(number__in=numbers).order_by("pk")
    return [locks.visit_for_change(visit) for visit in rows]


def _still_kept(row: FreedTime, shop: Shop) -> FreedTime | None:
    """The time, with its day locked. None if it went meanwhile."""
    locks.days_for_change(shop.local_time.day(row.starts_at))
    row = FreedTime.objects.select_for_update().get(pk=row.pk)
    return row if row.closed_at is None and row.hold is not None else None
