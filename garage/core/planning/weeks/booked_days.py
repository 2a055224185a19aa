"""A garage's own past days as days to work through: what was booked, what was thought of it, and what was found.

The chance to be ready is the one judged before the machine came in; the truth is the closed card. Where a step was
worked on its minutes are the real ones, elsewhere those planned, since nobody knows better.
"""

from __future__ import annotations

from dataclasses import dataclass

from garage.core.planning.day_problem import IN_DOUBT_BELOW, Worker
from garage.core.planning.weeks.day_run import DayRun, RollerStay
from garage.core.planning.weeks.drawn_weeks import DrawnDay, DrawnMachine, RealMinutes, Workshop, here_from


@dataclass(frozen=True, slots=True)
class RollerVisit:
    """One visit with an agreed time on the rollers. Minutes of the day; real ones None where it was not worked on.

    on_rollers: each stretch there as (begin, end). is_spoilt: what its closed card found spoils what was booked.
    was_fixed: bench work came before the rollers.
    """

    number: str
    promised: int
    roller_min: int
    worth_pence: int
    ready: float
    is_spoilt: bool
    came: bool
    check_min: int | None = None
    bench_min: int | None = None
    on_rollers: tuple[tuple[int, int], ...] = ()
    was_fixed: bool = False

    @property
    def was_lost(self) -> bool:
        """Whether its minutes on the rollers were for nothing."""
        return self.is_spoilt and not self.was_fixed


@dataclass(frozen=True, slots=True)
class PastDay:
    """A day with its hours, stations and people as they are in the shop now."""

    opens: int
    closes: int
    rollers: int
    benches: int
    people: tuple[Worker, ...]
    check_min: int
    fix_min: int
    visits: tuple[RollerVisit, ...]


def day_to_run(past: PastDay) -> DrawnDay:
    """The past day as a drawn one: every practice meets the same machines and minutes."""
    shop = Workshop(
        opens=past.opens,
        closes=past.closes,
        rollers=past.rollers,
        benches=past.benches,
        people=past.people,
        check_min=past.check_min,
        fix_min=past.fix_min,
    )
    return DrawnDay(shop, tuple(_machine(visit, shop) for visit in past.visits))


def _machine(visit: RollerVisit, shop: Workshop) -> DrawnMachine:
    ran = sum(end - begin for begin, end in visit.on_rollers)
    real = RealMinutes(
        check=visit.check_min or shop.check_min,
        fix=visit.bench_min or shop.fix_min,
        roller=visit.roller_min if visit.was_lost or not ran else ran,
    )
    return DrawnMachine(
        visit.number,
        here_from(shop, visit.promised, is_in_doubt=visit.ready < IN_DOUBT_BELOW),
        visit.promised,
        visit.ready,
        not visit.is_spoilt,
        visit.came,
        visit.roller_min,
        visit.worth_pence,
        real,
    )


def as_it_was(past: PastDay) -> DayRun:
    """What really happened on the rollers. The time there of a machine that was spoilt and not put right is lost."""
    stays = [
        RollerStay(visit.number, 1, begin, end, is_lost=visit.was_lost)
        for visit in past.visits
        for begin, end in visit.on_rollers
    ]
    return DayRun(day_to_run(past), tuple(stays))
