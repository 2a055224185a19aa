"""Times of a day that came free: who was asked, until when, and the answer. Machines in the building come first."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from garage.models.shop import Shop
from garage.models.standby import FreedTime, Offer
from garage.models.visits import Visit
from garage.reads.standby import freed_on

HERE_WORDS = {
    Offer.YES: "yes: it goes on",
    Offer.NO: "no, not now",
    Offer.LAPSED: "no answer in time",
    Offer.GONE: "another machine was sooner",
}
WORDS = {**HERE_WORDS, Offer.YES: "yes: it comes", Offer.NO: "no", Offer.GONE: "somebody else was sooner"}
HAD_AGREED, WAITS = "given it: its owner had agreed", "given it: its owner waits for the rollers"


@dataclass(frozen=True)
class AskedOwner:
    """asked: what it was asked. says: the answer, or until when there may be one."""

    visit: Visit
    asked: str
    says: str
    is_open: bool


@dataclass(frozen=True)
class Gap:
    """A time that came free. is_open: somebody is still asked, or about to be."""

    time: FreedTime
    asked: tuple[AskedOwner, ...]
    is_open: bool


def gaps_on(day: date, shop: Shop, *, now: datetime) -> tuple[Gap, ...]:
    """Of that local day, those that somebody was asked about or that are kept for somebody."""
    gaps = (_gap(row, shop, now) for row in freed_on(day, shop.local_time))
    return tuple(gap for gap in gaps if gap.asked or gap.is_open)


def _gap(row: FreedTime, shop: Shop, now: datetime) -> Gap:
    offers = sorted(row.offers.all(), key=lambda offer: (not offer.in_the_building, offer.offered_at, offer.pk))
    return Gap(row, tuple(_asked(offers, shop, now)), is_open=row.closed_at is None)


def _asked(offers: Iterable[Offer], shop: Shop, now: datetime) -> Iterable[AskedOwner]:
    for offer in offers:
        visit = offer.visit
        if offer.answer == Offer.GIVEN:
            yield AskedOwner(visit, "in the building", HAD_AGREED if visit.is_left_with_us else WAITS, is_open=False)
            continue
        asked = "in the building, may the work go on?" if offer.in_the_building else "on standby, offered it."
        yield AskedOwner(visit, asked, _says(offer, shop, now), is_open=offer.is_open(now))


def _says(offer: Offer, shop: Shop, now: datetime) -> str:
    if offer.is_open(now):
        return f"asked until {shop.local_time.shown(offer.open_until):%H:%M}"
    words = (HERE_WORDS if offer.in_the_building else WORDS)[offer.answer or Offer.LAPSED]
    if offer.answer in {Offer.YES, Offer.NO} and offer.answered_at:
        return f"{words}, {shop.local_time.shown(offer.answered_at):%H:%M}"
    return words
