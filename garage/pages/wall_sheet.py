"""The drawing for the wall: the plan that people work to, without anybody's name and without anything found."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from garage.core.drawing.day_story import StationWork, VisitOfDay, machine_thread
from garage.core.drawing.sheet import DaySheet, Promise, Rest
from garage.core.drawing.tracks import hours_of, station_names, track_at, tracks_of
from garage.core.planning.day_problem import ROLLER, Placed
from garage.core.planning.day_rules import DayAt
from garage.core.planning.stations_now import as_worked
from garage.models.visits import Visit
from garage.reads.day_plan import DayPlan


def wall_sheet(plan: DayPlan, visits: Iterable[Visit], seen: DayAt) -> DaySheet:
    """visits: of the day, with their steps."""
    opens, closes = hours_of(plan.problem)
    work = as_worked(plan.problem, plan.to_work_to, plan.proposed)
    stories = [_story(visit, plan, work, seen) for visit in visits]
    rests = sorted({(begin, end) for person in plan.problem.people for begin, end in person.breaks})
    return DaySheet(
        title=f"The day, {seen.day:%A} {seen.day.day} {seen.day:%B}",
        tracks=tracks_of(plan.problem, (done.track for story in stories for done in story.work)),
        threads=tuple(machine_thread(story, now=seen.now_minute, closes=closes) for story in stories),
        promises=tuple(_promises(plan, work)),
        rests=tuple(Rest(begin, end) for begin, end in rests),
        now=seen.now_minute,
        opens=opens,
        closes=closes,
    )


def _story(visit: Visit, plan: DayPlan, work: tuple[Placed, ...], seen: DayAt) -> VisitOfDay:
    number, (opens, _) = str(visit.number), hours_of(plan.problem)
    expected = next((job.here_from for job in plan.problem.jobs if job.id == number), opens)
    arrived = None if visit.arrived_at is None else seen.local.minute_from(seen.day, visit.arrived_at)
    stood_here_overnight = arrived is not None and arrived < 0  # its thread begins with the day
    return VisitOfDay(
        number=number,
        label=f"{number} {visit.machine.words}, {visit.kind.name.lower()}",
        here_from=max(opens, expected) if arrived is None or stood_here_overnight else arrived,
        work=(*_over(visit, plan, seen), *_ahead(visit, plan, work)),
        gone_at=None if visit.collected_at is None else seen.local.minute_from(seen.day, visit.collected_at),
    )


def _over(visit: Visit, plan: DayPlan, seen: DayAt) -> Iterator[StationWork]:
    names = station_names(plan.problem)
    for step in visit.steps.all():
        if step.began_at and step.ended_at and seen.has(step.began_at):
            there = step.strapped_from or step.began_at
            begin, end = (seen.local.minute_from(seen.day, at) for at in (there, step.ended_at))
            yield StationWork(
                track_at(names, step.at, step.station), begin, end, step.what, has_begun=True, is_over=True
            )


def _ahead(visit: Visit, plan: DayPlan, work: tuple[Placed, ...]) -> Iterator[StationWork]:
    names, steps = station_names(plan.problem), list(visit.steps.all())
    jobs = {job.id: job for job in plan.problem.jobs}
    for placed in work:
        if placed.job == str(visit.number):
            has_begun = jobs[placed.job].steps[placed.step].began is not None
            track = track_at(names, placed.at, placed.station)
            yield StationWork(track, placed.begin, placed.end, steps[placed.step].what, has_begun=has_begun)


def _promises(plan: DayPlan, work: tuple[Placed, ...]) -> Iterator[Promise]:
    names = station_names(plan.problem)
    given = {placed.job: names.get((placed.at, placed.station)) for placed in work if placed.at == ROLLER}
    for job in plan.problem.jobs:
        if job.promised is not None and (track := given.get(job.id) or names.get((ROLLER, 1))):
            yield Promise(job.id, track, job.promised)
