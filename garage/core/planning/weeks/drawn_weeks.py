"""Weeks drawn by chance: what is booked and what waits, which machine is ready, how long each piece of work takes.

Everything is drawn before anybody plans, so every practice meets the same days (common random numbers). What is left
over on one day is not carried to the next.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from garage.core.planning.day_problem import BENCH, IN_DOUBT_BELOW, ROLLER, DayProblem, Job, JobStep, Worker
from garage.core.planning.day_rules import ARRIVE_BEFORE_MIN
from garage.core.selling.free_times import free_times, job_at, roller_visit

DAYS_A_WEEK = 5
BETA_READY = (2.0, 1.0)  # of the chance to be ready: one machine in three is not, and judgements differ; no source
ROLLER_SPREAD = 0.25  # coefficient of variation of the minutes on the rollers; lognormal, no source
BENCH_SPREAD = 0.45  # the same at the bench
NO_SHOW = 0.03  # of the booked machines; no source
MOST_DRAWN = 1000  # machines of a day


@dataclass(frozen=True, slots=True)
class SessionKind:
    """roller_min: planned, strapping down included. worth_pence: earned when it is done."""

    roller_min: int
    worth_pence: int


@dataclass(frozen=True, slots=True)
class Workshop:
    """What a drawn day is like. Minutes of the day from midnight.

    booked: share of the rollers' minutes that is sold with a promise. work: all waiting and booked work, as a share of
    the rollers' minutes.
    """

    opens: int = 510
    closes: int = 1020
    rollers: int = 1
    benches: int = 2
    people: tuple[Worker, ...] = (Worker("p1", 510, 1020), Worker("p2", 510, 1020))
    kinds: tuple[SessionKind, ...] = (SessionKind(95, 12000), SessionKind(50, 6000))
    check_min: int = 20
    fix_min: int = 50
    booked: float = 0.7
    work: float = 1.0

    @property
    def capacity_min(self) -> int:
        return self.rollers * (self.closes - self.opens)


@dataclass(frozen=True, slots=True)
class RealMinutes:
    """How long the machine's work really takes, whoever does it and whenever."""

    check: int
    fix: int
    roller: int


@dataclass(frozen=True, slots=True)
class DrawnMachine:
    """One machine of a day. promised: None if it waits without a promise. is_ready: the truth, which its check finds.

    comes: whether its owner brings it. worth_pence: earned by its session.
    """

    id: str
    here_from: int
    promised: int | None
    ready: float
    is_ready: bool
    comes: bool
    roller_min: int
    worth_pence: int
    real: RealMinutes

    @property
    def can_be_kept(self) -> bool:
        """Whether it has a promise that a workshop can be held to: it came and was ready."""
        return self.promised is not None and self.comes and self.is_ready


@dataclass(frozen=True, slots=True)
class DrawnDay:
    workshop: Workshop
    machines: tuple[DrawnMachine, ...]

    @property
    def empty(self) -> DayProblem:
        """The day at opening, with nothing in it."""
        shop = self.workshop
        return DayProblem("2027-03-10", shop.opens, shop.rollers, shop.benches, shop.people, jobs=())


def drawn_week(workshop: Workshop, seed: int, week: int) -> tuple[DrawnDay, ...]:
    """The days of one week. The same seed and week give the same days."""
    return tuple(_drawn_day(workshop, np.random.default_rng([seed, week, day])) for day in range(DAYS_A_WEEK))


def lognormal_minutes(chance: np.random.Generator, mean_min: float, spread: float) -> int:
    """Whole minutes, at least 1, with this mean and coefficient of variation (before rounding)."""
    sigma2 = math.log(1 + spread**2)
    return max(1, round(float(chance.lognormal(math.log(mean_min) - sigma2 / 2, math.sqrt(sigma2)))))


def _drawn_day(workshop: Workshop, chance: np.random.Generator) -> DrawnDay:
    """Machines until their planned minutes come to the day's work; the first of them are sold a time."""
    day, machines, minutes = DrawnDay(workshop, ()).empty, [], 0
    for number in range(1, MOST_DRAWN + 1):
        kind = workshop.kinds[int(chance.integers(len(workshop.kinds)))]
        if minutes + kind.roller_min / 2 > workshop.work * workshop.capacity_min:
            break
        machine, comes, wish = _drawn_machine(workshop, str(number), kind, chance)
        is_booked = minutes < workshop.booked * workshop.capacity_min
        sold = _sold(day, workshop, machine, wish) if is_booked else None
        if sold is not None and sold.promised is not None:
            day = replace(day, jobs=(*day.jobs, sold))
            here = here_from(workshop, sold.promised, is_in_doubt=machine.ready < IN_DOUBT_BELOW)
            machine = replace(machine, promised=sold.promised, here_from=here, comes=comes)
        machines.append(machine)
        minutes += kind.roller_min
    return DrawnDay(workshop, tuple(machines))


def _drawn_machine(
    workshop: Workshop, number: str, kind: SessionKind, chance: np.random.Generator
) -> tuple[DrawnMachine, bool, float]:
    """A machine that waits in the building; if it is booked: whether it comes, and where its owner's wish falls."""
    ready, comes = float(chance.beta(*BETA_READY)), bool(chance.random() >= NO_SHOW)
    is_ready, wish = bool(chance.random() < ready), float(chance.random())
    real = RealMinutes(
        check=lognormal_minutes(chance, workshop.check_min, BENCH_SPREAD),
        fix=lognormal_minutes(chance, workshop.fix_min, BENCH_SPREAD),
        roller=lognormal_minutes(chance, kind.roller_min, ROLLER_SPREAD),
    )
    machine = DrawnMachine(number, workshop.opens, None, ready, is_ready, True, kind.roller_min, kind.worth_pence, real)
    return machine, comes, wish


def _sold(day: DayProblem, workshop: Workshop, machine: DrawnMachine, wish: float) -> Job | None:
    """The machine at one of the times that the garage offers, wherever its owner's wish falls among them."""
    wanted = roller_visit(machine.roller_min, gate_min=workshop.check_min)
    offered = free_times(day, wanted)
    return job_at(wanted, offered[int(wish * len(offered))], id=machine.id) if offered else None


def here_from(workshop: Workshop, promised: int, *, is_in_doubt: bool) -> int:
    """In doubt, its owner is asked to come earlier by the minutes that fixing it takes: routed to be fixed first."""
    before = ARRIVE_BEFORE_MIN + (workshop.fix_min if is_in_doubt else 0)
    return max(workshop.opens, promised - before)


def steps_of(machine: DrawnMachine, workshop: Workshop) -> tuple[JobStep, ...]:
    """As planned in the morning: the check at the bench, then the rollers."""
    return JobStep(BENCH, workshop.check_min, check=True), JobStep(ROLLER, machine.roller_min)
