"""Fix first and the ring list, each with everything its page shows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from garage.models.visits import Visit
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


def fix_first_page() -> FixFirstPage:
    rows = tuple(to_fix_first())
    return FixFirstPage(rows, tuple(asked_of_the_boss()), sum(row.bench_minutes or 0 for row in rows))


def ring_page() -> RingPage:
    return RingPage(tuple(to_ring()), tuple(rung()[:RUNG_SHOWN]))
