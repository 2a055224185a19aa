"""What no plan of the day goes beyond, level by level, because each job on a day of its own cannot.

Where the plan at hand reaches such a bound the level is proved, and nothing needs to be searched.
"""

from __future__ import annotations

from garage.core.planning.day_problem import Job, Placed
from garage.core.planning.placing import Floor, chain, released
from garage.core.planning.plan_score import PlanScore, Seats, end_minute, keeps, score
from garage.core.time.day_minutes import DAY_MIN


class DayBounds:
    """floor: the day with only the running work on it."""

    def __init__(self, floor: Floor) -> None:
        self.floor, self.day = floor, floor.resources.day
        self.alone = {job.id: chain(floor, job, in_window=False) for job in self.day.jobs}
        self.finishable = {job.id for job in self.day.jobs if len(self.alone[job.id]) == job.open_count}
        self.in_window = {job.id: found for job in self.day.jobs if (found := reaching(floor, job, guarded=False))}
        self.guarded = self.in_window
        if self.day.guard:
            self.guarded = {job.id: found for job in self.day.jobs if (found := reaching(floor, job, guarded=True))}

    def are_reached(self, seats: Seats, level: int) -> bool:
        """Whether no plan is better on this level, given that the levels above are as good as in these seats."""
        now = score(self.day, seats)
        if level == 0:
            return now.kept == self._begun_in_time(seats) + len(self.in_window)
        if level == 1:
            return now.guarded in (now.kept, self._begun_in_time(seats) + len(self.guarded))
        if level == 2:
            return now.worth == self._worth()
        if level == 3:
            return -now.minus_ends_min == sum(self._end(job, seats, now) for job in self.day.jobs)
        return -now.minus_risk_min <= self._risk(seats, now)

    def _begun_in_time(self, seats: Seats) -> int:
        return sum(keeps(job, seats[job.id]) for job in self.day.jobs if not job.has_open_promise)

    def _worth(self) -> int:
        return sum(job.worth for job in self.day.jobs if job.id in self.finishable)

    def _earliest(self, job: Job, seats: Seats, now: PlanScore) -> list[Placed]:
        """The steps as early as can be, with the promise kept and guarded if every plan as good as this must do so."""
        begun = self._begun_in_time(seats)
        if job.id in self.guarded and now.guarded == begun + len(self.guarded):
            return self.guarded[job.id]
        if job.id in self.in_window and now.kept == begun + len(self.in_window):
            return self.in_window[job.id]
        return self.alone[job.id]

    def _end(self, job: Job, seats: Seats, now: PlanScore) -> int:
        if not job.open_count:
            return end_minute(job, seats[job.id])
        earliest = self._earliest(job, seats, now)
        return earliest[-1].end if len(earliest) == job.open_count else DAY_MIN

    def _risk(self, seats: Seats, now: PlanScore) -> float:
        """Only of the jobs that every plan as good as this does: a check that is not placed costs nothing."""
        if now.worth < self._worth():
            return 0.0
        return sum(
            (1 - job.ready) * placed.begin
            for job in self.day.jobs
            if job.worth and job.id in self.finishable
            for placed in self._earliest(job, seats, now)
            if job.steps[placed.step].check
        )


def reaching(floor: Floor, job: Job, *, guarded: bool) -> list[Placed]:
    """The job's steps as early as its promise allows on a day of its own. Empty if the promise cannot be kept so.

    guarded: with its clear minutes. A job that has not begun must also be finished.
    """
    if not job.has_open_promise or job.first_roller is None:
        return []
    day = floor.resources.day
    if guarded and any(step.is_running for step in job.steps) and released(day, job) > (job.promised or 0) - day.guard:
        return []
    placed = chain(floor, job, in_window=True, guarded=guarded)
    needed = job.first_roller - job.first_open + 1 if job.has_begun else job.open_count
    return placed if len(placed) >= needed else []
