"""What clear minutes before promised times bring and cost: the same days planned with them and without."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from garage.core.money import from_pence, short_pounds_words
from garage.core.planning.day_problem import DayProblem
from garage.core.planning.planner import plan
from garage.core.planning.standing.plan_cost import PlanFigures, figures_of
from garage.core.time.day_minutes import hhmm


@dataclass(frozen=True, slots=True)
class GuardedDay:
    """One day planned twice. promises: how many there are. all_worth_pence: of everything wanted that day.

    Clear minutes are counted by the same rule in both plans: without a guard some promises have them by chance.
    """

    day: str
    promises: int
    all_worth_pence: int
    guarded: PlanFigures
    free: PlanFigures

    @property
    def left_out_pence(self) -> int:
        return self.all_worth_pence - self.guarded.worth_pence

    @property
    def left_out_without_pence(self) -> int:
        return self.all_worth_pence - self.free.worth_pence

    @property
    def ends(self) -> str:
        return hhmm(self.guarded.day_ends)

    @property
    def ends_without(self) -> str:
        return hhmm(self.free.day_ends)


def guarded_day(day: DayProblem, guard_min: int) -> GuardedDay:
    """guard_min: minutes before a promised time in which the rollers, the person and the machine's own earlier steps
    should be free; above 0.
    """
    with_guard = replace(day, guard=guard_min)
    return GuardedDay(
        day=day.day,
        promises=sum(job.promised is not None for job in day.jobs),
        all_worth_pence=sum(job.worth for job in day.jobs),
        guarded=figures_of(with_guard, plan(with_guard)),
        free=figures_of(with_guard, plan(replace(day, guard=0))),
    )


def guard_sentences(days: Sequence[GuardedDay], guard_min: int) -> tuple[str, ...]:
    """What the days say together: what it brings, then what it costs. Empty without days."""
    return tuple(_sentences(days, guard_min)) if days else ()


def _sentences(days: Sequence[GuardedDay], guard_min: int) -> Iterator[str]:
    promises = sum(day.promises for day in days)
    with_it, without = (sum(len(plan.guarded) for plan in plans) for plans in _plans(days))
    if not promises:
        yield "No time on the rollers is promised on those days, so it makes no difference to them."
        return
    have = f"{with_it} of {promises} promised times have {guard_min} clear minutes before them"
    if promises == 1:
        have = f"the one promised time has {'' if with_it else 'no '}{guard_min} clear minutes before it"
    yield f"{have[0].upper()}{have[1:]}{', with it or without.' if with_it == without else f'; without it, {without}.'}"
    yield _kept(days)
    yield _worth(days)
    later = [day.guarded.day_ends - day.free.day_ends for day in days if day.guarded.day_ends > day.free.day_ends]
    if later:
        where = "One day" if len(later) == 1 else f"{len(later)} days"
        ends = "ends" if len(later) == 1 else "end"
        yield f"{where} {ends} later for it, by {max(later)} minutes{' at most' if len(later) > 1 else ''}."


def _plans(days: Sequence[GuardedDay]) -> tuple[list[PlanFigures], list[PlanFigures]]:
    return [day.guarded for day in days], [day.free for day in days]


def _kept(days: Sequence[GuardedDay]) -> str:
    """Never fewer with the guard: to keep a promise comes before the minutes before it."""
    kept, without = (sum(len(plan.kept) for plan in plans) for plans in _plans(days))
    return "As many promises are kept." if kept == without else f"{kept} promises are kept; without it, {without}."


def _worth(days: Sequence[GuardedDay]) -> str:
    with_it, without = sum(day.left_out_pence for day in days), sum(day.left_out_without_pence for day in days)
    if with_it == without:
        return "It costs no work."
    amount = short_pounds_words(from_pence(abs(with_it - without)))
    return f"Work worth {amount} {'does not fit in for it' if with_it > without else 'more fits in'}."
