"""Selling a time and giving it back: one row per place and five minutes, on a day that can still do everything.

The day's row is locked first, so that the following checks see everything already sold. The unique constraint on the
pieces backs them up: it would refuse a second sale even without the lock.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from functools import partial

from django.db import IntegrityError, transaction

from garage.changes.day import locks
from garage.changes.day.constraints import broke
from garage.changes.mail import gathered
from garage.core import roller_rule
from garage.core.errors import Refused
from garage.core.roller_rule import RollerAct
from garage.core.text.languages import told
from garage.core.time import clock
from garage.core.time.day_minutes import rounded_up_min
from garage.core.time.local_time import LocalTime
from garage.core.time.roller_hours import hours_in_words
from garage.models.shop import ROLLER, Shop
from garage.models.visits import Hold, SoldPiece, Visit
from garage.reads import free, selling
from garage.reads.roller_facts import roller_facts_of


class TimeTaken(Refused):
    """The time is not free. asked: what was wanted, so that a page can offer the nearest free times."""

    def __init__(self, sentence: str, *, asked: free.Asked, starts_at: datetime) -> None:
        self.asked, self.starts_at = asked, starts_at
        super().__init__(sentence)


@dataclass(frozen=True, slots=True)
class AgreedTime:
    """A time that a visit had. place: the n-th of its kind, as it was sold."""

    at: str
    place: int
    starts_at: datetime
    minutes: int


@transaction.atomic
def hold_time(hold: Hold, asked: free.Asked, *, now: datetime) -> None:
    """Takes the pieces of a hold that has just been written. The caller has locked its day."""
    _take(asked, hold.starts_at, partial(SoldPiece, hold=hold), now=now)


@transaction.atomic
def sell(visit: Visit, *, asked: free.Asked, starts_at: datetime, now: datetime) -> None:
    """To a visit that has no time. Raises TimeTaken if this one is not free, Refused if it can't be sold at all.

    Every agreed time is sold here, so whoever gives or moves one asks the rule of the rollers with it.
    """
    if visit.starts_at is not None:
        raise Refused(f"Visit {visit.number} has a time already: move it instead.")
    if asked.at == ROLLER:
        roller_rule.check(RollerAct.HAVE_TIME, roller_facts_of(visit))
    locks.days_for_change(asked.shop.local_time.day(starts_at))
    minutes = rounded_up_min(asked.minutes)
    _take(asked, starts_at, partial(SoldPiece, visit=visit), now=now)
    visit.at, visit.starts_at, visit.minutes = asked.at, starts_at, minutes
    visit.save(update_fields=["at", "starts_at", "minutes"])


@transaction.atomic
def give_back(visit: Visit, shop: Shop) -> AgreedTime | None:
    """Frees everything sold to the visit, which then has no time: the one that it had, None if it had none.

    Whoever gives one back puts it down (changes/day/freed.py) once all that the visit takes instead is sold.
    """
    if visit.starts_at is None:
        return None
    place = SoldPiece.objects.filter(visit=visit).order_by("begins_at").values_list("place", flat=True).first()
    had = AgreedTime(visit.at, place or 1, visit.starts_at, visit.minutes)
    locks.days_for_change(shop.local_time.day(visit.starts_at))
    SoldPiece.objects.filter(visit=visit).delete()
    gathered.drop_what_told_of_its_time(visit)
    visit.at, visit.starts_at, visit.minutes = "", None, 0
    visit.save(update_fields=["at", "starts_at", "minutes"])
    return had


@transaction.atomic
def free_what_is_ahead(visit: Visit, shop: Shop, *, now: datetime) -> None:
    """The visit ended early: unused time can be sold again, and its agreed time stays on record."""
    if visit.starts_at is not None:
        locks.days_for_change(shop.local_time.day(visit.starts_at))
        SoldPiece.objects.filter(visit=visit, begins_at__gt=now).delete()


def free_lapsed_on(day: date, local: LocalTime, *, now: datetime) -> None:
    """Frees the pieces of lapsed holds on a locked day, before anybody looks for a place."""
    start, end = local.bounds(day, day)
    lapsed = Hold.objects.filter(expires_at__lte=now, starts_at__gte=start, starts_at__lt=end)
    Hold.objects.filter(pk__in=[hold.pk for hold in lapsed.select_for_update(skip_locked=True)]).delete()


def _take(asked: free.Asked, starts_at: datetime, piece: partial[SoldPiece], *, now: datetime) -> None:
    local = asked.shop.local_time
    day = local.day(starts_at)
    free_lapsed_on(day, local, now=now)
    found = free.search_days(asked, day, day, now)
    _check_it_can_be_sold(asked, found, starts_at)
    taken = TimeTaken(_taken_words(starts_at, asked.shop), asked=asked, starts_at=starts_at)
    pieces = selling.pieces_of(starts_at, asked.minutes)
    places = selling.lowest_free(found.taken, pieces, found.places)
    if places is None or not found.allows(starts_at):
        raise taken
    rows = [piece(at=asked.at, place=place, begins_at=at) for place, at in zip(places, pieces, strict=True)]
    try:
        with transaction.atomic():
            SoldPiece.objects.bulk_create(rows)
    except IntegrityError as error:
        if broke(error, SoldPiece, "never_sold_twice"):
            raise taken from error
        raise


def _check_it_can_be_sold(asked: free.Asked, found: free.Search, starts_at: datetime) -> None:
    """On the grid of pieces, during opening hours, and neither too soon nor too far ahead."""
    shop, opening = asked.shop, found.read.opening
    words, day = found.local.in_words(starts_at), found.local.day(starts_at)
    if (starts_at - clock.EPOCH) % clock.PIECE:
        raise Refused(told("{when} is not a multiple of five minutes: choose one of the times shown.", when=words))
    hours = opening.opening(day, found.local)
    if hours is None:
        why = opening.why_closed(day)
        on = clock.day_in_words(day)
        raise Refused(told("{name} is closed on {day} ({why}): choose another day.", name=shop.name, day=on, why=why))
    opens, closes = hours
    ends_at = selling.pieces_of(starts_at, asked.minutes)[-1] + clock.PIECE
    if starts_at < opens or ends_at > closes:
        raise Refused(told("{when} is outside the opening hours of that day: choose another time.", when=words))
    if not found.is_in_roller_hours(starts_at):
        why = hours_in_words(opening.quiet_rollers(day))
        raise Refused(
            told(
                "{when} is outside the roller hours: that day the rollers {run}. Choose another time.",
                when=words,
                run=why,
            )
        )
    if clock.minutes_between(found.read.now, starts_at) < asked.notice_min:
        raise Refused(
            told(
                "{when} is too soon to book here: choose a later time, or ring {telephone}.",
                when=words,
                telephone=shop.telephone,
            )
        )
    if (day - found.read.today).days > shop.bookable_days:
        most = shop.bookable_days
        raise Refused(told("{when} is too far ahead: times can be booked {days} days ahead.", when=words, days=most))


def _taken_words(starts_at: datetime, shop: Shop) -> str:
    words = shop.local_time.in_words(starts_at)
    return told("{when} is not free any more. Choose another time; nothing you have typed is lost.", when=words)
