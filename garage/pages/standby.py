"""Standby on pages: what its owner asked for, an offer, and for the workshop who stands by and what is on offer."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from garage.core import states
from garage.core.text.languages import told
from garage.core.time.clock import WEEKDAYS
from garage.models.shop import BENCH, ROLLER
from garage.models.standby import FreedTime, Offer, Standby
from garage.models.visits import Visit
from garage.reads.standby import being_offered, may_agree_to_go_on, offers_open_to, standing_by, stands_by


@dataclass(frozen=True)
class OwnerStandbyPage:
    """row: what was asked for, None if nothing was."""

    visit: Visit
    row: Standby | None

    @property
    def may_ask(self) -> bool:
        return self.visit.state in states.COMING

    @property
    def may_agree(self) -> bool:
        """Its owner can say that it goes on the rollers when they come free."""
        return may_agree_to_go_on(self.visit)


@dataclass(frozen=True)
class OwnerOfferPage:
    """is_open: there is still something to say."""

    offer: Offer
    is_open: bool


@dataclass(frozen=True)
class VisitStandbyPage(OwnerStandbyPage):
    """For the desk. offers: open to this visit now."""

    offers: tuple[Offer, ...]


@dataclass(frozen=True)
class StandbyLine:
    """words: what it waits for and what suits its owner."""

    visit: Visit
    words: str


@dataclass(frozen=True)
class StandbyPage:
    times: tuple[FreedTime, ...]
    lines: tuple[StandbyLine, ...]


def owner_standby_page(visit: Visit) -> OwnerStandbyPage:
    return OwnerStandbyPage(visit, stands_by(visit))


def visit_standby_page(visit: Visit, *, now: datetime) -> VisitStandbyPage:
    return VisitStandbyPage(visit, stands_by(visit), tuple(offers_open_to(visit, now)))


def owner_offer_page(offer: Offer, *, now: datetime) -> OwnerOfferPage:
    return OwnerOfferPage(offer, offer.is_open(now) and offer.time.closed_at is None)


def standby_page() -> StandbyPage:
    visits = [visit for at in (ROLLER, BENCH) for visit in standing_by(at)]
    return StandbyPage(tuple(being_offered()), tuple(StandbyLine(visit, _words(visit)) for visit in visits))


def _words(visit: Visit) -> str:
    row: Standby | None = getattr(visit, "standby", None)
    if visit.state in states.IN_THE_BUILDING:
        return f"here, and waits for the rollers{'; its owner is asked first' if visit.is_asked_to_go_on else ''}"
    if row is None:
        return "has no time"
    return suits_words(row.notice_hours, [int(day) for day in row.weekdays])


def suits_words(notice_hours: int, weekdays: Collection[int]) -> str:
    """As in "24 hours’ notice, Monday, Friday". weekdays: 0 is Monday."""
    all_of_them = len(weekdays) == len(WEEKDAYS)
    days = told("any day") if all_of_them else ", ".join(told(WEEKDAYS[day]) for day in weekdays)
    if notice_hours < 48:
        return told("{hours} hours’ notice, {days}", hours=notice_hours, days=days)
    return told("{notice_days} days’ notice, {days}", notice_days=notice_hours // 24, days=days)
