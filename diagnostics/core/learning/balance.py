"""What the routes were worth: how each route's visits turned out, and the roller minutes saved and wasted, in pence."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from diagnostics.core.bank.bank import Bank
from diagnostics.core.findings import Costs
from diagnostics.core.learning.calibration import TOO_FEW, wilson
from diagnostics.core.learning.closed_visits import ClosedVisit, is_known, was_spoilt
from garage.core.routes import DO_NOT_RUN, FIX_FIRST, PHONE_FIRST, ROLLER_READY

NOT_JUDGED = ""
ROUTES = (ROLLER_READY, PHONE_FIRST, FIX_FIRST, DO_NOT_RUN, NOT_JUDGED)
BENCH_FIRST = frozenset({FIX_FIRST, DO_NOT_RUN})


@dataclass(frozen=True)
class RouteOutcome:
    """Visits booked for the rollers and judged to one route; low, high: 95 % interval of the spoilt share."""

    route: str
    many: int
    spoilt: int
    low: float
    high: float

    @property
    def sound(self) -> int:
        return self.many - self.spoilt

    @property
    def share(self) -> float:
        return self.spoilt / self.many

    @property
    def is_too_few(self) -> bool:
        return self.many < TOO_FEW


@dataclass(frozen=True)
class Sum:
    """visits, their booked roller minutes, and their cost in pence by the shop's costs."""

    visits: int
    minutes: int
    pence: int


@dataclass(frozen=True)
class Balance:
    """Visits booked for the rollers whose card says what it was. Spoilt means a fault that spoils what was booked.

    saved: spoilt, and sent to the bench first or not run, so that somebody else had the slot. wasted: spoilt, kept
    their roller time and went on the rollers. caught: spoilt, kept their roller time and did not go on the rollers,
    because the gate or the bench caught them. for_nothing: sent to the bench first and not spoilt. rung: phone first.
    left_out: visits whose card does not say what it was.
    """

    saved: Sum
    wasted: Sum
    caught: Sum
    for_nothing: Sum
    rung: Sum
    visits: int
    left_out: int

    @property
    def net_pence(self) -> int:
        """What judging before the visit was worth: slots saved, less unnecessary checks and calls."""
        return self.saved.pence - self.for_nothing.pence - self.rung.pence


def route_outcomes(bank: Bank, visits: Sequence[ClosedVisit]) -> tuple[RouteOutcome, ...]:
    """By the last route judged before arrival, in the order of ROUTES; routes without a visit are left out."""
    found = []
    for route in ROUTES:
        held = [visit for visit in _known(bank, visits) if judged_route(visit) == route]
        if held:
            spoilt = sum(was_spoilt(bank, visit) for visit in held)
            found.append(RouteOutcome(route, len(held), spoilt, *wilson(spoilt, len(held))))
    return tuple(found)


PARTS: Mapping[str, Callable[[ClosedVisit, bool, bool], bool]] = MappingProxyType(
    {  # of Balance, by visit, whether it was sent to the bench first, and whether it was spoilt
        "saved": lambda _, benched, spoilt: benched and spoilt,
        "wasted": lambda visit, benched, spoilt: spoilt and visit.ran and not benched,
        "caught": lambda visit, benched, spoilt: spoilt and not visit.ran and not benched,
        "for_nothing": lambda _, benched, spoilt: benched and not spoilt,
        "rung": lambda visit, *_: visit.taken == PHONE_FIRST,
    }
)


def parts_of(bank: Bank, visit: ClosedVisit) -> list[str]:
    """The parts of the balance that a visit counts in, which is for the rollers and whose card says what it was."""
    benched, spoilt = visit.taken in BENCH_FIRST, was_spoilt(bank, visit)
    return [part for part, holds in PARTS.items() if holds(visit, benched, spoilt)]


def pence_each(costs: Costs) -> dict[str, int]:
    """What a visit in each part of the balance costs."""
    return {
        "saved": costs.slot_lost,
        "wasted": costs.slot_lost,
        "caught": 0,
        "for_nothing": costs.bench_check,
        "rung": costs.call,
    }


def balance(bank: Bank, visits: Sequence[ClosedVisit], costs: Costs) -> Balance:
    """costs: the shop's own, in pence, for a lost slot, an unnecessary bench check and a call."""
    known = _known(bank, visits)
    held: dict[str, list[ClosedVisit]] = {part: [] for part in PARTS}
    for visit in known:
        for part in parts_of(bank, visit):
            held[part].append(visit)
    sums = {
        part: Sum(len(held[part]), sum(visit.roller_minutes for visit in held[part]), pence * len(held[part]))
        for part, pence in pence_each(costs).items()
    }
    left_out = sum(visit.is_for_the_rollers for visit in visits) - len(known)
    return Balance(**sums, visits=len(known), left_out=left_out)


def _known(bank: Bank, visits: Sequence[ClosedVisit]) -> list[ClosedVisit]:
    return [visit for visit in visits if visit.is_for_the_rollers and is_known(bank, visit)]


def judged_route(visit: ClosedVisit) -> str:
    return visit.judged.route if visit.judged is not None else NOT_JUDGED
