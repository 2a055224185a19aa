"""What one plan of a day achieves beside another of the same day: what a pin costs, in the order of the plan's levels.

The sentences say what is lost and what is won, the most important first, and never more than is different.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from garage.core.money import from_pence, short_pounds_words
from garage.core.planning.day_problem import DayProblem, Plan
from garage.core.planning.plan_score import Seats, end_minute, is_done, is_guarded, keeps
from garage.core.time.day_minutes import hhmm

COSTS_NOTHING = "It costs nothing."
ONE_TO_NINE = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")


@dataclass(frozen=True, slots=True)
class PlanFigures:
    """What a plan achieves, in the order of its levels.

    kept, guarded: ids of jobs; guarded is part of kept. worth_pence: of the jobs done. left_out: by job, why. ends: by
    job, the minute at which its last step ends, as the manual of `plan` counts it. doubtful: by job in doubt, the
    minute at which its check begins. roller_min: minutes of roller work from now on. day_ends: the minute at which the
    last work ends, 0 without any.
    """

    kept: frozenset[str]
    guarded: frozenset[str]
    worth_pence: int
    left_out: Mapping[str, str]
    ends: Mapping[str, int]
    doubtful: Mapping[str, int]
    roller_min: int
    day_ends: int


@dataclass(frozen=True, slots=True)
class PlanCost:
    """The difference of two plans of one day. promised: by job, the minute of its promise.

    Each figure is that of the plan as fixed less that of the free one: below 0 is fewer.
    """

    free: PlanFigures
    fixed: PlanFigures
    promised: Mapping[str, int]

    @property
    def kept(self) -> int:
        return len(self.fixed.kept) - len(self.free.kept)

    @property
    def guarded(self) -> int:
        return len(self.fixed.guarded) - len(self.free.guarded)

    @property
    def worth_pence(self) -> int:
        return self.fixed.worth_pence - self.free.worth_pence

    @property
    def left_out(self) -> int:
        return len(self.fixed.left_out) - len(self.free.left_out)

    @property
    def ends_min(self) -> int:
        return sum(self.fixed.ends.values()) - sum(self.free.ends.values())

    @property
    def roller_min(self) -> int:
        return self.fixed.roller_min - self.free.roller_min

    @property
    def day_ends_min(self) -> int:
        return self.fixed.day_ends - self.free.day_ends

    @property
    def sentence(self) -> str:
        """What it costs, plainly.

        >>> free = PlanFigures(frozenset({"42"}), frozenset(), 0, {}, {}, {}, 60, 720)
        >>> fixed = PlanFigures(frozenset(), frozenset(), 0, {}, {}, {}, 60, 720)
        >>> PlanCost(free, fixed, {"42": 660}).sentence
        'Fixed so, one promise less is kept: 42 at 11:00.'
        >>> PlanCost(free, free, {"42": 660}).sentence
        'It costs nothing.'
        """
        return sentence_of(self)


def figures_of(day: DayProblem, plan: Plan) -> PlanFigures:
    """day: the problem that the plan answers, or the same day with another guard, which is then the one that counts."""
    seats: Seats = {job.id: [] for job in day.jobs}
    for placed in sorted(plan.placed, key=lambda one: one.step):
        seats[placed.job].append(placed)
    kept = [job for job in day.jobs if keeps(job, seats[job.id])]
    return PlanFigures(
        kept=frozenset(job.id for job in kept),
        guarded=frozenset(job.id for job in kept if is_guarded(day, job, seats)),
        worth_pence=sum(job.worth for job in day.jobs if is_done(job, seats[job.id])),
        left_out={left.job: left.why for left in plan.left_out},
        ends={job.id: end_minute(job, seats[job.id]) for job in day.jobs},
        doubtful={
            job.id: placed.begin
            for job in day.jobs
            for placed in seats[job.id]
            if job.is_in_doubt and job.steps[placed.step].check and job.steps[placed.step].began is None
        },
        roller_min=plan.roller_minutes,
        day_ends=max((placed.end for placed in plan.placed), default=0),
    )


def cost_of(day: DayProblem, free: Plan, fixed: Plan) -> PlanCost:
    """What `fixed` costs beside `free`. day: theirs; pins make no difference to what is counted."""
    promised = {job.id: job.promised for job in day.jobs if job.promised is not None}
    return PlanCost(figures_of(day, free), figures_of(day, fixed), promised)


def sentence_of(cost: PlanCost) -> str:
    parts = [*_promises(cost), *_clear_minutes(cost), *_work(cost), *_ends(cost), *_checks(cost)]
    if not parts:
        return COSTS_NOTHING
    first, *rest = parts
    return " ".join([f"Fixed so, {first}", *(part[0].upper() + part[1:] for part in rest)])


def _promises(cost: PlanCost) -> Iterator[str]:
    lost, won = cost.free.kept - cost.fixed.kept, cost.fixed.kept - cost.free.kept
    if len(lost) > len(won):
        yield f"{_less(len(lost) - len(won), 'promise', 'promises')} kept: {_named(cost, lost)}."
    elif len(won) > len(lost):
        yield f"{_more(len(won) - len(lost), 'promise', 'promises')} kept: {_named(cost, won)}."
    elif lost:
        yield f"another promise is broken: {_named(cost, lost)}."
    if won and len(lost) >= len(won):
        yield f"{_named(cost, won)} {'is' if len(won) == 1 else 'are'} kept instead."


def _clear_minutes(cost: PlanCost) -> Iterator[str]:
    """Of the promises kept either way: one that is broken has no need of clear minutes."""
    both = cost.free.kept & cost.fixed.kept
    lost = (cost.free.guarded - cost.fixed.guarded) & both
    won = (cost.fixed.guarded - cost.free.guarded) & both
    if lost:
        has = "has" if len(lost) == 1 else "have"
        yield f"{_named(cost, lost)} {has} no clear minutes before {_it(lost)} any more."
    if won:
        yield f"{_named(cost, won)} {'has' if len(won) == 1 else 'have'} clear minutes before {_it(won)}."


def _work(cost: PlanCost) -> Iterator[str]:
    out = [job for job in cost.fixed.left_out if job not in cost.free.left_out]
    fits = [job for job in cost.free.left_out if job not in cost.fixed.left_out]
    for job in out:
        yield f"{job} is left out: {cost.fixed.left_out[job]}"
    if fits:
        yield f"{_joined(fits)} {'fits' if len(fits) == 1 else 'fit'} in."
    if cost.worth_pence:
        amount = short_pounds_words(from_pence(abs(cost.worth_pence)))
        yield f"work worth {amount} {'less' if cost.worth_pence < 0 else 'more'} is done."
    if cost.roller_min:
        minutes = abs(cost.roller_min)
        yield (
            f"{minutes} roller {'minute' if minutes == 1 else 'minutes'} "
            f"{'fewer' if cost.roller_min < 0 else 'more'} {'is' if minutes == 1 else 'are'} worked."
        )


def _ends(cost: PlanCost) -> Iterator[str]:
    """Not where a job is left out or fits in: then the end of the day says little."""
    if cost.free.left_out.keys() != cost.fixed.left_out.keys():
        return
    if cost.day_ends_min:
        yield f"the day’s work ends at {hhmm(cost.fixed.day_ends)} instead of {hhmm(cost.free.day_ends)}."
    if not cost.ends_min or cost.day_ends_min * cost.ends_min > 0:
        return
    other = [job for job, end in cost.fixed.ends.items() if end != cost.free.ends.get(job)]
    if len(other) == 1:
        [job] = other
        yield f"{job} is done at {hhmm(cost.fixed.ends[job])} instead of {hhmm(cost.free.ends[job])}."
    else:
        minutes = abs(cost.ends_min)
        yield (
            f"machines are done {minutes} {'minute' if minutes == 1 else 'minutes'} "
            f"{'later' if cost.ends_min > 0 else 'earlier'}, all taken together."
        )


def _checks(cost: PlanCost) -> Iterator[str]:
    for job, begins in cost.fixed.doubtful.items():
        before = cost.free.doubtful.get(job)
        if before is not None and begins > before:
            yield f"{job}, which may well fail its check, is checked at {hhmm(begins)} instead of {hhmm(before)}."


def _named(cost: PlanCost, jobs: frozenset[str]) -> str:
    order = sorted(jobs, key=lambda job: (cost.promised[job], job))
    return _joined([f"{job} at {hhmm(cost.promised[job])}" for job in order])


def _joined(names: list[str]) -> str:
    *some, last = names
    return f"{', '.join(some)} and {last}" if some else last


def _less(count: int, one: str, many: str) -> str:
    return f"one {one} less is" if count == 1 else f"{_number(count)} {many} fewer are"


def _more(count: int, one: str, many: str) -> str:
    return f"one {one} more is" if count == 1 else f"{_number(count)} {many} more are"


def _number(count: int) -> str:
    return ONE_TO_NINE[count] if count < len(ONE_TO_NINE) else str(count)


def _it(jobs: frozenset[str]) -> str:
    return "it" if len(jobs) == 1 else "them"
