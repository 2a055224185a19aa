"""A visit is booked by its owner online or by the front desk. Order: lock, check, write, notify."""

from __future__ import annotations

from datetime import datetime

from django.conf import settings
from django.db import transaction

from garage import events
from garage.changes import trail
from garage.changes.day import locks, planned_steps, selling
from garage.changes.mail import notices
from garage.changes.people import online_limits
from garage.changes.visit import confirming, deposits, standby
from garage.core import states
from garage.core.errors import Refused
from garage.core.selling.draft import Draft
from garage.core.text.languages import in_english, told
from garage.models.actors import OWNER, Actor
from garage.models.owners import Machine, MachineKind, Owner
from garage.models.people import Person
from garage.models.shop import Shop, VisitKind
from garage.models.visits import Hold, Visit
from garage.reads import free
from garage.reads.roller_facts import why_no_rollers
from garage.reads.shop import the_shop


@transaction.atomic
def book_online(draft: Draft, *, browser: str, address_key: str, now: datetime) -> Visit:
    """Uses up the browser's hold. Without one the time is taken if still free. Idempotent: sent twice, booked once.

    It is held until its owner confirms it by mail (`confirming.py`). Where no mail server is set it stands at once.
    address_key: the hashed network, by which what it holds is counted.
    """
    kind, shop = _kind(draft), the_shop()
    locks.days_for_change(shop.local_time.day(draft.starts_at))
    if booked := Visit.objects.filter(calendar_uid=draft.key).first():
        return booked
    asked = free.asked_online(kind, shop)
    held = Hold.objects.filter(browser=browser, kind=kind, starts_at=draft.starts_at, expires_at__gt=now)
    if held.exists():
        asked = free.asked_held(kind, shop)
    Hold.objects.filter(browser=browser).delete()
    state = states.HELD if settings.EMAIL_URL else _state_that_stands(kind)
    visit = _booked(draft, kind, asked, state=state, by=OWNER, now=now)
    online_limits.check_brake(shop, now=now)  # behind the lock on the shop, which the visit's number has taken
    online_limits.check_contact(draft.email, draft.telephone, shop, besides=visit)
    online_limits.count_a_booking(draft.email, shop, now=now)
    if state != states.HELD:
        return _stands(visit, draft, shop, by=OWNER, now=now)
    confirming.hold(visit, draft.starts_at, shop, address_key=address_key, now=now)
    return visit


@transaction.atomic
def book_at_the_desk(draft: Draft, *, by: Person, now: datetime) -> Visit:
    """By telephone or at the counter, without hold or notice. The day must still be able to do it.

    The visit comes back as it is after what was told of it has been judged.
    """
    kind, shop = _kind(draft), the_shop()
    locks.days_for_change(shop.local_time.day(draft.starts_at))
    if booked := Visit.objects.filter(calendar_uid=draft.key).first():
        return booked
    asked, state = free.asked_at_the_desk(kind, shop), _state_that_stands(kind)
    visit = _booked(draft, kind, asked, state=state, by=by, now=now)
    _stands(visit, draft, shop, by=by, now=now)
    visit.refresh_from_db()
    return visit


def _kind(draft: Draft) -> VisitKind:
    kind = VisitKind.objects.filter(slug=draft.kind_slug, is_offered=True).first()
    if kind is None:
        raise Refused(told("This kind of visit is not offered any more: choose another on the front page."))
    return kind


def _machine(draft: Draft, *, now: datetime) -> Machine:
    """The machine that was here before, or a new record of machine and owner. The workshop joins duplicates later."""
    if draft.machine_id is not None:
        known = Machine.objects.select_related("owner").filter(pk=draft.machine_id, joined_into=None).first()
        if known is None:
            raise Refused("That machine's record has been joined to another: look it up again and book from there.")
        if Owner.objects.select_for_update().get(pk=known.owner_id).erased_at:  # whoever erases just now is waited for
            raise Refused("That machine's owner has been erased: book it as a new one, with name and number.")
        return known
    contact = {"name": draft.name, "email": draft.email, "telephone": draft.telephone, "language": draft.language}
    owner = Owner.objects.create(**contact, first_seen_at=now)
    picked = draft.machine_kind_id
    kind = None if picked is None else MachineKind.objects.filter(pk=picked).first()
    return Machine.objects.create(owner=owner, kind=kind, words=draft.machine_words, year=draft.year)


def _check_the_rollers(draft: Draft, machine: Machine, kind: VisitKind) -> None:
    """A machine that must not run comes to the bench first. Of one that was never here nothing is known yet."""
    if draft.machine_id is not None and (why := why_no_rollers(machine, kind)):
        raise Refused(why)


def _booked(draft: Draft, kind: VisitKind, asked: free.Asked, *, state: str, by: Actor, now: datetime) -> Visit:
    """The visit with its time and steps. Nobody is told yet."""
    machine, shop, is_awaited = _machine(draft, now=now), asked.shop, state == states.DEPOSIT_AWAITED
    _check_the_rollers(draft, machine, kind)
    visit = Visit.objects.create(
        number=locks.next_visit_number(),
        owner=machine.owner,
        machine=machine,
        kind=kind,
        state=state,
        booked_at=now,
        wants=draft.wants,
        price=kind.price,
        deposit=kind.deposit,
        deposit_due_on=deposits.awaited_until(draft.starts_at, shop, now=now) if is_awaited else None,
        calendar_uid=draft.key,
    )
    selling.sell(visit, asked=asked, starts_at=draft.starts_at, now=now)
    planned_steps.plan_booked(visit, shop)
    when = in_english(shop.local_time.in_words, draft.starts_at)
    trail.about_visit(visit, f"booked: {kind.name}, {when}", by=by, now=now)
    if draft.sooner:
        standby.ask(visit, notice_hours=draft.sooner.notice_hours, weekdays=draft.sooner.weekdays, by=by, now=now)
    return visit


def _stands(visit: Visit, draft: Draft, shop: Shop, *, by: Actor, now: datetime) -> Visit:
    """Its owner is told, and everybody else who wants to know."""
    notices.booked(visit, shop, now=now)
    events.visit_booked.send(sender=Visit, visit=visit, told=draft.told, by=by, now=now)
    return visit


def _state_that_stands(kind: VisitKind) -> str:
    return states.DEPOSIT_AWAITED if kind.deposit else states.BOOKED
