"""What the routes were worth: how each route's visits turned out, and the roller minutes saved and wasted, in pence."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

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
        held = [visit for visit in _known(bank, visits) if _judged_route(visit) == route]
        if held:
            spoilt = sum(was_spoilt(bank, visit) for visit in held)
            found.append(RouteOutcome(route, len(held), spoilt, *wilson(spoilt, len(held))))
    return tuple(found)


def balance(bank: Bank, visits: Sequence[ClosedVisit], costs: Costs) -> Balance:
    """costs: the shop's own, in pence, for a lost slot, an unnecessary bench check and a call."""
    known = _known(bank, visits)

    def sum_of(each_pence: int, holds: Callable[[ClosedVisit, bool, bool], bool]) -> Sum:
        held = [v for v in known if holds(v, v.taken in BENCH_FIRST, was_spoilt(bank, v))]
        return Sum(len(held), sum(visit.roller_minutes for visit in held), each_pence * len(held))

    return Balance(
        saved=sum_of(costs.slot_lost, lambda _, benched, spoilt: benched and spoilt),
        wasted=sum_of(costs.slot_lost, lambda visit, benched, spoilt: spoilt and visit.ran and not benched),
        caught=sum_of(0, lambda visit, benched, spoilt: spoilt and not visit.ran and not benched),
        for_nothing=sum_of(costs.bench_check, lambda _, benched, spoilt: benched and not spoilt),
        rung=sum_of(costs.call, lambda visit, *_: visit.taken == PHONE_FIRST),
        visits=len(known),
        left_out=sum(visit.is_for_the_rollers for visit in visits) - len(known),
    )


def _known(bank: Bank, visits: Sequence[ClosedVisit]) -> list[ClosedVisit]:
    return [visit for visit in visits if visit.is_for_the_rollers and is_known(bank, visit)]


def _judged_route(visit: ClosedVisit) -> str:
    return visit.judged.route if visit.judged is not None else NOT_JUDGED
