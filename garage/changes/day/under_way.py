"""A step that runs: it pauses, and the rest of it waits; or it takes longer than planned."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.db import transaction

from garage.changes import trail
from garage.changes.day import planned_steps, steps
from garage.core.errors import BadInput, Refused
from garage.core.planning.rest import MORE_MIN, longer_min, rest_min
from garage.core.time.day_minutes import DAY_MIN
from garage.models.people import Person
from garage.models.visits import Step


@transaction.atomic
def pause(step: Step, *, by: Person, now: datetime) -> Step:
    """The step ends now, and a step of its kind waits next for what is left of it: begun again like any other.

    The rest is planned before the step ends, because a machine that comes off the rollers has its straps and the gate's
    second part planned with its next session.
    """
    step = steps.running_step(step)
    done = _so_far_min(step, now)
    rest = planned_steps.need_the_rest(step, rest_min(step.minutes, done))
    if step.minutes_before is not None:
        rest.minutes_before = rest_min(step.minutes_before, done)
        rest.save(update_fields=["minutes_before"])
    step.minutes = done
    step.save(update_fields=["minutes"])
    steps.end(step, by=by, now=now)
    trail.about_visit(step.visit, f"{step.what} paused: {rest.minutes} min left", by=by, now=now)
    rest.refresh_from_db()
    return rest


@transaction.atomic
def runs_late(step: Step, *, more_min: int, by: Person, now: datetime) -> Step:
    """The plan goes by it. more_min: one of MORE_MIN, from the planned end, or from now if that is past."""
    if more_min not in MORE_MIN:
        *some, last = MORE_MIN
        raise BadInput("minutes more", more_min, f"{', '.join(map(str, some))} or {last}")
    step = steps.running_step(step)
    minutes = longer_min(step.minutes, _so_far_min(step, now), more_min)
    if minutes > DAY_MIN:
        raise Refused(f"The {step.what} of visit {step.visit.number} would take longer than a day: pause or finish it.")
    if step.minutes_before is not None:
        step.minutes_before += minutes - step.minutes
    step.minutes = minutes
    step.save(update_fields=["minutes", "minutes_before"])
    trail.about_visit(step.visit, f"{step.what} runs late: {more_min} min more", by=by, now=now)
    return step


def _so_far_min(step: Step, now: datetime) -> int:
    return max(0, (now - step.began_at) // timedelta(minutes=1)) if step.began_at else 0
