"""Fix first and the ring list, each with everything its page shows."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from garage.core.mail.telephone_links import tel_link
from garage.models.shop import Shop
from garage.models.unconfirmed import Unconfirmed
from garage.models.visits import Visit
from garage.pages.missed_deposits import MissedDeposit, missed_deposits
from garage.pages.to_tell import ToTell, lines_to_tell
from garage.reads.online_bookings import unconfirmed, why_nobody_books
from garage.reads.routed import not_answered, routed, rung, to_ring

if TYPE_CHECKING:
    from garage.reads.routed import VisitToRing

RUNG_SHOWN = 10


@dataclass(frozen=True)
class FixFirstPage:
    rows: tuple[Visit, ...]
    asked: tuple[Visit, ...]  # a route waits for the boss's decision
    bench_minutes: int  # over all rows, where known


@dataclass(frozen=True)
class ToConfirm:
    """tel: empty if the number cannot be rung."""

    visit: Visit
    until: datetime
    tel: str


@dataclass(frozen=True)
class NotAnswered:
    """tel: empty if the number cannot be rung."""

    visit: Visit
    tel: str


@dataclass(frozen=True)
class RingPage:
    rows: tuple[VisitToRing, ...]
    not_answered: tuple[NotAnswered, ...]  # asked about more work and reminded, and the work waits
    rung: tuple[Visit, ...]  # the last ones done
    warnings: tuple[ToTell, ...]  # not to run a machine, that its owner may not know of
    to_tell: tuple[ToTell, ...]  # anything else that did not reach its owner by mail
    deposits: tuple[MissedDeposit, ...]  # that did not come by their day
    unconfirmed: tuple[ToConfirm, ...]  # booked online, and held until somebody confirms them
    braked: str  # why nobody can book online just now; empty while everybody can


def fix_first_page() -> FixFirstPage:
    lists = routed()
    bench_minutes = sum(row.bench_minutes or 0 for row in lists.to_fix_first)
    return FixFirstPage(lists.to_fix_first, lists.asked_of_the_boss, bench_minutes)


def ring_page(shop: Shop, *, now: datetime) -> RingPage:
    told = lines_to_tell(shop, now=now)
    waiting = tuple(_to_confirm(row, shop) for row in unconfirmed())
    return RingPage(
        rows=tuple(to_ring()),
        not_answered=tuple(NotAnswered(row, _tel(row, shop)) for row in not_answered()),
        rung=tuple(rung()[:RUNG_SHOWN]),
        warnings=tuple(line for line in told if line.is_warning),
        to_tell=tuple(line for line in told if not line.is_warning),
        deposits=missed_deposits(shop, now=now),
        unconfirmed=waiting,
        braked=why_nobody_books(shop, len(waiting), now=now),
    )


def _to_confirm(row: Unconfirmed, shop: Shop) -> ToConfirm:
    return ToConfirm(row.visit, row.until, _tel(row.visit, shop))


def _tel(visit: Visit, shop: Shop) -> str:
    return tel_link(visit.owner.telephone, shop.calling_code)
