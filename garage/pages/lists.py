"""Fix first and the ring list, each with everything its page shows."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from garage.models.shop import Shop
from garage.models.visits import Visit
from garage.pages.missed_deposits import MissedDeposit, missed_deposits
from garage.pages.to_tell import ToTell, lines_to_tell
from garage.reads.routed import asked_of_the_boss, rung, to_fix_first, to_ring

if TYPE_CHECKING:
    from garage.reads.routed import VisitToRing

RUNG_SHOWN = 10


@dataclass(frozen=True)
class FixFirstPage:
    rows: tuple[Visit, ...]
    asked: tuple[Visit, ...]  # a route waits for the boss's decision
    bench_minutes: int  # over all rows, where known


@dataclass(frozen=True)
class RingPage:
    rows: tuple[VisitToRing, ...]
    rung: tuple[Visit, ...]  # the last ones done
    warnings: tuple[ToTell, ...]  # not to run a machine, that its owner may not know of
    to_tell: tuple[ToTell, ...]  # anything else that did not reach its owner by mail
    deposits: tuple[MissedDeposit, ...]  # that did not come by their day


def fix_first_page() -> FixFirstPage:
    rows = tuple(to_fix_first())
    return FixFirstPage(rows, tuple(asked_of_the_boss()), sum(row.bench_minutes or 0 for row in rows))


def ring_page(shop: Shop, *, now: datetime) -> RingPage:
    told = lines_to_tell(shop, now=now)
    return RingPage(
        rows=tuple(to_ring()),
        rung=tuple(rung()[:RUNG_SHOWN]),
        warnings=tuple(line for line in told if line.is_warning),
        to_tell=tuple(line for line in told if not line.is_warning),
        deposits=missed_deposits(shop, now=now),
    )
