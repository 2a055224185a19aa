"""The day's plan: plan(day) -> Plan, pure and repeatable.

A simple rule gives a feasible plan in milliseconds: jobs one after another, each as early as possible, in several
orders. improving.py then makes it better level by level with an exact solver and says how many levels are proved. The
solver's work is counted, not timed, so that the same day always gives the same plan; a clock ends it only on a machine
too slow for its limit. Whatever no level decides is done as early as it can be.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import islice

from garage.core.planning.day_problem import DayProblem, Job, Placed, Plan
from garage.core.planning.placing import Floor, Resources, chain
from garage.core.planning.plan_score import PlanScore, Seats, is_done, is_guarded, keeps, score
from garage.core.planning.plan_words import broken_promises, jobs_left_out, notes
from garage.core.planning.solving.improving import improved
from garage.core.time.day_minutes import DAY_MIN

POLISH_MOST = 120  # jobs taken out and put back
# What keeps a day of hundreds of jobs within its limit, counted so that a day always gives the same plan. A day of
# a garage comes nowhere near. Measured: each is about a third of a second of a core for each second of limit_s.
ORDERS_WORK_A_SECOND = 150_000  # steps × (people + stations), for each order tried
POLISH_WORK_A_SECOND = 1_500_000  # steps × (promises + 1), for each plan scored
SOLVED_STEPS_A_SECOND = 750  # open steps; with more the model alone takes that long, and the simple plan stands
SOLVED_STEPS_MOST = 300
ORDERS_STEPS_MOST = 600  # open steps; with more only the first order is tried, and nothing is polished
LEAST_LIMIT_S = 0.1  # a shorter limit gets the simple plan of this one
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
    ([('bench', 510, 520), ('roller', 540, 630)], 1, 5)
    """
    resources = Resources(day)
    running = seat_running(day)
    floor = Floor(resources)
    floor.hold_all(running)
    seats = first_plan(floor, running)
    if _open_steps(day) > min(SOLVED_STEPS_MOST, SOLVED_STEPS_A_SECOND * _limit_s(day)):
        return plan_of(resources, running, seats, proved=0)
    made = improved(floor, running, seats)
    return plan_of(resources, running, _polish(resources, made.seats), made.proved)


def whole(made: Plan) -> bool:
    """Whether nothing is left out and no promise is broken."""
    return not made.left_out and not made.broken


def seat_running(day: DayProblem) -> list[Placed]:
    """The running steps, each at its pinned station or that of the standing plan, else at the lowest free one,
    if possible one to which nothing that waits is fixed."""
    standing = {(p.job, p.step): p.station for p in day.standing}
    running = [(job, index, step) for job in day.jobs for index, step in enumerate(job.steps) if step.is_running]
    named = {(job.id, index): step.pin.station or standing.get((job.id, index)) for job, index, step in running}
    used = {(step.at, named[job.id, index]) for job, index, step in running if named[job.id, index]}
    waiting = (step for job in day.jobs for step in job.steps[job.first_open :])
    wanted = {(step.at, step.pin.station) for step in waiting if step.pin.station is not None}
    out = []
    for job, index, step in running:
        number = named[job.id, index]
        if number is None:
            free = (n for n in range(1, day.stations(step.at) + 1) if (step.at, n) not in used)
            number = min(free, key=lambda n: ((step.at, n) in wanted, n), default=1)
            used.add((step.at, number))
        began = day.now if step.began is None else step.began
        out.append(Placed(job.id, index, step.at, number, step.by or "", began, step.runs_to(day.now)))
    return out


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


def first_plan(floor: Floor, running: list[Placed]) -> Seats:
    """The best of a few simple orders, in milliseconds. floor: the day with only the running work on it."""
    day = floor.resources.day
    is_small = _open_steps(day) <= ORDERS_STEPS_MOST
    work = 1 + _open_steps(day) * (len(day.people) + day.rollers + day.benches)
    most = max(1, int(ORDERS_WORK_A_SECOND * _limit_s(day) / work)) if is_small else 1
    ways = ((order, guarded) for order in orders(day) for guarded in ((True, False) if day.guard else (False,)))
    trials = [_with_running(by_order(floor, order, guarded), running) for order, guarded in islice(ways, most)]
    best = max(trials, key=lambda seats: score(day, seats))
    return _polish(floor.resources, best) if is_small else best


def _open_steps(day: DayProblem) -> int:
    return sum(job.open_count for job in day.jobs)


def _limit_s(day: DayProblem) -> float:
    return max(day.limit_s, LEAST_LIMIT_S)


def _polish(resources: Resources, seats: Seats) -> Seats:
    """Takes jobs out one at a time, risky ones first, and puts each back where it improves the day or comes earlier."""
    day = resources.day
    best, best_rank = seats, _rank(day, seats)
    work = 1 + _open_steps(day) * (1 + sum(job.promised is not None for job in day.jobs))
    left = int(POLISH_WORK_A_SECOND * _limit_s(day) / work)  # plans that may still be scored
    for job in (2 * sorted(day.jobs, key=lambda j: (j.ready, j.here_from)))[:POLISH_MOST]:
        if not job.open_count:
            continue
        if left < 0:
            break
        mine = [p for p in best[job.id] if p.step < job.first_open]
        floor = Floor(resources)
        for placed in best.values():
            floor.hold_all(p for p in placed if p.job != job.id or p.step < job.first_open)
        for in_window, guarded in POLISH if job.has_open_promise else POLISH[-1:]:
            placed = chain(floor, job, in_window, guarded)
            for length in range(len(placed), 0, -1) if job.has_begun else (job.open_count,):
                left -= 1
                trial = {**best, job.id: mine + placed[:length]}
                if len(placed) >= length and (trial_rank := _rank(day, trial)) > best_rank:
                    best, best_rank = trial, trial_rank
    return best


def _rank(day: DayProblem, seats: Seats) -> tuple[PlanScore, int, int]:
    """Among plans equal by every level: more steps of what has begun, then all steps as early as can be."""
    placed = [p for seated in seats.values() for p in seated]
    return score(day, seats), len(placed), -sum(p.begin for p in placed)


def plan_of(resources: Resources, running: list[Placed], seats: Seats, proved: int) -> Plan:
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
        roller_minutes=sum(max(0, min(p.end, DAY_MIN) - max(p.begin, day.now)) for p in placed if p.at == "roller"),
        proved=proved,
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
