"""A slow, plain judge of plans, written from the manual of `plan` alone, minute by minute; no code of the core."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

from garage.core.planning.day_problem import DayProblem, Job, JobStep, Placed, Plan

WINDOW_MIN = 15


def faults(day: DayProblem, made: Plan) -> list[str]:
    """Everything in the plan that breaks a rule of the manual; empty for a sound plan."""
    out: list[str] = []
    jobs = {job.id: job for job in day.jobs}
    people = {person.id: person for person in day.people}
    at_person: Counter[tuple[str, int]] = Counter()
    at_station: Counter[tuple[str, int, int]] = Counter()
    running = {(j.id, i) for j in day.jobs for i, s in enumerate(j.steps) if s.began is not None and s.ended is None}
    for p in made.placed:
        step = jobs[p.job].steps[p.step]
        for minute in range(p.begin, p.end):
            at_person[p.by, minute] += 1
            at_station[p.at, p.station, minute] += 1
        if p.at != step.at:
            out.append(f"{p} stands at the wrong kind of station")
        if (p.job, p.step) in running:
            out += _running_faults(day, p, step)
        else:
            out += _open_faults(day, people, jobs[p.job], p, step)
    if (
        not running
    ):  # what has been begun may clash by itself; then the open steps alone are judged by _open_faults' twin
        out += [f"two steps for {who}" for who, count in at_person.items() if count > 1]
        out += [f"two steps at {where}" for where, count in at_station.items() if count > 1]
    else:
        out += _open_clashes(made, running)
    return out + _order_faults(day, made) + _sum_faults(day, made)


def _open_clashes(made: Plan, running: set[tuple[str, int]]) -> list[str]:
    out = []
    for i, one in enumerate(made.placed):
        for other in made.placed[i + 1 :]:
            both_run = (one.job, one.step) in running and (other.job, other.step) in running
            same = one.by == other.by or (one.at, one.station) == (other.at, other.station)
            if same and not both_run and one.begin < other.end and other.begin < one.end:
                out.append(f"{one} and {other} clash")
    return out


def _running_faults(day: DayProblem, p: Placed, step: JobStep) -> list[str]:
    assert step.began is not None
    end = step.began + step.minutes if step.began + step.minutes > day.now else day.now + 5
    same = (p.begin, p.end, p.by) == (step.began, end, step.by)
    return [] if same else [f"{p} is not what runs"]


def _open_faults(day: DayProblem, people: dict, job: Job, p: Placed, step: JobStep) -> list[str]:
    out = []
    count = {"roller": day.rollers, "bench": day.benches}[p.at]
    person = people.get(p.by)
    if person is None or p.at not in person.skills:
        return [f"{p}: {p.by} is not here or cannot do it"]
    checks = {
        "not in its minutes": p.end - p.begin != step.minutes,
        "no such station": not 1 <= p.station <= count,
        "before now": p.begin < day.now,
        "before the machine is here": p.begin < job.here_from,
        "after the machine has gone": job.gone_by is not None and p.end > job.gone_by,
        "outside the person's hours": p.begin < person.begin or p.end > person.end,
        "in a break": any(p.begin < to and p.end > since for since, to in person.breaks),
        "in a quiet time": p.at == "roller" and any(p.begin < to and p.end > since for since, to in day.quiet_rollers),
        "not at its fixed station": step.pin.station not in (None, p.station),
        "not by its fixed person": step.pin.by not in (None, p.by),
        "not at its fixed time": step.pin.begin not in (None, p.begin),
        "begun or over already": step.began is not None,
    }
    out += [f"{p}: {fault}" for fault, is_so in checks.items() if is_so]
    return out


def _order_faults(day: DayProblem, made: Plan) -> list[str]:
    out = []
    left = {one.job for one in made.left_out}
    for job in day.jobs:
        mine = sorted((p for p in made.placed if p.job == job.id), key=lambda p: p.step)
        have = [p.step for p in mine]
        if len(have) != len(set(have)):
            out.append(f"{job.id} has a step twice")
        if any(a.end > b.begin for a, b in pairwise(mine)):
            out.append(f"{job.id}: steps out of turn")
        over = [s.ended for s in job.steps if s.ended is not None]
        if mine and over and mine[0].begin < max(over):
            out.append(f"{job.id}: a step before an earlier one was over")
        begun = any(s.began is not None for s in job.steps)
        open_steps = [i for i, s in enumerate(job.steps) if s.ended is None]
        if have != open_steps[: len(have)]:
            out.append(f"{job.id}: a step is passed over")
        if have and have != open_steps and not begun:
            out.append(f"{job.id}: half a job is placed")
        if (have != open_steps) != (job.id in left):
            out.append(f"{job.id}: left out or not is told wrongly")
    return out


def kept_ids(day: DayProblem, made: Plan) -> set[str]:
    """The jobs whose promise is kept, from the manual's sentence."""
    out = set()
    for job in day.jobs:
        rollers = [i for i, s in enumerate(job.steps) if s.at == "roller"]
        if job.promised is None or not rollers:
            continue
        began = job.steps[rollers[0]].began
        begins = (
            [began] if began is not None else [p.begin for p in made.placed if (p.job, p.step) == (job.id, rollers[0])]
        )
        if begins and job.promised <= begins[0] <= job.promised + WINDOW_MIN:
            out.add(job.id)
    return out


def guarded_count(day: DayProblem, made: Plan) -> int:
    count = 0
    for job in (j for j in day.jobs if j.id in kept_ids(day, made)):
        index = next(i for i, s in enumerate(job.steps) if s.at == "roller")
        if job.steps[index].began is not None or day.guard == 0:
            count += 1
            continue
        mine = next(p for p in made.placed if (p.job, p.step) == (job.id, index))
        minutes = set(range(job.promised - day.guard, job.promised))
        others = [
            p
            for p in made.placed
            if p.job != job.id and (p.by == mine.by or (p.at, p.station) == (mine.at, mine.station))
        ]
        free = not any(minutes & set(range(p.begin, p.end)) for p in others)
        earlier_over = all(p.end <= job.promised - day.guard for p in made.placed if p.job == job.id and p.step < index)
        count += free and earlier_over
    return count


def _sum_faults(day: DayProblem, made: Plan) -> list[str]:
    kept = kept_ids(day, made)
    promised = {job.id for job in day.jobs if job.promised is not None}
    have = {(p.job, p.step) for p in made.placed}
    done = [job for job in day.jobs if all(s.ended is not None or (job.id, i) in have for i, s in enumerate(job.steps))]
    told = {
        "kept": (made.kept, len(kept)),
        "broken": ({one.job for one in made.broken}, promised - kept),
        "guarded": (made.guarded, guarded_count(day, made)),
        "worth": (made.worth, sum(job.worth for job in done)),
        "roller minutes": (
            made.roller_minutes,
            sum(1 for p in made.placed if p.at == "roller" for m in range(p.begin, p.end) if m >= day.now),
        ),
        "order of placed": ([p.begin for p in made.placed], sorted(p.begin for p in made.placed)),
        "proved": (0 <= made.proved <= 5, True),
        "sentences": (all(one.why.endswith(".") for one in (*made.left_out, *made.broken)), True),
    }
    return [f"{what}: told {said}, is {found}" for what, (said, found) in told.items() if said != found]


def enumerated(day: DayProblem, slot_min: int) -> tuple[int, bool]:
    """Most promises that can be kept, and whether every job can be placed with every promise kept; tries everything.

    For days without begun steps whose every number is a multiple of slot_min: then beginnings on that grid are enough.
    """
    best, whole = 0, False
    promised = sum(job.promised is not None for job in day.jobs)
    by_job = [[None, *_chains(day, job, slot_min)] for job in day.jobs]

    def down(index: int, placed: list[Placed], kept: int, all_in: bool) -> None:
        nonlocal best, whole
        if whole or (kept + len(day.jobs) - index < best and not all_in):
            return
        if index == len(day.jobs):
            best = max(best, kept)
            whole = whole or (all_in and kept == promised)
            return
        for chain in by_job[index]:
            if chain is None:
                down(index + 1, placed, kept, False)
            elif not any(_clash(p, q) for p in chain for q in placed):
                down(index + 1, placed + chain, kept + _keeps(day.jobs[index], chain), all_in)

    down(0, [], 0, True)
    return best, whole


def _clash(p: Placed, q: Placed) -> bool:
    same = p.by == q.by or (p.at, p.station) == (q.at, q.station)
    return same and p.begin < q.end and q.begin < p.end


def _keeps(job: Job, chain: list[Placed]) -> bool:
    first = next((p for p in chain if p.at == "roller"), None)
    return job.promised is not None and first is not None and job.promised <= first.begin <= job.promised + WINDOW_MIN


def _chains(day: DayProblem, job: Job, slot_min: int) -> list[list[Placed]]:
    people = {person.id: person for person in day.people}
    out: list[list[Placed]] = []

    def down(index: int, since: int, chain: list[Placed]) -> None:
        if index == len(job.steps):
            out.append(chain)
            return
        step = job.steps[index]
        for begin in range(since, 1440 - step.minutes + 1, slot_min):
            for person in day.people:
                for station in range(1, (day.rollers if step.at == "roller" else day.benches) + 1):
                    p = Placed(job.id, index, step.at, station, person.id, begin, begin + step.minutes)
                    if not _open_faults(day, people, job, p, step):
                        down(index + 1, p.end, [*chain, p])

    earliest = -(-max(day.now, job.here_from) // slot_min) * slot_min
    down(0, earliest, [])
    return sorted(out, key=lambda chain: not _keeps(job, chain))
