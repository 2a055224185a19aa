"""A freed time goes to standby first: whom to ask next, until when, and when it is on sale to everybody.

Within the day there are minutes only, so several are asked at once; before that, one after another, or as many at once
as the shop says. Machines in the building come first. They are given it without a word, since their owners wait for the
rollers or have agreed; of one that was left with us without that its owner is asked whether the work may go on.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from garage.core.selling.freed_minutes import TO_BRING_ONE_MIN, gone_min
from garage.core.time.local_time import LocalTime

WRITES_FROM_MIN, WRITES_UNTIL_MIN = 8 * 60, 20 * 60  # local minutes between which owners are asked; common practice
AT_ONCE_TODAY = 3  # asked at once within the day: "first yes wins"; common practice, no source
EVERY_DAY = frozenset(range(7))
USUAL_NOTICE = timedelta(hours=24)  # of an owner who has not said; common practice, no source
WORTH_OFFERING = timedelta(minutes=15)  # an offer open for less is no offer; common practice, no source
WORTH_ASKING = timedelta(minutes=10)  # likewise, of an owner whose machine is here; common practice, no source


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
    suit, 0 is Monday. starts_at: the time it has, None without one. is_here: in the building. must_be_asked: it was
    left with us, and its owner has not agreed yet that the work goes on. may_have_time: the rule of the rollers allows
    it. can_be_told: its owner by mail or telephone.
    """

    number: int
    at: str
    minutes: int
    since: datetime
    notice: timedelta = USUAL_NOTICE
    weekdays: frozenset[int] = EVERY_DAY
    starts_at: datetime | None = None
    is_here: bool = False
    must_be_asked: bool = False
    may_have_time: bool = True
    can_be_told: bool = True


@dataclass(frozen=True, slots=True)
class OfferMade:
    """number: of the visit that was asked. open_until: None once it is answered. asked_until: of a machine in the
    building, when its question was or will be over; None of any other.
    """

    number: int
    open_until: datetime | None
    asked_until: datetime | None = None

    def is_open(self, now: datetime) -> bool:
        return self.open_until is not None and self.open_until > now


@dataclass(frozen=True, slots=True)
class NextOffers:
    """given: the machine in the building that gets the time. offered: who is asked now, until open_until: owners of
    machines in the building, or on standby, never both. is_through: nobody is left to ask, so it goes on public sale.
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
        is_asked_in_vain = one.must_be_asked and not one.can_be_told
        return not is_asked_in_vain and gone_min(freed.starts_at, freed.minutes, now) + one.minutes <= freed.minutes
    suits = local.day(freed.starts_at).weekday() in one.weekdays
    return suits and one.can_be_told and freed.starts_at - now >= one.notice


def in_order(found: Iterable[OnStandby]) -> list[OnStandby]:
    """Whose turn it is: in the building, there first who need not be asked, then without any time, then the longest
    waiting.
    """
    return sorted(
        found,
        key=lambda one: (not one.is_here, one.must_be_asked, one.starts_at is not None, one.since, one.number),
    )


def goes_on_at(freed: TimeFreed, now: datetime) -> datetime:
    """When a machine in the building that gets the time now begins: with it, or in what is left of it.

    >>> from datetime import UTC
    >>> ten = datetime(2026, 11, 23, 10, tzinfo=UTC)
    >>> goes_on_at(TimeFreed("roller", ten, 90, ten, 41), ten + timedelta(minutes=12)).isoformat()
    '2026-11-23T10:20:00+00:00'
    """
    return freed.starts_at + timedelta(minutes=gone_min(freed.starts_at, freed.minutes, now))


def asked_until(one: OnStandby, freed: TimeFreed, rules: StandbyRules, now: datetime) -> datetime:
    """Until when the owner of a machine in the building may say yes: at most the shop's minutes for a time of the same
    day, and so that its work still fits into what is left then.
    """
    spare = timedelta(minutes=freed.minutes - one.minutes - TO_BRING_ONE_MIN)
    return min(now + timedelta(minutes=rules.today_min), freed.starts_at + max(spare, timedelta(0)))


def after_the_building(freed: TimeFreed, asked: Iterable[datetime | None]) -> TimeFreed:
    """The time as it comes to the owners on standby: once the machines in the building have been asked.

    asked: when each question there is over; None of an offer to somebody else.
    """
    return replace(freed, freed_at=max([freed.freed_at, *(until for until in asked if until)]))


def next_offers(
    freed: TimeFreed,
    standby: Iterable[OnStandby],
    made: Sequence[OfferMade],
    rules: StandbyRules,
    now: datetime,
    local: LocalTime,
) -> NextOffers:
    """What is to be done about a freed time now. made: every offer of it so far."""
    asked = {offer.number: offer for offer in made}
    left = in_order(
        one for one in standby if fits(one, freed, now, local) and not _has_had_its_turn(one, asked.get(one.number))
    )
    here = [one for one in left if one.is_here] if _is_today(freed, begins_at(freed, local), local) else []
    freed = after_the_building(freed, (offer.asked_until for offer in made))
    ends_at = public_at(freed, rules, local)
    if here and now < ends_at and (first := _in_the_building(here, freed, made, rules, now, local)):
        return first
    if any(offer.asked_until and offer.is_open(now) for offer in made):
        return NextOffers()
    return _on_standby([one for one in left if not one.is_here], freed, made, rules, now, local)


def _has_had_its_turn(one: OnStandby, offer: OfferMade | None) -> bool:
    """Not one whose owner was asked whether the work may go on and has meanwhile agreed to it once for all."""
    has_agreed = one.is_here and not one.must_be_asked
    return offer is not None and not (has_agreed and offer.asked_until and offer.open_until)


def _in_the_building(
    here: Sequence[OnStandby],
    freed: TimeFreed,
    made: Sequence[OfferMade],
    rules: StandbyRules,
    now: datetime,
    local: LocalTime,
) -> NextOffers | None:
    """None where nobody of them is given it or asked any more. At night it is kept, and nobody is asked."""
    if not here[0].must_be_asked:
        return NextOffers(given=here[0])
    if not WRITES_FROM_MIN <= local.minute_of_day(now) < WRITES_UNTIL_MIN:
        return NextOffers()
    places = AT_ONCE_TODAY - sum(offer.is_open(now) for offer in made if offer.asked_until)
    until = {one.number: asked_until(one, freed, rules, now) for one in here}
    asked = [one for one in here if until[one.number] - now >= WORTH_ASKING][: max(0, places)]
    return NextOffers(offered=tuple(asked), open_until=min(until[one.number] for one in asked)) if asked else None


def _on_standby(
    left: Sequence[OnStandby],
    freed: TimeFreed,
    made: Sequence[OfferMade],
    rules: StandbyRules,
    now: datetime,
    local: LocalTime,
) -> NextOffers:
    """freed: as it comes to them. left: of those, who fit and were not asked yet, in their order."""
    ends_at, begins = public_at(freed, rules, local), begins_at(freed, local)
    open_count = sum(offer.is_open(now) for offer in made)
    if now >= ends_at or not (left or open_count):
        return NextOffers(is_through=True)
    if now < begins:
        return NextOffers()
    return _asked_now(left, open_count, ends_at, rules, now, is_today=_is_today(freed, begins, local))


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
