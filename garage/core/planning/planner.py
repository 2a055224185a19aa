"""The day's plan: plan(day) -> Plan, pure and deterministic.

Promised roller times are placed first and are kept if the search finds a way. Every plan is feasible by the manual's
rules, as a slow independent checker in the tests confirms, but none is proved optimal, so `proved` is 0. Several
orders of the jobs are tried, then a search with a fixed budget of nodes, so that the same day always gives the same
plan. `limit_s` only changes that budget. No clock is read.

How often it misses something: on 400 tiny random days it kept all 521 promises that exhaustive enumeration could keep,
and completed all 99 days that could be completed (tests/garage/core/planning/test_planner.py counts again). On full
days of ten jobs nothing is proved. The search is complete on small days, because a feasible day stays feasible with
every step as early as its predecessors allow (semi-active schedules; Baker 1974, from memory).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from garage.core.planning.day_problem import DayProblem, Job, Placed, Plan
from garage.core.planning.day_search import Duty, fit_all
from garage.core.planning.placing import Floor, Resources, chain
from garage.core.planning.plan_score import Seats, is_done, is_guarded, keeps, score
from garage.core.planning.plan_words import broken_promises, jobs_left_out, notes
from garage.core.time.day_minutes import DAY_MIN

NODES_A_SECOND = 400  # search nodes for each second of limit_s; common practice, no source
NODES_MOST = 1500
USUAL_JOBS = 12  # a full day; with more jobs each node costs more, so fewer are granted
DROPPED_MOST = 12  # promises given up in turn to keep the others
POLISH_MOST = 120  # jobs taken out and put back
POLISH = ((True, True), (True, False), (False, False))  # promise kept and guarded, kept, at any time


def plan(day: DayProblem) -> Plan:
    """A feasible plan for the day, promises first.

    day: all minutes from local midnight, 0 to 1440. Begun work stays where it is, and nothing else is placed before
    day.now. A day that cannot be done raises nothing: left_out, broken and notes say what does not fit.

    >>> from garage.core.planning.day_problem import JobStep, Worker
    >>> visit = Job("41", here_from=510, promised=540, steps=(JobStep("bench", 10, check=True), JobStep("roller", 90)))
    >>> people = (Worker("p1", 480, 1020),)
    >>> one = plan(DayProblem("2027-03-10", 480, rollers=1, benches=1, people=people, jobs=(visit,)))
    >>> [(p.at, p.begin, p.end) for p in one.placed], one.kept, one.proved
    ([('bench', 510, 520), ('roller', 540, 630)], 1, 0)
    """
    resources = Resources(day)
    running = seat_running(day)
    floor = Floor(resources)
    floor.hold_all(running)
    best = max(_trials(floor, day, running), key=lambda seats: score(day, seats))
    return plan_of(resources, running, _polish(resources, best))


def whole(made: Plan) -> bool:
    """Whether nothing is left out and no promise is broken."""
    return not made.left_out and not made.broken


def seat_running(day: DayProblem) -> list[Placed]:
    """The running steps, each at its pinned station or that of the standing plan, else at the lowest free one."""
    standing = {(p.job, p.step): p.station for p in day.standing}
    running = [(job, index, step) for job in day.jobs for index, step in enumerate(job.steps) if step.is_running]
    named = {(job.id, index): step.pin.station or standing.get((job.id, index)) for job, index, step in running}
    used = {(step.at, named[job.id, index]) for job, index, step in running if named[job.id, index]}
    out = []
    for job, index, step in running:
        number = named[job.id, index]
        if number is None:
            free = (n for n in range(1, day.stations(step.at) + 1) if (step.at, n) not in used)
            number = next(free, 1)
            used.add((step.at, number))
        began = day.now if step.began is None else step.began
        out.append(Placed(job.id, index, step.at, number, step.by or "", began, step.runs_to(day.now)))
    return out


@dataclass(frozen=True, slots=True)
class Duties:
    """What a day must achieve: every job that could be done on its own, with its promise if that could be kept."""

    all: tuple[Duty, ...]

    @property
    def promised(self) -> tuple[Duty, ...]:
        return tuple(duty for duty in self.all if duty.in_window)


def duties(floor: Floor, jobs: Sequence[Job]) -> Duties:
    """Leaves out a job that fails even on its own, and cuts a begun job to the part that can still be done."""
    out = []
    for job in jobs:
        if not job.open_count:
            continue
        for in_window in (True, False) if job.has_open_promise else (False,):
            placed = chain(floor, job, in_window)
            if len(placed) == job.open_count:
                out.append(Duty(job, in_window))
                break
            if job.has_begun and placed and (not in_window or keeps(job, placed)):
                out.append(Duty(replace(job, steps=job.steps[: placed[-1].step + 1]), in_window))
                break
    return Duties(tuple(out))


def holds(asked: Duties, seats: Seats) -> bool:
    """Whether a filled day meets every duty."""
    return all(
        is_done(duty.job, seats[duty.job.id]) and (not duty.in_window or keeps(duty.job, seats[duty.job.id]))
        for duty in asked.all
    )


def by_order(floor: Floor, order: Sequence[Job], guarded: bool) -> Seats:
    """Places each job in turn as early as possible, promised ones at their time. Jobs that miss it are placed last."""
    floor = floor.copy()
    seats: Seats = {job.id: [] for job in order}
    late = []
    for job in order:
        in_window = job.has_open_promise
        placed = chain(floor, job, in_window, guarded) if guarded and in_window else []
        is_clear = bool(placed) and len(placed) == job.open_count
        if not is_clear:
            placed = chain(floor, job, in_window)
        if len(placed) < job.open_count and not (job.has_begun and in_window and keeps(job, placed)):
            late.append(job)
            continue
        _take(floor, seats, job, placed, floor.resources.day.guard if is_clear else 0)
    for job in late:
        placed = chain(floor, job, in_window=False)
        if len(placed) == job.open_count or job.has_begun:
            _take(floor, seats, job, placed, 0)
    return seats


def orders(day: DayProblem) -> Iterator[list[Job]]:
    """The orders to try, promised jobs first in all but the last: by time, worth per minute, length, risk."""
    jobs = list(day.jobs)
    far = DAY_MIN * 2

    def due(job: Job) -> int:
        pins = [s.pin.begin for s in job.steps if s.pin.begin is not None]
        promise = job.promised if job.has_open_promise and job.promised is not None else far
        return min([promise, *pins])

    def length(job: Job) -> int:
        return sum(step.minutes for step in job.steps[job.first_open :]) or 1

    yield sorted(jobs, key=lambda j: (due(j), DAY_MIN if j.gone_by is None else j.gone_by, j.here_from))
    yield sorted(jobs, key=lambda j: (due(j), -j.worth / length(j), j.here_from))
    yield sorted(jobs, key=lambda j: (due(j), length(j), j.here_from))
    yield sorted(jobs, key=lambda j: (due(j), j.ready, j.here_from))
    yield sorted(jobs, key=lambda j: (due(j), -length(j), j.here_from))
    yield sorted(jobs, key=lambda j: (DAY_MIN if j.gone_by is None else j.gone_by, due(j), -j.worth))


def _trials(floor: Floor, day: DayProblem, running: list[Placed]) -> Iterator[Seats]:
    asked = duties(floor, day.jobs)
    is_whole = False
    for order in orders(day):
        for guarded in (True, False) if day.guard else (False,):
            seats = _with_running(by_order(floor, order, guarded), running)
            is_whole = is_whole or holds(asked, seats)
            yield seats
    if is_whole:
        return
    nodes = max(1, min(NODES_MOST, int(NODES_A_SECOND * day.limit_s)) * USUAL_JOBS // max(USUAL_JOBS, len(day.jobs)))
    found = fit_all(floor, asked.all, nodes)
    if found is None:
        found = fit_all(floor, asked.promised, nodes)
    if found is not None:
        yield _with_running(_add_rest(floor, day, found), running)
        return
    for dropped in asked.promised[:DROPPED_MOST]:
        found = fit_all(floor, tuple(d for d in asked.promised if d is not dropped), max(1, nodes // 4))
        if found is not None:
            yield _with_running(_add_rest(floor, day, found), running)


def _add_rest(floor: Floor, day: DayProblem, found: Seats) -> Seats:
    """Fits the jobs that a search left out around those it placed, the most valuable first."""
    floor = floor.copy()
    for placed in found.values():
        floor.hold_all(placed)
    rest = [job for job in sorted(day.jobs, key=lambda j: -j.worth) if not found.get(job.id)]
    return {**{job.id: [] for job in day.jobs}, **found, **by_order(floor, rest, guarded=False)}


def _polish(resources: Resources, seats: Seats) -> Seats:
    """Takes jobs out one at a time, risky ones first, and puts each back where it improves the day."""
    day = resources.day
    best, best_score = seats, score(day, seats)
    for job in (2 * sorted(day.jobs, key=lambda j: (j.ready, j.here_from)))[:POLISH_MOST]:
        mine = [p for p in best[job.id] if p.step < job.first_open]
        floor = Floor(resources)
        for placed in best.values():
            floor.hold_all(p for p in placed if p.job != job.id or p.step < job.first_open)
        for in_window, guarded in POLISH if job.has_open_promise else POLISH[-1:]:
            placed = chain(floor, job, in_window, guarded)
            if len(placed) < job.open_count:
                continue
            trial = {**best, job.id: mine + placed}
            if (trial_score := score(day, trial)) > best_score:
                best, best_score = trial, trial_score
    return best


def plan_of(resources: Resources, running: list[Placed], seats: Seats) -> Plan:
    """The filled day as a Plan, with its sentences."""
    day = resources.day
    placed = sorted((p for ps in seats.values() for p in ps), key=lambda p: (p.begin, p.at, p.station, p.job, p.step))
    kept = [job for job in day.jobs if keeps(job, seats[job.id])]
    return Plan(
        day=day.day,
        placed=tuple(placed),
        left_out=jobs_left_out(resources, running, seats),
        kept=len(kept),
        broken=broken_promises(resources, running, seats),
        guarded=sum(is_guarded(day, job, seats) for job in kept),
        worth=sum(job.worth for job in day.jobs if is_done(job, seats[job.id])),
        roller_minutes=sum(p.end - max(p.begin, day.now) for p in placed if p.at == "roller"),
        proved=0,
        notes=notes(day, seats),
    )


def _take(floor: Floor, seats: Seats, job: Job, placed: list[Placed], guard: int) -> None:
    seats[job.id] = placed
    for one in placed:
        before = one.begin - ((job.promised or 0) - guard) if guard and one.step == job.first_roller else 0
        floor.hold(one, before)


def _with_running(seats: Seats, running: list[Placed]) -> Seats:
    ahead: Seats = {job: [] for job in seats}
    for one in running:
        ahead[one.job].append(one)
    return {job: ahead[job] + placed for job, placed in seats.items()}
