"""Standby as the rules of core/selling/standby.py take it: who would come sooner, which times are on offer to whom."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, timedelta

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet

from garage.core import states
from garage.core.roller_rule import RollerAct, stop_for
from garage.core.routes import DO_NOT_RUN, FIX_FIRST, PHONE_FIRST
from garage.core.selling.owner_choice import ASKED
from garage.core.selling.standby import (
    EVERY_DAY,
    USUAL_NOTICE,
    OfferMade,
    OnStandby,
    StandbyRules,
    TimeFreed,
    fits,
)
from garage.core.time.local_time import LocalTime
from garage.models.shop import ROLLER, Shop
from garage.models.standby import FreedTime, Offer, Standby
from garage.models.visits import Step, Visit
from garage.reads.roller_facts import roller_facts_of

_MAY_GO_ON = states.IN_THE_BUILDING - {states.READY, states.WAITING_FOR_PARTS}
_WAIT_FOR_SOMETHING = (FIX_FIRST, DO_NOT_RUN, PHONE_FIRST)  # routes that are not ready for the rollers


def rules_of(shop: Shop) -> StandbyRules:
    return StandbyRules(
        standby_min=shop.standby_minutes,
        today_min=shop.standby_today_minutes,
        offer_min=shop.offer_minutes,
        at_once=max(1, shop.offers_at_once),
    )


def time_freed(row: FreedTime) -> TimeFreed:
    return TimeFreed(row.at, row.starts_at, row.minutes, row.kept_from or row.freed_at, not_for=row.visit.number)


def offers_made(row: FreedTime) -> list[OfferMade]:
    """Every offer of this time. What was answered is not open any more."""
    return [_offer_made(offer) for offer in row.offers.all()]


def _offer_made(offer: Offer) -> OfferMade:
    asked_until = (offer.answered_at or offer.open_until) if offer.in_the_building else None
    return OfferMade(offer.visit.number, None if offer.answer else offer.open_until, asked_until)


def on_standby(at: str) -> list[OnStandby]:
    """Everybody who could use a time at this kind of place sooner: who asked for it, and who has no time."""
    return [_on_standby(visit) for visit in standing_by(at)]


def standing_by(at: str) -> QuerySet[Visit]:
    """Coming: those whose owner asked, and those without a time that wait for nothing else. In the building: those that
    have passed the gate, or its part at the bench, and wait for the rollers alone.
    """
    asked = Q(state__in=states.COMING, standby__isnull=False, starts_at__isnull=False, at=at)
    no_time = Q(state__in=states.COMING, starts_at=None, route_asked="", to_ask=[]) & ~Q(route__in=_WAIT_FOR_SOMETHING)
    rollers = Step.objects.filter(visit=OuterRef("pk"), at=ROLLER, began_at=None)
    passed = Q(gate_passed_at__isnull=False) | Q(gate_at_bench_passed_at__isnull=False)
    here = passed & Q(state__in=_MAY_GO_ON) & ~Q(at=ROLLER)
    rows = Visit.objects.filter(asked | no_time | here & Exists(rollers), kind__at=at).exclude(choice=ASKED)
    return rows.select_related("kind", "owner", "machine", "standby").order_by("number")


def stands_by(visit: Visit) -> Standby | None:
    """What its owner asked for, None if nothing."""
    return getattr(visit, "standby", None)


def suits(visit: Visit, freed: TimeFreed, *, shop: Shop, now: datetime) -> OnStandby | None:
    """The visit as it stands by now, if the time is still of use to it."""
    found = standing_by(freed.at).filter(pk=visit.pk).first()
    one = _on_standby(found) if found else None
    return one if one and fits(one, freed, now, shop.local_time) else None


def may_agree_to_go_on(visit: Visit) -> bool:
    """Whether its owner can say that it goes on the rollers when they come free: left with us, without a time there."""
    is_open = visit.state not in states.OVER | {states.READY}
    return visit.is_left_with_us and visit.kind.at == ROLLER and visit.at != ROLLER and is_open


def could_be_kept_again(now: datetime, local: LocalTime) -> QuerySet[FreedTime]:
    """Times of today, not over yet, that came free when nobody could use them, and went on sale to everybody."""
    since, until = local.bounds(local.day(now), local.day(now))
    taken = Offer.objects.filter(time=OuterRef("pk"), answer__in=[Offer.YES, Offer.GIVEN])
    rows = FreedTime.objects.filter(closed_at__isnull=False, starts_at__gte=since, starts_at__lt=until)
    return rows.exclude(Exists(taken)).select_related("visit__kind").order_by("starts_at", "pk")


def passed_the_gate_since(at: str, moment: datetime) -> list[OnStandby]:
    """Machines in the building that could not have used a time which came free before that moment."""
    later = Q(gate_at_bench_passed_at__gt=moment) | Q(gate_passed_at__gt=moment)
    return [one for visit in standing_by(at).filter(later) if (one := _on_standby(visit)).is_here]


def being_offered() -> QuerySet[FreedTime]:
    """Times that are kept for standby, the soonest first."""
    rows = FreedTime.objects.filter(closed_at=None).select_related("visit", "hold")
    offers = Offer.objects.select_related("visit__owner", "visit__machine")
    return rows.prefetch_related(Prefetch("offers", queryset=offers)).order_by("starts_at", "pk")


def freed_on(day: date, local: LocalTime) -> QuerySet[FreedTime]:
    """Times of that local day that came free, with everybody who was asked."""
    since, until = local.bounds(day, day)
    rows = FreedTime.objects.filter(starts_at__gte=since, starts_at__lt=until).select_related("visit__machine", "hold")
    offers = Offer.objects.select_related("visit__owner", "visit__machine")
    return rows.prefetch_related(Prefetch("offers", queryset=offers)).order_by("starts_at", "pk")


def offers_open_to(visit: Visit, now: datetime) -> QuerySet[Offer]:
    rows = Offer.objects.filter(visit=visit, answer="", open_until__gt=now, time__closed_at=None)
    return rows.select_related("time").order_by("time__starts_at")


def _on_standby(visit: Visit) -> OnStandby:
    asked: Standby | None = getattr(visit, "standby", None)
    is_here = visit.state in states.IN_THE_BUILDING
    return OnStandby(
        number=visit.number,
        at=visit.kind.at,
        minutes=visit.minutes if visit.at == visit.kind.at else visit.kind.minutes,
        since=asked.asked_at if asked else visit.chosen_at or visit.route_at or visit.booked_at,
        notice=timedelta(hours=asked.notice_hours) if asked else USUAL_NOTICE,
        weekdays=_days(asked.weekdays) if asked else EVERY_DAY,
        starts_at=None if is_here else visit.starts_at,
        is_here=is_here,
        must_be_asked=is_here and visit.is_asked_to_go_on,
        may_have_time=stop_for(RollerAct.HAVE_TIME, roller_facts_of(visit)) is None,
        can_be_told=bool(visit.owner.email or visit.owner.telephone),
    )


def _days(text: Iterable[str]) -> frozenset[int]:
    return frozenset(int(day) for day in text)
