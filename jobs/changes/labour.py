"""Labour by the clock: start, stop, correct. A constraint allows each person one running clock."""

from datetime import datetime, timedelta

from django.db import transaction

from garage.changes import trail
from garage.changes.day.locks import visit_for_change
from garage.core.errors import BadInput, Refused
from garage.models.people import Person
from garage.models.visits import Visit
from garage.reads.shop import the_shop
from jobs.changes import cards
from jobs.core.tapped import CLOCKS_DIFFER
from jobs.models.cards import Labour
from jobs.reads.access import running_clock


def start(visit: Visit, *, by: Person, now: datetime) -> Labour:
    with transaction.atomic():
        visit = visit_for_change(visit)
        Person.objects.select_for_update().get(pk=by.pk)
        if running := running_clock(by):
            where = running.card.visit
            raise Refused(f"Your clock is running on visit {where.number}, {where.machine.words}: stop it there first.")
        _check_no_overlap(by, now)
        return _started(visit, by=by, now=now)


def _check_no_overlap(by: Person, began_at: datetime) -> None:
    """Of a start that was tapped earlier and arrives now: the person's clock may have run since, on any card."""
    rows = Labour.objects.filter(by=by, ended_at__gt=began_at).select_related("card__visit__machine")
    if ran := rows.order_by("ended_at").last():
        where, ended_at = ran.card.visit, ran.ended_at or began_at
        began, ended = (the_shop().local_time.shown(at) for at in (began_at, ended_at))
        raise Refused(
            f"Your clock ran on visit {where.number}, {where.machine.words}, until {ended:%H:%M}: "
            f"one started at {began:%H:%M} would overlap with it."
        )


def start_with_a_step(visit: Visit, *, by: Person, now: datetime) -> None:
    """Whoever begins work at a station has the clock running there; one left running on another visit stops.

    Raises Refused if the card is closed, because work done on it could not be charged.
    """
    with transaction.atomic():
        visit = visit_for_change(visit)
        Person.objects.select_for_update().get(pk=by.pk)
        running = running_clock(by)
        if running and running.card.visit_id == visit.pk:
            return
        if running:  # without its visit's lock: two people who change places would wait for each other
            _stopped(running, by=by, now=now)
        _started(visit, by=by, now=now)


def stop_with_a_step(visit: Visit, *, whose: Person, by: Person, now: datetime) -> None:
    """The work at a station is over, whoever says so."""
    with transaction.atomic():
        running = running_clock(whose)
        if running and running.card.visit_id == visit.pk:
            _stopped(_locked(running), by=by, now=now)


def _started(visit: Visit, *, by: Person, now: datetime) -> Labour:
    card = cards.opened(visit, by=by, now=now)
    labour = Labour.objects.create(card=card, by=by, began_at=now)
    trail.about_visit(visit, "started the clock", by=by, now=now)
    return labour


def stop(labour: Labour, *, by: Person, now: datetime) -> None:
    """Stops your own clock, or one that somebody else forgot. The trail says who stopped whose."""
    with transaction.atomic():
        labour = _locked(labour)
        if labour.ended_at:
            raise Refused("This clock has already stopped.")
        if labour.began_at - now > CLOCKS_DIFFER:
            began, stop = (the_shop().local_time.shown(at) for at in (labour.began_at, now))
            raise Refused(f"This clock was started at {began:%H:%M}, after this stop at {stop:%H:%M}: stop it anew.")
        _stopped(labour, by=by, now=now)


def stop_own(visit: Visit, *, by: Person, now: datetime) -> None:
    """Stops by's clock on this visit, for who doesn't know which it is: the page's start may still have waited."""
    with transaction.atomic():
        running = running_clock(by)
        if running is None or running.card.visit_id != visit.pk:
            raise Refused(f"Your clock isn't running on visit {visit.number}.")
        stop(running, by=by, now=now)


def stop_after(labour: Labour, *, minutes: int, by: Person, now: datetime) -> None:
    """Stops a clock that was forgotten: only these minutes were worked. Call it inside a change that has locked the
    visit.
    """
    ran = _minutes(labour.began_at, max(now, labour.began_at))
    if not min(1, ran) <= minutes <= ran:
        raise BadInput(f"Minutes worked by {labour.by.name}", minutes, f"{min(1, ran)} to {ran}, what the clock shows")
    _stopped(labour, by=by, now=now)
    if minutes < ran:
        put_right(labour, minutes=minutes, by=by, now=now)


def _stopped(labour: Labour, *, by: Person, now: datetime) -> None:
    ended_at = max(now, labour.began_at)
    labour.ended_at = ended_at
    labour.save(update_fields=["ended_at"])
    whose = "the clock" if labour.by_id == by.pk else f"{labour.by.name}'s clock"
    did = f"stopped {whose} after {_minutes(labour.began_at, ended_at)} min"
    trail.about_visit(labour.card.visit, did, by=by, now=now)


def put_right(labour: Labour, *, minutes: int, by: Person, now: datetime) -> None:
    """Shortens a clock that was left running to the time worked. The trail keeps the old value."""
    with transaction.atomic():
        labour = _locked(labour)
        cards.opened(labour.card.visit, by=by, now=now)
        if not labour.ended_at:
            raise Refused("This clock is still running: stop it, then correct it.")
        before = _minutes(labour.began_at, labour.ended_at)
        if not 0 <= minutes <= before:
            raise BadInput("minutes", minutes, f"0 to {before}, what the clock showed")
        labour.ended_at = labour.began_at + timedelta(minutes=minutes)
        labour.save(update_fields=["ended_at"])
        did = f"put {labour.by.name}'s clock right: {minutes} min instead of {before}"
        trail.about_visit(labour.card.visit, did, by=by, now=now, labour=labour.pk)


def _locked(labour: Labour) -> Labour:
    visit_for_change(labour.card.visit)
    return Labour.objects.select_related("by", "card__visit").get(pk=labour.pk)


def _minutes(began_at: datetime, ended_at: datetime) -> int:
    return (ended_at - began_at) // timedelta(minutes=1)
