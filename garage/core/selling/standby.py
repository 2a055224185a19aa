"""A freed time goes to standby first: whom to ask next, until when, and when it is on sale to everybody.

Within the day there are minutes only, so several are asked at once; before that, one after another, or as many at once
as the shop says. Machines in the building are not asked: they are here, and their owners wait for the rollers.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from garage.core.time.local_time import LocalTime

WRITES_FROM_MIN, WRITES_UNTIL_MIN = 8 * 60, 20 * 60  # local minutes between which owners are asked; common practice
AT_ONCE_TODAY = 3  # asked at once within the day: "first yes wins"; common practice, no source
EVERY_DAY = frozenset(range(7))
USUAL_NOTICE = timedelta(hours=24)  # of an owner who has not said; common practice, no source
WORTH_OFFERING = timedelta(minutes=15)  # an offer open for less is no offer; common practice, no source


@dataclass(frozen=True, slots=True)
class StandbyRules:
    """The shop's own, in minutes. standby_min: before public sale; today_min: likewise, of a time on the same day;
    offer_min: that one offer is open. at_once: offers that are open at the same time.
    """

    standby_min: int
    today_min: int
    offer_min: int
    at_once: int


@dataclass(frozen=True, slots=True)
class TimeFreed:
    """at: roller or bench. minutes: its length. freed_at: when it was given back. not_for: number of the visit that had
    it.
    """

    at: str
    starts_at: datetime
    minutes: int
    freed_at: datetime
    not_for: int


@dataclass(frozen=True, slots=True)
class OnStandby:
    """A visit that could come sooner.

    number: of the visit. at, minutes: what it needs. since: it waits. notice: that its owner needs. weekdays: that
    suit, 0 is Monday. starts_at: the time it has, None without one. is_here: in the building. may_have_time: the rule
    of the rollers allows it. can_be_told: its owner by mail or telephone.
    """

    number: int
    at: str
    minutes: int
    since: datetime
    notice: timedelta = USUAL_NOTICE
    weekdays: frozenset[int] = EVERY_DAY
    starts_at: datetime | None = None
    is_here: bool = False
    may_have_time: bool = True
    can_be_told: bool = True


@dataclass(frozen=True, slots=True)
class OfferMade:
    """number: of the visit that was asked. open_until: None once it is answered or over."""

    number: int
    open_until: datetime | None


@dataclass(frozen=True, slots=True)
class NextOffers:
    """given: the machine in the building that gets the time. offered: who is asked now, until open_until. is_through:
    nobody is left to ask, so that it goes on public sale.
    """

    given: OnStandby | None = None
    offered: tuple[OnStandby, ...] = ()
    open_until: datetime | None = None
    is_through: bool = False


def begins_at(freed: TimeFreed, local: LocalTime) -> datetime:
    """When the first owner is asked: at once, or in the morning of a night."""
    minute, day = local.minute_of_day(freed.freed_at), local.day(freed.freed_at)
    if WRITES_FROM_MIN <= minute < WRITES_UNTIL_MIN:
        return freed.freed_at
    next_morning = day if minute < WRITES_FROM_MIN else day + timedelta(days=1)
    return local.at_minute(next_morning, WRITES_FROM_MIN)


def public_at(freed: TimeFreed, rules: StandbyRules, local: LocalTime) -> datetime:
    """When everybody may book it at the latest.

    >>> from datetime import UTC
    >>> ten = datetime(2026, 11, 23, 10, 0, tzinfo=UTC)
    >>> rules = StandbyRules(standby_min=120, today_min=20, offer_min=30, at_once=1)
    >>> london = LocalTime.named("Europe/London")
    >>> public_at(TimeFreed("roller", ten + timedelta(days=3), 90, ten, 41), rules, london).isoformat()
    '2026-11-23T12:00:00+00:00'
    >>> public_at(TimeFreed("roller", ten + timedelta(hours=4), 90, ten, 41), rules, london).isoformat()
    '2026-11-23T10:20:00+00:00'
    """
    begins = begins_at(freed, local)
    minutes = rules.today_min if _is_today(freed, begins, local) else rules.standby_min
    return min(begins + timedelta(minutes=minutes), max(freed.starts_at, freed.freed_at))


def fits(one: OnStandby, freed: TimeFreed, now: datetime, local: LocalTime) -> bool:
    """Whether the time is of use to this visit: its place and length, sooner than its own, with the notice and on a day
    that suit.
    """
    if one.number == freed.not_for or one.at != freed.at or one.minutes > freed.minutes or not one.may_have_time:
        return False
    if one.starts_at is not None and one.starts_at <= freed.starts_at:
        return False
    if one.is_here:
        return freed.starts_at >= now
    suits = local.day(freed.starts_at).weekday() in one.weekdays
    return suits and one.can_be_told and freed.starts_at - now >= one.notice


def in_order(found: Iterable[OnStandby]) -> list[OnStandby]:
    """Who is asked first: in the building, then without any time, then the longest waiting."""
    return sorted(found, key=lambda one: (not one.is_here, one.starts_at is not None, one.since, one.number))


def next_offers(
    freed: TimeFreed,
    standby: Iterable[OnStandby],
    made: Sequence[OfferMade],
    rules: StandbyRules,
    now: datetime,
    local: LocalTime,
) -> NextOffers:
    """What is to be done about a freed time now. made: every offer of it so far."""
    ends_at = public_at(freed, rules, local)
    asked = {offer.number for offer in made}
    left = in_order(one for one in standby if one.number not in asked and fits(one, freed, now, local))
    is_today = _is_today(freed, begins_at(freed, local), local)
    if left and left[0].is_here and is_today and now < ends_at:
        return NextOffers(given=left[0])
    open_count = sum(offer.open_until is not None and offer.open_until > now for offer in made)
    left = [one for one in left if not one.is_here]
    if now >= ends_at or not (left or open_count):
        return NextOffers(is_through=True)
    if now < begins_at(freed, local):
        return NextOffers()
    return _asked_now(left, open_count, ends_at, rules, now, is_today=is_today)


def _asked_now(
    left: Sequence[OnStandby], open_count: int, ends_at: datetime, rules: StandbyRules, now: datetime, *, is_today: bool
) -> NextOffers:
    at_once = max(rules.at_once, AT_ONCE_TODAY) if is_today else rules.at_once
    until = ends_at if is_today else min(now + timedelta(minutes=rules.offer_min), ends_at)
    free = max(0, at_once - open_count)
    if not free or not left or until - now < min(WORTH_OFFERING, timedelta(minutes=rules.today_min)):
        return NextOffers(is_through=not open_count and bool(left) and bool(free))
    return NextOffers(offered=tuple(left[:free]), open_until=until)


def _is_today(freed: TimeFreed, begins: datetime, local: LocalTime) -> bool:
    return local.day(freed.starts_at) <= local.day(begins)
