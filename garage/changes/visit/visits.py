"""When a visit comes: moved, given a time, called off, did not come. Order: lock, check, write, notify."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from garage import events
from garage.changes import trail
from garage.changes.day import freed, locks, planned_steps, selling
from garage.changes.mail import notices
from garage.changes.people import attempts
from garage.changes.visit import confirming, deposits
from garage.core import states
from garage.core.deposits import frees_its_time_on
from garage.core.errors import BadInput, Refused
from garage.core.planning.day_rules import is_overdue
from garage.core.selling import own_changes
from garage.core.text.languages import in_english
from garage.core.time.clock import day_in_words
from garage.models.actors import OWNER, SYSTEM, Actor
from garage.models.people import Person
from garage.models.shop import BENCH, PLACE_WORDS, ROLLER, Shop
from garage.models.standby import FreedTime
from garage.models.visits import Visit
from garage.reads import free
from garage.reads.roller_facts import own_time
from garage.reads.shop import the_shop

MOVED = "moved-by-owner"


@transaction.atomic
def move(visit: Visit, *, starts_at: datetime, by: Person, now: datetime) -> Visit:
    """To another time at the same place, even at short notice."""
    visit = locks.visit_for_change(visit)
    before = _time_to_move(visit)
    asked = free.asked_for(visit, at=visit.at, minutes=visit.minutes, shop=the_shop())
    return _move(visit, before, starts_at, asked=asked, by=by, now=now)


@transaction.atomic
def move_by_owner(visit: Visit, *, starts_at: datetime, now: datetime) -> Visit:
    """By the personal link: until calling it off counts as late, to a time that can be booked online, and only so often
    a day. The visit's lock keeps the count.
    """
    visit, shop = locks.visit_for_change(visit), the_shop()
    own_changes.check_owner_may_move(own_time(visit, shop), now, shop.telephone)
    key = attempts.hashed(str(visit.pk))
    if not attempts.may_try(MOVED, key=key, most=own_changes.MOST_MOVES, within=own_changes.MOVES_WITHIN, now=now):
        raise Refused(
            f"It has been moved {own_changes.MOST_MOVES} times within a day: ring {shop.telephone} to move it."
        )
    attempts.tried(MOVED, key=key, now=now)
    return _move(visit, _time_to_move(visit), starts_at, asked=free.asked_by_owner(visit, shop), by=OWNER, now=now)


def _time_to_move(visit: Visit) -> datetime:
    if visit.state in states.OVER or visit.starts_at is None:
        raise Refused(f"Visit {visit.number} is {visit.state_words} and has no time to move.")
    return visit.starts_at


def _move(visit: Visit, before: datetime, starts_at: datetime, *, asked: free.Asked, by: Actor, now: datetime) -> Visit:
    local = asked.shop.local_time
    locks.days_for_change(local.day(before), local.day(starts_at))
    had = selling.give_back(visit, asked.shop)
    selling.sell(visit, asked=asked, starts_at=starts_at, now=now)
    freed.put_down(visit, had, why=FreedTime.MOVED, shop=asked.shop, now=now)
    planned_steps.forget_pins(visit)
    deposits.await_it(visit, asked.shop, now=now)
    was_at, is_at = in_english(local.in_words, before), in_english(local.in_words, starts_at)
    trail.about_visit(visit, f"moved from {was_at} to {is_at}", by=by, now=now)
    notices.moved(visit, asked.shop, now=now)
    return visit


@transaction.atomic
def give_time(visit: Visit, *, at: str, starts_at: datetime, minutes: int, by: Person, now: datetime) -> Visit:
    """A time for a visit without one: on the bench while it is to be put right, on the rollers after that."""
    visit, shop = locks.visit_for_change(visit), the_shop()
    if at not in (ROLLER, BENCH) or minutes <= 0:
        raise BadInput("place and minutes", f"{at}, {minutes}", "bench or roller, and a length above 0")
    _check_it_may_get_a_time(visit)
    local = shop.local_time
    locks.days_for_change(*(local.day(moment) for moment in (visit.starts_at, starts_at) if moment))
    return _give(visit, starts_at, asked=free.asked_for(visit, at=at, minutes=minutes, shop=shop), by=by, now=now)


@transaction.atomic
def take_free_time(visit: Visit, *, starts_at: datetime, asked: free.Asked, by: Actor, now: datetime) -> Visit:
    """By its owner's word or by standby's turn, whether the visit has another time or none."""
    visit = locks.visit_for_change(visit)
    if visit.starts_at is not None and visit.at == asked.at:
        return _move(visit, visit.starts_at, starts_at, asked=asked, by=by, now=now)
    return _give(visit, starts_at, asked=asked, by=by, now=now)


def _give(visit: Visit, starts_at: datetime, *, asked: free.Asked, by: Actor, now: datetime) -> Visit:
    at, minutes, shop = asked.at, asked.minutes, asked.shop
    had = selling.give_back(visit, shop)
    selling.sell(visit, asked=asked, starts_at=starts_at, now=now)
    freed.put_down(visit, had, why=FreedTime.MOVED, shop=shop, now=now)
    if at == ROLLER:
        planned_steps.need_the_rollers(visit, minutes, shop)
    else:
        planned_steps.need_the_bench(visit, minutes)
    planned_steps.forget_pins(visit)
    come_back(visit, shop, now=now)
    when = in_english(shop.local_time.in_words, starts_at)
    trail.about_visit(visit, f"given a time at the {PLACE_WORDS[at]}: {when}, {minutes} min", by=by, now=now)
    notices.time_given(visit, shop, now=now)
    return visit


def _check_it_may_get_a_time(visit: Visit) -> None:
    if visit.state in {states.COLLECTED, states.CALLED_OFF, states.READY}:
        raise Refused(f"Visit {visit.number} is {visit.state_words}: it no longer needs a time.")
    if visit.starts_at is not None and visit.state in states.COMING:
        raise Refused(f"Visit {visit.number} has a time already: move it instead.")


def come_back(visit: Visit, shop: Shop, *, now: datetime) -> None:
    """Inside a change: a visit that had no time and now has one is booked again, or simply here if the machine is."""
    if visit.state not in {states.TO_PUT_RIGHT, states.DID_NOT_COME, states.LAPSED}:
        return
    confirming.forget(visit)
    booked = states.DEPOSIT_AWAITED if visit.deposit > visit.deposit_paid else states.BOOKED
    then = states.HERE if visit.arrived_at and visit.state == states.TO_PUT_RIGHT else booked
    states.check_move(visit.state, then)
    visit.state = then
    visit.save(update_fields=["state"])
    deposits.go_on_with(visit)
    deposits.await_it(visit, shop, now=now)


@transaction.atomic
def call_off(visit: Visit, *, why: str, by: Person, now: datetime, owner_asked: bool = False) -> Visit:
    """Gives all its time back. owner_asked: not the workshop's wish, which decides about the deposit."""
    visit = locks.visit_for_change(visit)
    return _call_off(visit, the_shop(), why.strip(), owner_asked=owner_asked, by=by, now=now)


@transaction.atomic
def call_off_by_owner(visit: Visit, *, why: str, now: datetime) -> Visit:
    """By the personal link, until the machine is here."""
    visit, shop = locks.visit_for_change(visit), the_shop()
    own_changes.check_owner_may_call_off(visit.state, shop.telephone)
    return _call_off(visit, shop, why.strip(), owner_asked=True, by=OWNER, now=now)


@transaction.atomic
def call_off_unpaid(visit: Visit, *, now: datetime) -> Visit:
    """By the shop's rule: nothing of the deposit has come, and the time can be sold again. Asked anew behind the lock:
    what was paid, moved or taken in meanwhile is left alone.
    """
    visit, shop = locks.visit_for_change(visit), the_shop()
    due_on = visit.deposit_due_on
    frees_on = frees_its_time_on(due_on, shop.deposit_frees_after_days)
    is_ahead = visit.starts_at is not None and visit.starts_at > now
    if visit.state != states.DEPOSIT_AWAITED or visit.deposit_paid or not is_ahead or due_on is None:
        return visit
    if frees_on is None or shop.local_time.day(now) < frees_on:
        return visit
    why = f"the deposit did not come by {day_in_words(due_on)}"
    return _call_off(visit, shop, why, owner_asked=False, by=SYSTEM, now=now)


def _call_off(visit: Visit, shop: Shop, why: str, *, owner_asked: bool, by: Actor, now: datetime) -> Visit:
    states.check_move(visit.state, states.CALLED_OFF)
    before, was_proven = visit.starts_at, visit.state not in states.UNPROVEN
    taken_out = notices.taken_out_of_the_diary(visit, shop, now=now)
    had = selling.give_back(visit, shop)
    freed.put_down(visit, had, why=FreedTime.CALLED_OFF, shop=shop, now=now)
    visit.state, visit.called_off_at, visit.called_off_why = states.CALLED_OFF, now, why[:200]
    visit.save(update_fields=["state", "called_off_at", "called_off_why"])
    deposits.end_with(visit, shop, owner_asked=owner_asked, had=before, now=now)
    is_late = before is not None and own_changes.is_late(before, now, shop.late_hours)
    late = f", less than {shop.late_words} before" if is_late else ""
    when = f" ({in_english(shop.local_time.in_words, before)})" if before else ""
    said = f"called off{late}{f': {why}' if why else ''}{when}"
    trail.about_visit(visit, said, by=by, now=now)
    confirming.forget(visit)
    if was_proven:
        notices.called_off(visit, shop, taken_out=taken_out, now=now)
    events.visit_called_off.send(sender=Visit, visit=visit)
    return visit


@transaction.atomic
def put_off(visit: Visit, *, why: str, by: Person, now: datetime) -> Visit:
    """The workshop can't do it at that time. Its owner picks another by the link, and it stands by for an earlier one.

    The time is not offered to anybody: whoever puts it off says in the shop's days or hours why nobody can work.
    """
    visit, shop = locks.visit_for_change(visit), the_shop()
    if visit.state not in states.COMING or visit.starts_at is None:
        raise Refused(f"Visit {visit.number} is {visit.state_words} and has no time to be put off.")
    if not why.strip():
        raise BadInput("Why?", None, "what its owner is told")
    before = visit.starts_at
    taken_out = notices.taken_out_of_the_diary(visit, shop, now=now)
    freed.note(visit, selling.give_back(visit, shop), why=FreedTime.BY_US, now=now)
    planned_steps.forget_pins(visit)
    trail.about_visit(visit, f"put off by us: {why.strip()[:120]} ({shop.local_time.in_words(before)})", by=by, now=now)
    notices.put_off(visit, shop, why=why.strip(), before=before, taken_out=taken_out, now=now)
    return visit


@transaction.atomic
def did_not_come(visit: Visit, *, by: Person, now: datetime) -> Visit:
    """What is left of its time is given back and its owner written to. It can get another one if the owner rings."""
    visit = locks.visit_for_change(visit)
    states.check_move(visit.state, states.DID_NOT_COME)
    if visit.starts_at is None or not is_overdue(visit.state, visit.starts_at, now):
        raise Refused(f"Visit {visit.number} is not due yet: call it off, or move it.")
    before, shop = visit.starts_at, the_shop()
    freed.put_down(visit, selling.give_back(visit, shop), why=FreedTime.NO_SHOW, shop=shop, now=now)
    visit.state = states.DID_NOT_COME
    visit.save(update_fields=["state"])
    deposits.end_with(visit, shop, owner_asked=False, had=before, now=now)
    trail.about_visit(
        visit, f"did not come ({shop.local_time.in_words(before)})", by=by, now=now, was_due_at=before.isoformat()
    )
    notices.did_not_come(visit, shop, before=before, now=now)
    return visit
