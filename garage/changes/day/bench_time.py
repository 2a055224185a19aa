"""The bench time that a visit still needs, as the bench finds out while it works: the plan goes by it.

Told from a higher room in minutes, never why. Call these inside a change that has locked the visit.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from garage.core.time.day_minutes import DAY_MIN
from garage.models.visits import Step, Visit
from garage.reads.bench_time import open_bench_step


def is_left(visit: Visit, *, minutes: int, since: datetime) -> None:
    """So much was left when it was found out. A running step has the minutes it had taken by then, and those."""
    step = open_bench_step(visit)
    if step is None:
        return
    if step.minutes_before is None:
        step.minutes_before = step.minutes
    step.minutes = minutes + _taken_min(step, since)
    step.save(update_fields=["minutes", "minutes_before"])
    _expects(visit, minutes)


def as_planned(visit: Visit, *, minutes: int) -> None:
    """Nothing of what was found stands any more: the step has the minutes back that it had before. minutes: expected of
    the visit.
    """
    step = open_bench_step(visit)
    if step is None or step.minutes_before is None:
        return
    step.minutes, step.minutes_before = step.minutes_before, None
    step.save(update_fields=["minutes", "minutes_before"])
    _expects(visit, minutes)


def _expects(visit: Visit, minutes: int) -> None:
    """Only where the route gave it some to be put right first."""
    if visit.bench_minutes is not None and visit.bench_minutes != minutes:
        visit.bench_minutes = minutes
        visit.save(update_fields=["bench_minutes"])


def _taken_min(step: Step, since: datetime) -> int:
    """At most a day: a step that nobody ended has run on for as long as it was forgotten."""
    taken_min = (since - step.began_at) // timedelta(minutes=1) if step.began_at else 0
    return min(max(0, taken_min), DAY_MIN)
