"""Why a job is left out, why a promise cannot be kept, and what the workshop should know, in plain sentences."""

from __future__ import annotations

from collections.abc import Iterator

from garage.core.planning.day_problem import PROMISE_WINDOW_MIN, Broken, DayProblem, Job, JobStep, LeftOut, Placed
from garage.core.planning.idle_minutes import for_idle_minutes
from garage.core.planning.placing import Floor, Resources, chain, released
from garage.core.planning.plan_score import Seats, is_done, is_guarded, keeps
from garage.core.time.day_minutes import hhmm

SPARE_SHOWN = 3  # machines named for idle minutes: more cannot take the rollers at once
PLACES = {"bench": "the bench", "roller": "the rollers"}


def jobs_left_out(resources: Resources, running: list[Placed], seats: Seats) -> tuple[LeftOut, ...]:
    day = resources.day
    alone, full = _floor(resources, running), _floor(resources, [p for placed in seats.values() for p in placed])
    return tuple(
        LeftOut(job.id, _why_left_out(alone, full, job, seats[job.id]))
        for job in day.jobs
        if not is_done(job, seats[job.id])
    )


def broken_promises(resources: Resources, running: list[Placed], seats: Seats) -> tuple[Broken, ...]:
    day, alone = resources.day, _floor(resources, running)
    return tuple(
        Broken(job.id, _why_broken(day, alone, job, seats))
        for job in day.jobs
        if job.promised is not None and not keeps(job, seats[job.id])
    )


def notes(day: DayProblem, seats: Seats) -> tuple[str, ...]:
    return (*_facts(day, seats), *_tight(day, seats), *_risky(day, seats), *_idle(day, seats))


def _why_left_out(alone: Floor, full: Floor, job: Job, placed: list[Placed]) -> str:
    begun = "It has begun and cannot be finished today. " if job.has_begun else ""
    reason = _why_not_alone(alone, job, in_window=False)
    if reason is not None:
        return begun + reason
    reached = max([p.step + 1 for p in placed] + [job.first_open + len(chain(full, job, in_window=False))])
    step = job.steps[min(reached, len(job.steps) - 1)]
    return f"{begun}The other jobs leave no room for its {step.minutes} minutes at {PLACES[step.at]}."


def _why_not_alone(alone: Floor, job: Job, in_window: bool) -> str | None:
    """Why a job does not fit even on an otherwise empty day. None if it does."""
    placed = chain(alone, job, in_window)
    if len(placed) == job.open_count:
        return None
    day = alone.resources.day
    step = job.steps[job.first_open + len(placed)]
    return (
        _why_no_station(day, step)
        or _why_nobody(day, step)
        or _why_too_short(day, job, step)
        or f"Hours, breaks and quiet times leave no room for its {step.minutes} minutes at {PLACES[step.at]}"
        f" from {hhmm(max([released(day, job), job.here_from] + [p.end for p in placed]))}"
        + (f" in time for {hhmm(job.promised)}." if in_window and job.promised is not None else _until(job))
    )


def _why_no_station(day: DayProblem, step: JobStep) -> str | None:
    count = day.stations(step.at)
    if count == 0:
        return "There is no bench today." if step.at == "bench" else "There are no rollers today."
    if step.pin.station is not None and step.pin.station > count:
        return f"It is fixed to {step.at} {step.pin.station}, but the day has only {count}."
    return None


def _why_nobody(day: DayProblem, step: JobStep) -> str | None:
    able = {person.id for person in day.people if step.at in person.skills}
    if not able:
        return f"Nobody here today works at {PLACES[step.at]}."
    if step.pin.by is None or step.pin.by in able:
        return None
    if any(person.id == step.pin.by for person in day.people):
        return f"It is fixed to {step.pin.by}, who does not work at {PLACES[step.at]}."
    return f"It is fixed to {step.pin.by}, who is not here today."


def _why_too_short(day: DayProblem, job: Job, step: JobStep) -> str | None:
    if step.pin.begin is not None and step.pin.begin < day.now:
        return f"It is fixed for {hhmm(step.pin.begin)}, and it is already {hhmm(day.now)}."
    if step.pin.begin is not None and step.pin.begin < max(job.here_from, released(day, job)):
        at = max(job.here_from, released(day, job))
        return f"It is fixed for {hhmm(step.pin.begin)}, but the machine is not free before {hhmm(at)}."
    needed = sum(one.minutes for one in job.steps[job.first_open :])
    since = max(job.here_from, released(day, job))
    if job.gone_by is not None and since + needed > job.gone_by:
        return f"It needs {needed} minutes, more than there are from {hhmm(since)} to {hhmm(job.gone_by)}."
    return None


def _why_broken(day: DayProblem, alone: Floor, job: Job, seats: Seats) -> str:
    promised = job.promised or 0
    until = promised + PROMISE_WINDOW_MIN
    said = f"Promised for {hhmm(promised)}: "
    if job.first_roller is None:
        return said + "no roller work is left in the job."
    rollers = job.steps[job.first_roller]
    if rollers.began is not None:
        return said + f"it went on the rollers at {hhmm(rollers.began)}."
    if until < day.now:
        return said + f"it is already {hhmm(day.now)}."
    if job.here_from > until:
        return said + f"the machine is not here before {hhmm(job.here_from)}."
    reason = _why_not_alone(alone, job, in_window=True)
    if reason is not None:
        return said + reason[0].lower() + reason[1:]
    others = [
        f"{p.job} ({p.at}, {hhmm(p.begin)} to {hhmm(p.end)})"
        for placed in seats.values()
        for p in placed
        if p.job != job.id and p.begin < until + rollers.minutes and p.end > promised
    ]
    if not others:
        return said + "no way was found to have it ready in time with the other jobs."
    return said + "rollers or people are taken at that time by " + ", ".join(others) + "."


def _facts(day: DayProblem, seats: Seats) -> Iterator[str]:
    """Clashes in work that has begun. The planner leaves it unchanged and reports it."""
    running = [p for job in day.jobs for p in seats[job.id] if p.step < job.first_open]
    for kind in PLACES:
        count = sum(p.at == kind for p in running)
        if count > day.stations(kind):
            yield f"{count} steps are running at {PLACES[kind]}, but there is room for {day.stations(kind)}."
    here = {person.id for person in day.people}
    for p in running:
        if p.by not in here:
            yield (
                f"{p.job} is under way at {PLACES[p.at]} by {p.by}, who is not here today:"
                f" it keeps {p.at} {p.station} until {hhmm(p.end)}."
            )
    for person in sorted({p.by for p in running}):
        mine = [p.job for p in running if p.by == person]
        if len(mine) > 1:
            yield f"{person} has {' and '.join(mine)} under way at once."
    for job in day.jobs:
        last = seats[job.id][-1:]
        if job.gone_by is not None and last and is_done(job, seats[job.id]) and last[0].end > job.gone_by:
            yield f"{job.id} runs until {hhmm(last[0].end)} but should be done by {hhmm(job.gone_by)}."


def _tight(day: DayProblem, seats: Seats) -> Iterator[str]:
    """One sentence, however many promises are kept without clear minutes before them."""
    tight = sorted(
        (job.promised, job.id)
        for job in day.jobs
        if job.promised is not None and keeps(job, seats[job.id]) and not is_guarded(day, job, seats)
    )
    if len(tight) == 1:
        [(promised, one)] = tight
        yield f"Tight at {hhmm(promised)}: {one} does not have {day.guard} clear minutes before its promise."
    elif tight:
        *some, last = (f"{one} at {hhmm(promised)}" for promised, one in tight)
        yield f"Tight: {', '.join(some)} and {last} do not have {day.guard} clear minutes before their promises."


def _risky(day: DayProblem, seats: Seats) -> Iterator[str]:
    """One sentence for each check ahead or under way of a machine in doubt, in order of time: who takes the rollers if
    it fails.
    """
    doubtful = [
        (p.begin, job, job.steps[p.step])
        for job in day.jobs
        for p in seats[job.id]
        if job.is_in_doubt and job.steps[p.step].check
    ]
    for at, job, step in sorted(doubtful, key=lambda one: (one[0], one[1].id)):
        what = f"Check {job.id} at {hhmm(at)}" if step.began is None else f"The check of {job.id} is under way"
        yield f"{what}: it may well fail ({round(job.ready * 100)} in 100 pass){_cover(day, seats, job)}."


def _cover(day: DayProblem, seats: Seats, risky: Job) -> str:
    """Which machine can take the roller time of a risky one. Empty if it has none ahead.

    A machine covers if by then it is here and its steps before the rollers are over, its own roller time is later and
    promised to nobody, and nothing fixed by hand forbids it. One whose check is over comes first.
    """
    freed = next((p for p in seats[risky.id] if p.step == risky.first_roller and p.step >= risky.first_open), None)
    if freed is None:
        return ""
    able = [job for job in day.jobs if job.id != risky.id and _can_take(job, freed, seats[job.id])]
    if not able:
        return f", and no other machine is ready for the rollers at {hhmm(freed.begin)}"
    best = min(able, key=lambda job: (-_chance_left(job), -job.worth))
    checked = [p.end for p in seats[best.id] if best.steps[p.step].check and p.end > day.now]
    when = f"checked by {hhmm(checked[0])}" if checked else "which is checked"
    return f"; {best.id}, {when}, can then take the rollers at {hhmm(freed.begin)}"


def _can_take(job: Job, freed: Placed, placed: list[Placed]) -> bool:
    index = job.first_roller
    if job.promised is not None or index is None or index < job.first_open:
        return False
    step, own = job.steps[index], {p.step: p for p in placed}
    is_free = all(own[i].end <= freed.begin if i in own else i < job.first_open for i in range(index))
    is_later = index not in own or own[index].begin > freed.begin
    fits = job.here_from <= freed.begin and step.minutes <= freed.end - freed.begin
    left = sum(one.minutes for one in job.steps[index:])
    is_in_time = job.gone_by is None or freed.begin + left <= job.gone_by
    pin = step.pin
    is_allowed = pin.begin is None and pin.by in (None, freed.by) and pin.station in (None, freed.station)
    return is_free and is_later and fits and is_in_time and is_allowed


def _chance_left(job: Job) -> float:
    """The chance that it passes what is still to be checked: 1 once its checks are over."""
    return job.ready if any(step.check and step.ended is None for step in job.steps) else 1.0


def _idle(day: DayProblem, seats: Seats) -> Iterator[str]:
    """One sentence: what is left out, waits for the rollers, and could still be begun at the bench."""
    placed = [p for some in seats.values() for p in some]
    waiting = {job.id for job in day.jobs if job.first_roller is not None and job.first_roller >= job.first_open}
    spare = sorted((p.begin, p.job, p.by) for p in for_idle_minutes(day, placed) if p.job in waiting)
    if spare:
        what = ", ".join(f"{job} at {hhmm(begin)} by {by}" for begin, job, by in spare[:SPARE_SHOWN])
        they = "it" if len(spare) == 1 else "they"
        yield (
            f"No room today, but idle minutes at the bench: {what}. Checked, {they} can take the rollers if one fails."
        )


def _until(job: Job) -> str:
    return f" until {hhmm(job.gone_by)}." if job.gone_by is not None else "."


def _floor(resources: Resources, placed: list[Placed]) -> Floor:
    floor = Floor(resources)
    floor.hold_all(placed)
    return floor
