"""Every change of a visit as a whole: booked, moved, called off, ready, collected. Order: lock, check, write, tell."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from garage import events
from garage.changes import locks, notices, planned_steps, selling, trail
from garage.changes.routes import fix_first
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.core.money import in_words as money_words
from garage.core.selling import own_changes
from garage.core.selling.draft import Draft
from garage.core.time import clock
from garage.models.actors import OWNER
from garage.models.owners import Machine, MachineKind, Owner
from garage.models.people import Person
from garage.models.shop import BENCH, ROLLER, VisitKind
from garage.models.visits import Hold, Visit
from garage.reads import free
from garage.reads.shop import the_shop

READY_AFTER_A_FAILED_GATE = 0.5  # chance at most; nothing better is known until it is judged again. No source
_PLACES = {ROLLER: "rollers", BENCH: "bench"}


@transaction.atomic
def book(draft: Draft, *, browser: str) -> Visit:
    """Online: uses up the browser's hold; without one the time is taken if still free. Sent twice, booked once."""
    kind, shop, now = _kind(draft), the_shop(), timezone.now()
    locks.days_for_change(selling.local_day_of(draft.starts_at))
    if booked := Visit.objects.filter(calendar_uid=draft.key).first():
        return booked
    asked = free.asked_online(kind, shop)
    held = Hold.objects.filter(browser=browser, kind=kind, starts_at=draft.starts_at, expires_at__gt=now)
    if held.exists():
        asked = free.asked_held(kind, shop)
    Hold.objects.filter(browser=browser).delete()
    return _book(draft, kind, asked, by=None)


@transaction.atomic
def book_at_the_desk(draft: Draft, *, by: Person) -> Visit:
    """On the telephone or at the counter: no hold and no notice, but no more than the day can do either."""
    kind = _kind(draft)
    locks.days_for_change(selling.local_day_of(draft.starts_at))
    if booked := Visit.objects.filter(calendar_uid=draft.key).first():
        return booked
    return _book(draft, kind, free.asked_at_the_desk(kind, the_shop()), by=by)


def _kind(draft: Draft) -> VisitKind:
    kind = VisitKind.objects.filter(slug=draft.kind_slug, is_offered=True).first()
    if kind is None:
        raise Refused("This kind of visit is not offered any more: choose another on the front page.")
    return kind


def _machine(draft: Draft) -> Machine:
    """The machine that was here before, or a new record of machine and owner: doubles are joined by the workshop."""
    if draft.machine_id is not None:
        known = Machine.objects.select_related("owner").filter(pk=draft.machine_id, joined_into=None).first()
        if known is None:
            raise Refused("That machine's record is joined to another: look it up again and book from there.")
        return known
    now = timezone.now()
    owner = Owner.objects.create(name=draft.name, email=draft.email, telephone=draft.telephone, first_seen_at=now)
    kind = MachineKind.objects.filter(pk=draft.machine_kind_id).first()
    return Machine.objects.create(owner=owner, kind=kind, words=draft.machine_words, year=draft.year)


def _book(draft: Draft, kind: VisitKind, asked: free.Asked, *, by: Person | None) -> Visit:
    machine = _machine(draft)
    visit = Visit.objects.create(
        number=locks.next_visit_number(),
        owner=machine.owner,
        machine=machine,
        kind=kind,
        state=states.DEPOSIT_AWAITED if kind.deposit else states.BOOKED,
        booked_at=timezone.now(),
        wants=draft.wants,
        price=kind.price,
        deposit=kind.deposit,
        calendar_uid=draft.key,
    )
    selling.sell(visit, asked=asked, starts_at=draft.starts_at)
    planned_steps.plan_booked(visit)
    trail.about_visit(visit, f"booked: {kind.name}, {_when(visit.starts_at)}", by=by or OWNER)
    notices.booked(visit)
    events.visit_booked.send(sender=Visit, visit=visit)
    return visit


@transaction.atomic
def move(visit: Visit, *, starts_at: datetime, by: Person | None = None) -> Visit:
    """To another time at the same place. An owner (by is None) may do so until a day before."""
    visit, shop = locks.visit_for_change(visit), the_shop()
    if by is None:
        own_changes.check_owner_may_move(visit.state, visit.starts_at, timezone.now(), shop.telephone)
    if visit.state in states.OVER or visit.starts_at is None:
        raise Refused(f"Visit {visit.number} is {visit.state_words} and has no time that could be moved.")
    before, at, minutes = visit.starts_at, visit.at, visit.minutes
    locks.days_for_change(selling.local_day_of(before), selling.local_day_of(starts_at))
    asked = free.asked_for(visit, at=at, minutes=minutes, shop=shop, is_owner=by is None)
    selling.give_back(visit)
    selling.sell(visit, asked=asked, starts_at=starts_at)
    planned_steps.forget_pins(visit)
    said = f"moved from {_when(before)} to {_when(starts_at)}"
    trail.about_visit(visit, said, by=by or OWNER)
    notices.moved(visit)
    return visit


@transaction.atomic
def give_time(visit: Visit, *, at: str, starts_at: datetime, minutes: int, by: Person) -> Visit:
    """A time for a visit without one: to put it right at the bench, or for the rollers once it is."""
    visit, shop = locks.visit_for_change(visit), the_shop()
    if at not in (ROLLER, BENCH) or minutes <= 0:
        raise BadInput("place and minutes", f"{at}, {minutes}", "bench or roller, and a length above 0")
    _check_it_may_get_a_time(visit)
    days = [selling.local_day_of(moment) for moment in (visit.starts_at, starts_at) if moment]
    locks.days_for_change(*days)
    asked = free.asked_for(visit, at=at, minutes=minutes, shop=shop)
    selling.give_back(visit)
    selling.sell(visit, asked=asked, starts_at=starts_at)
    if at == ROLLER:
        planned_steps.need_the_rollers(visit, minutes)
    else:
        planned_steps.need_the_bench(visit, minutes)
    planned_steps.forget_pins(visit)
    _come_back(visit)
    trail.about_visit(visit, f"given a time at the {_PLACES[at]}: {_when(starts_at)}, {minutes} min", by=by)
    notices.time_given(visit)
    return visit


def _check_it_may_get_a_time(visit: Visit) -> None:
    if visit.state in {states.COLLECTED, states.CALLED_OFF, states.READY}:
        raise Refused(f"Visit {visit.number} is {visit.state_words}: it needs no time any more.")
    if visit.starts_at is not None and visit.state in states.COMING:
        raise Refused(f"Visit {visit.number} has a time already: move it instead.")


def _come_back(visit: Visit) -> None:
    """A visit without a time that now has one is booked again, or simply here if the machine is."""
    if visit.state not in {states.TO_PUT_RIGHT, states.DID_NOT_COME}:
        return
    then = states.HERE if visit.arrived_at and visit.state == states.TO_PUT_RIGHT else states.BOOKED
    states.check_move(visit.state, then)
    visit.state = then
    visit.save(update_fields=["state"])


@transaction.atomic
def call_off(visit: Visit, *, why: str, by: Person | None = None) -> Visit:
    """Gives all its time back. An owner (by is None) may do so until the machine is here."""
    visit = locks.visit_for_change(visit)
    if by is None:
        own_changes.check_owner_may_call_off(visit.state, the_shop().telephone)
    states.check_move(visit.state, states.CALLED_OFF)
    before = visit.starts_at
    taken_out = notices.taken_out_of_the_diary(visit)
    selling.give_back(visit)
    visit.state, visit.called_off_at, visit.called_off_why = states.CALLED_OFF, timezone.now(), why.strip()[:200]
    visit.save(update_fields=["state", "called_off_at", "called_off_why"])
    said = f"called off{': ' + why.strip() if why.strip() else ''}{' (' + _when(before) + ')' if before else ''}"
    trail.about_visit(visit, said, by=by or OWNER)
    notices.called_off(visit, taken_out=taken_out)
    events.visit_called_off.send(sender=Visit, visit=visit)
    return visit


@transaction.atomic
def did_not_come(visit: Visit, *, by: Person) -> Visit:
    """Its time is given back; it can be given another one if the owner rings."""
    visit = locks.visit_for_change(visit)
    states.check_move(visit.state, states.DID_NOT_COME)
    if visit.starts_at is None or visit.starts_at > timezone.now():
        raise Refused(f"Visit {visit.number} is not due yet: call it off, or move it.")
    before = visit.starts_at
    selling.give_back(visit)
    visit.state = states.DID_NOT_COME
    visit.save(update_fields=["state"])
    trail.about_visit(visit, f"did not come ({_when(before)})", by=by, was_due_at=before.isoformat())
    return visit


@transaction.atomic
def become(visit: Visit, state: str, *, by: Person) -> Visit:
    """Any change of state that the floor makes; ready, collected and not come have their own consequences."""
    if state not in states.WORDS:
        raise BadInput("state", state, "one of the states of a visit")
    own = {states.READY: made_ready, states.COLLECTED: collected, states.DID_NOT_COME: did_not_come}
    if state in own:
        return own[state](visit, by=by)
    if state == states.CALLED_OFF:
        raise Refused("Calling a visit off needs a reason: use its own page for that.")
    return _become(locks.visit_for_change(visit), state, by=by)


def _become(visit: Visit, state: str, *, by: Person, **also: datetime) -> Visit:
    states.check_move(visit.state, state)
    visit.state = state
    for field, value in also.items():
        setattr(visit, field, value)
    visit.save(update_fields=["state", *also])
    trail.about_visit(visit, f"now {visit.state_words}", by=by)
    return visit


@transaction.atomic
def made_ready(visit: Visit, *, by: Person) -> Visit:
    """The work is done and the owner is told; what is left of its time can be sold again."""
    visit = _become(locks.visit_for_change(visit), states.READY, by=by, ready_at=timezone.now())
    selling.free_what_is_ahead(visit)
    notices.ready_to_collect(visit)
    return visit


@transaction.atomic
def collected(visit: Visit, *, by: Person) -> Visit:
    visit = _become(locks.visit_for_change(visit), states.COLLECTED, by=by, collected_at=timezone.now())
    selling.free_what_is_ahead(visit)
    return visit


@transaction.atomic
def deposit_came(visit: Visit, *, amount: Decimal, by: Person) -> Visit:
    """Money towards the deposit; once it is whole the visit is booked for good."""
    visit = locks.visit_for_change(visit)
    if amount <= 0:
        raise BadInput("deposit", money_words(amount), "an amount above 0")
    if visit.state in states.OVER:
        raise Refused(f"Visit {visit.number} is {visit.state_words}: it takes no deposit any more.")
    visit.deposit_paid += amount
    if visit.state == states.DEPOSIT_AWAITED and visit.deposit_paid >= visit.deposit:
        visit.state = states.BOOKED
    visit.save(update_fields=["deposit_paid", "state"])
    trail.about_visit(visit, f"deposit of {money_words(amount)} came", by=by)
    notices.deposit_came(visit, amount=amount)
    events.deposit_recorded.send(sender=Visit, visit=visit)
    return visit


@transaction.atomic
def deposit_went_back(visit: Visit, *, amount: Decimal, by: Person) -> Visit:
    """Given back to the owner, after a calling-off for the most part; what the visit is stays as it is."""
    visit = locks.visit_for_change(visit)
    if not 0 < amount <= visit.deposit_paid:
        raise BadInput("deposit", money_words(amount), f"up to {money_words(visit.deposit_paid)}, what came of it")
    visit.deposit_paid -= amount
    visit.save(update_fields=["deposit_paid"])
    trail.about_visit(visit, f"deposit of {money_words(amount)} given back", by=by)
    return visit


@transaction.atomic
def gate_passed(visit: Visit, *, by: Person) -> Visit:
    """From now on it may go on the rollers: passed, or let through by a named person."""
    visit = locks.visit_for_change(visit)
    if visit.state not in states.IN_THE_BUILDING:
        raise Refused(f"Visit {visit.number} is {visit.state_words}: take the machine in first.")
    visit.gate_passed_at = timezone.now()
    visit.save(update_fields=["gate_passed_at"])
    trail.about_visit(visit, "let through the gate", by=by)
    return visit


@transaction.atomic
def gate_failed(visit: Visit, *, reasons: list[str], bench_minutes: int, by: Person) -> Visit:
    """To fix first: the rollers are free again, bench work and another gate are planned before them."""
    visit = locks.visit_for_change(visit)
    if visit.gate_passed_at is not None:
        visit.gate_passed_at = None
        visit.save(update_fields=["gate_passed_at"])
    trail.about_visit(visit, "failed the gate", by=by, reasons=list(reasons))
    chance = min(visit.ready_chance, READY_AFTER_A_FAILED_GATE)
    visit = fix_first(visit, reasons=reasons, ready_chance=chance, bench_minutes=bench_minutes, by=by)
    if visit.kind.at == ROLLER:
        planned_steps.need_the_rollers(visit, visit.kind.minutes)
    return visit


def _when(at: datetime) -> str:
    return clock.in_words(at, clock.zone(the_shop().zone))
