"""What the proposed plan changes of the one that people work to, and why.

A plan slips with the clock: work planned for 10:00 has not begun at 10:03. That alone is no change, or there would be a
new proposal every minute. Another station, person or order, a promise that is no longer kept, work that is new or left
out always are.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import chain

from garage.core.planning.day_problem import DayProblem, Job, Placed, Plan
from garage.core.planning.plan_score import keeps

# Minutes by which a step may come later or earlier without a word. As many as a shop keeps clear before a promise to
# begin with, and fewer than the 15 in which a promise is kept. Common practice, no source.
SLIP_MIN = 10

StepKey = tuple[str, int]  # job id, index of the step


class Gone(Enum):
    """Why a step of the standing plan is not to be done on this day any more: the first reason that applies."""

    CALLED_OFF = "called off"
    DID_NOT_COME = "did not come"
    NO_TIME = "no time"
    ANOTHER_DAY = "another day"
    MUST_NOT_RUN = "must not run"
    TO_PUT_RIGHT = "to be put right"
    WAITING = "waiting"
    DROPPED = "dropped"


@dataclass(frozen=True, slots=True)
class GoneStep:
    """A step that stands in the plan and is not of the day any more. job: the visit's number."""

    job: str
    what: str
    at: str
    station: int
    by: str
    begin: int
    end: int
    why: Gone


class WhyMoved(Enum):
    """Why a step has another place than the one that stands. Of several, the first that applies."""

    FIXED = "fixed by hand"
    NOT_HERE_YET = "the machine is not here"
    NOBODY = "the person is not at work then"
    OWN_STEP_LATE = "its earlier step runs late"
    OWN_STEP = "its earlier step comes first"
    NOT_BEGUN = "it has not begun"
    STATION_LATE = "the station is kept by work that runs late"
    STATION_FIXED = "the station is taken by work fixed by hand"
    STATION_PROMISED = "the station is taken by a promise"
    STATION_NEW = "the station is taken by new work"
    STATION_TAKEN = "the station is taken"
    PERSON_TAKEN = "the person has other work"
    STATION_FREE = "the station is free sooner"
    PERSON_FREE = "the person is free sooner"
    BETTER = "the day comes out better"


@dataclass(frozen=True, slots=True)
class Because:
    """cause with what its sentence names: another job, a person, a station, and the minute until or from which."""

    cause: WhyMoved
    other: str = ""
    person: str = ""
    at: str = ""
    station: int = 0
    minute: int = 0


@dataclass(frozen=True, slots=True)
class MovedStep:
    """One step that begins at another time or has another station or person."""

    before: Placed
    after: Placed


@dataclass(frozen=True, slots=True)
class PlanChange:
    """All that changes for one job. moved: its steps with another place, because: why the first of them has. added:
    steps that did not stand in the plan, is_new if none of the job did. gone: steps not to be done any more.
    left_out and broken: the plan's sentences, if it fits no more or its promise is no longer kept.
    """

    job: str
    moved: tuple[MovedStep, ...] = ()
    because: Because | None = None
    added: tuple[Placed, ...] = ()
    is_new: bool = False
    gone: tuple[GoneStep, ...] = ()
    left_out: str = ""
    broken: str = ""

    @property
    def is_any(self) -> bool:
        return bool(self.moved or self.added or self.gone or self.left_out or self.broken)


def plan_changes(day: DayProblem, proposed: Plan, gone: Sequence[GoneStep] = ()) -> tuple[PlanChange, ...]:
    """What changes against day.standing, by job in order of time. Empty if people can go on working to what stands.

    gone: what stood in the plan and is not part of the day any more.
    """
    known = _Known(day, proposed, tuple(gone))
    jobs = dict.fromkeys([*(p.job for p in proposed.placed), *(j.id for j in day.jobs), *(g.job for g in gone)])
    changes = (known.change(job) for job in jobs)
    return tuple(change for change in changes if change.is_any)


class _Known:
    """The two plans side by side."""

    def __init__(self, day: DayProblem, proposed: Plan, gone: tuple[GoneStep, ...]) -> None:
        self.day, self.gone = day, gone
        self.jobs = {job.id: job for job in day.jobs}
        self.before: dict[StepKey, Placed] = {(p.job, p.step): p for p in day.standing}
        self.after: dict[StepKey, Placed] = {(p.job, p.step): p for p in proposed.placed}
        self.left_out = {one.job: one.why for one in proposed.left_out}
        self.broken = {one.job: one.why for one in proposed.broken}
        self.reordered = set(_reordered(self.before, self.after))

    def change(self, job_id: str) -> PlanChange:
        job, gone = self.jobs.get(job_id), tuple(g for g in self.gone if g.job == job_id)
        if job is None:
            return PlanChange(job_id, gone=gone)
        steps = [(job.id, index) for index in range(job.first_open, len(job.steps))]
        moved = tuple(MovedStep(self.before[s], self.after[s]) for s in steps if self._is_moved(s))
        stood = any((job.id, index) in self.before for index in range(len(job.steps))) or bool(gone)
        return PlanChange(
            job_id,
            moved=moved,
            because=self._because(job, moved[0]) if moved else None,
            added=tuple(self.after[s] for s in steps if s in self.after and s not in self.before),
            is_new=not stood and not job.has_begun,
            gone=gone,
            left_out=self.left_out.get(job_id, "")
            if any(s in self.before and s not in self.after for s in steps)
            else "",
            broken=self.broken.get(job_id, "") if self._stood_kept(job) else "",
        )

    def _is_moved(self, step: StepKey) -> bool:
        before, after = self.before.get(step), self.after.get(step)
        if before is None or after is None:
            return False
        is_elsewhere = (before.station, before.by) != (after.station, after.by)
        return is_elsewhere or step in self.reordered or abs(after.begin - before.begin) > SLIP_MIN

    def _stood_kept(self, job: Job) -> bool:
        return keeps(job, [p for p in self.before.values() if p.job == job.id])

    def _because(self, job: Job, moved: MovedStep) -> Because:
        causes = self._later(job, moved) if moved.after.begin >= moved.before.begin else self._sooner(moved)
        return next(chain(self._its_own(job, moved), causes), Because(WhyMoved.BETTER))

    def _its_own(self, job: Job, moved: MovedStep) -> Iterator[Because]:
        """What lies with the step itself, its machine or its person."""
        before, after = moved.before, moved.after
        pin = job.steps[after.step].pin
        if (pin.begin == after.begin != before.begin) or (pin.station == after.station != before.station):
            yield Because(WhyMoved.FIXED)
        if pin.by == after.by != before.by:
            yield Because(WhyMoved.FIXED)
        if before.by != after.by and not self._is_at_work(before):
            yield Because(WhyMoved.NOBODY, person=before.by)

    def _is_at_work(self, placed: Placed) -> bool:
        """Whether its person has hours and no break for the minutes that stand, and the skill."""
        return any(
            worker.id == placed.by
            and placed.at in worker.skills
            and worker.begin <= placed.begin
            and placed.end <= worker.end
            and not any(_overlap(placed, begin, end) for begin, end in worker.breaks)
            for worker in self.day.people
        )

    def _later(self, job: Job, moved: MovedStep) -> Iterator[Because]:
        """Why it cannot begin when it stood."""
        before, after = moved.before, moved.after
        if job.here_from > before.begin:
            yield Because(WhyMoved.NOT_HERE_YET, minute=job.here_from)
        earlier = self.after.get((job.id, after.step - 1))
        if earlier and earlier.end > before.begin:
            yield Because(WhyMoved.OWN_STEP_LATE if self._is_late(earlier) else WhyMoved.OWN_STEP, minute=earlier.end)
        if not self._is_at_work(before):
            yield Because(WhyMoved.NOBODY, person=before.by)
        others = [p for p in self.after.values() if p.job != job.id and _overlap(p, before.begin, before.end)]
        yield from (self._taken_by(p) for p in others if (p.at, p.station) == (before.at, before.station))
        yield from (Because(WhyMoved.PERSON_TAKEN, p.job, p.by, minute=p.end) for p in others if p.by == before.by)
        if before.begin < self.day.now:
            yield Because(WhyMoved.NOT_BEGUN, minute=before.begin)

    def _taken_by(self, other: Placed) -> Because:
        """Of the work that is on the wanted station."""
        job = self.jobs[other.job]
        step = job.steps[other.step]
        if self._is_late(other):
            cause = WhyMoved.STATION_LATE
        elif step.began is None and (step.pin.begin is not None or step.pin.station is not None):
            cause = WhyMoved.STATION_FIXED
        elif job.has_open_promise and other.step == job.first_roller and keeps(job, [other]):
            cause = WhyMoved.STATION_PROMISED
        elif not job.has_begun and (other.job, other.step) not in self.before:
            cause = WhyMoved.STATION_NEW
        else:
            cause = WhyMoved.STATION_TAKEN
        return Because(cause, other.job, at=other.at, station=other.station, minute=other.end)

    def _sooner(self, moved: MovedStep) -> Iterator[Because]:
        """What stood where it can now begin, and is not there any more."""
        after, until = moved.after, min(moved.after.end, moved.before.begin)
        stood = [p for p in self.before.values() if p.job != after.job and _overlap(p, after.begin, until)]
        off = [p for p in stood if not self._is_still_there(p, after.begin, until)]
        left: list[Placed | GoneStep] = [
            *off,
            *(g for g in self.gone if _overlap(g, after.begin, until) and g.job != after.job),
        ]
        for one in left:
            if (one.at, one.station) == (after.at, after.station):
                yield Because(WhyMoved.STATION_FREE, one.job, at=one.at, station=one.station, minute=after.begin)
        for one in left:
            if one.by == after.by:
                yield Because(WhyMoved.PERSON_FREE, one.job, one.by, minute=after.begin)

    def _is_still_there(self, stood: Placed, begin: int, end: int) -> bool:
        now = self.after.get((stood.job, stood.step))
        return now is not None and (now.at, now.station) == (stood.at, stood.station) and _overlap(now, begin, end)

    def _is_late(self, placed: Placed) -> bool:
        """Whether it is under way and ends later than it should have."""
        stood = self.before.get((placed.job, placed.step))
        is_running = self.jobs[placed.job].steps[placed.step].is_running
        return is_running and placed.end > (stood.end if stood else placed.begin + self._minutes(placed))

    def _minutes(self, placed: Placed) -> int:
        return self.jobs[placed.job].steps[placed.step].minutes


def runs_late(day: DayProblem, placed: Placed) -> int:
    """Minutes by which a running step will end later than it stood in the plan, or than its own minutes say. 0 or more.

    Work that began late and takes its time runs late too: the next one waits for it.
    """
    step = next(job for job in day.jobs if job.id == placed.job).steps[placed.step]
    if not step.is_running or step.began is None:
        return 0
    stood = next((p.end for p in day.standing if (p.job, p.step) == (placed.job, placed.step)), None)
    return max(0, placed.end - (step.began + step.minutes if stood is None else stood))


def _reordered(before: Mapping[StepKey, Placed], after: Mapping[StepKey, Placed]) -> Iterator[StepKey]:
    """Steps that come later than another on the same station, or for the same person, which they came before."""
    both = [step for step in after if step in before]
    for index, one in enumerate(both):
        for other in both[index + 1 :]:
            if _share(before[one], before[other]) and _share(after[one], after[other]):
                stood = before[one].begin - before[other].begin
                if stood * (after[one].begin - after[other].begin) < 0:
                    yield from (one, other)


def _share(one: Placed, other: Placed) -> bool:
    return (one.at, one.station) == (other.at, other.station) or one.by == other.by


def _overlap(placed: Placed | GoneStep, begin: int, end: int) -> bool:
    return placed.begin < end and placed.end > begin
