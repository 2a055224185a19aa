"""A booking by a stranger is held until somebody confirms it: its owner by the mailed link, or a person who works here.

Until then nothing else is mailed (`messages.keep`), and its links are dead (`links.lives`). It keeps its time in the
meantime, as every visit does. Order: lock, check, write, notify.
"""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from garage import events
from garage.changes import trail
from garage.changes.day import locks, selling
from garage.changes.mail import notices
from garage.changes.people import online_limits
from garage.changes.visit import deposits
from garage.core import states
from garage.core.errors import Refused
from garage.core.selling.draft import ToldOfSafety
from garage.core.selling.unconfirmed import held_until
from garage.core.text.languages import in_english
from garage.models.actors import OWNER, SYSTEM, Actor
from garage.models.people import Person
from garage.models.shop import Shop
from garage.models.unconfirmed import Unconfirmed
from garage.models.visits import Visit
from garage.reads import free
from garage.reads.online_bookings import opening_from, unconfirmed
from garage.reads.shop import the_shop


def hold(visit: Visit, starts_at: datetime, shop: Shop, *, address_key: str, now: datetime) -> None:
    """Inside the change that has booked it: its owner is asked to confirm it."""
    until = held_until(now, shop.confirm_hours, opening_from(shop, now), starts_at)
    Unconfirmed.objects.create(visit=visit, starts_at=starts_at, until=until, address_key=address_key)
    notices.to_confirm(visit, shop, until=until, now=now)


@transaction.atomic
def confirm_by_owner(visit: Visit, *, starts_at: datetime | None, now: datetime) -> Visit:
    """By the mailed link, which proves the address. Pressed again it changes nothing.

    What has lapsed is taken again, at starts_at or at the time that it had, if that is free and can be booked online.
    """
    visit, shop = locks.visit_for_change(visit), the_shop()
    if visit.state == states.LAPSED:
        _take_again(visit, shop, starts_at, now=now)
    return _confirmed(visit, shop, "confirmed by the mailed link", by=OWNER, now=now)


@transaction.atomic
def confirm(visit: Visit, *, by: Person, now: datetime) -> Visit:
    """Its owner was rung. One press, and a second one changes nothing."""
    visit = locks.visit_for_change(visit)
    if visit.state == states.LAPSED:
        raise Refused(f"Visit {visit.number} was not confirmed in time, and its time is free again: book it anew.")
    return _confirmed(visit, the_shop(), "confirmed at the desk", by=by, now=now)


def came(visit: Visit, *, by: Person, now: datetime) -> None:
    """Inside the change that takes its machine in: whoever brings it has confirmed it. Nothing is mailed."""
    _is_proven(visit, "confirmed by coming", by=by, now=now)


def forget(visit: Visit) -> None:
    """Inside a change by a person that calls it off, or gives it a time by its owner's word."""
    Unconfirmed.objects.filter(visit=visit).delete()


def _take_again(visit: Visit, shop: Shop, starts_at: datetime | None, *, now: datetime) -> None:
    had = Unconfirmed.objects.get(visit=visit).starts_at
    wanted = starts_at or had
    locks.days_for_change(shop.local_time.day(wanted))
    locks.shop_for_change()
    online_limits.check_contact(visit.owner.email, visit.owner.telephone, shop, besides=visit)
    selling.sell(visit, asked=free.asked_online(visit.kind, shop), starts_at=wanted, now=now)
    trail.about_visit(visit, f"taken again: {in_english(shop.local_time.in_words, wanted)}", by=OWNER, now=now)


def _confirmed(visit: Visit, shop: Shop, words: str, *, by: Actor, now: datetime) -> Visit:
    if visit.state not in states.UNPROVEN:
        return visit
    then = states.DEPOSIT_AWAITED if visit.deposit > visit.deposit_paid else states.BOOKED
    states.check_move(visit.state, then)
    visit.state = then
    visit.save(update_fields=["state"])
    deposits.await_it(visit, shop, now=now)
    _is_proven(visit, words, by=by, now=now)
    notices.booked(visit, shop, now=now)
    return visit


def _is_proven(visit: Visit, words: str, *, by: Actor, now: datetime) -> None:
    forget(visit)
    trail.about_visit(visit, words, by=by, now=now)
    events.visit_booked.send(sender=Visit, visit=visit, told=ToldOfSafety(), by=by, now=now)


@transaction.atomic
def lapse(visit: Visit, *, now: datetime) -> Visit:
    """Nobody has confirmed it: its time is on sale again. Asked anew behind the lock, so whoever was quicker is not
    undone. Nobody is written to, since nobody has said that the address is theirs.
    """
    visit, shop = locks.visit_for_change(visit), the_shop()
    row = Unconfirmed.objects.filter(visit=visit, until__lte=now).first()
    if visit.state != states.HELD or row is None:
        return visit
    selling.give_back(visit, shop)
    states.check_move(visit.state, states.LAPSED)
    visit.state = states.LAPSED
    visit.save(update_fields=["state"])
    row.address_key = ""
    row.save(update_fields=["address_key"])
    words = f"not confirmed in time: its time is free again ({shop.local_time.in_words(row.starts_at)})"
    trail.about_visit(visit, words, by=SYSTEM, now=now)
    return visit


def lapse_all_due(*, now: datetime) -> int:
    """Returns how many."""
    due = [row.visit for row in unconfirmed().filter(until__lte=now)]
    return sum(lapse(visit, now=now).state == states.LAPSED for visit in due)
