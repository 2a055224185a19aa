"""A person accepts the day's plan: from then on people work to it. Nothing accepts by itself."""

from __future__ import annotations

from datetime import date, datetime

from django.db import transaction

from garage.changes import trail
from garage.changes.day.locks import days_for_change
from garage.core.errors import Refused
from garage.core.planning.standing.standing_plan import SeenPlan, to_json
from garage.core.time.local_time import LocalTime
from garage.models.people import Person
from garage.models.plans import AcceptedPlan
from garage.reads.day_plan import DayPlan, day_plan
from garage.reads.shop import the_shop

LOOK_AGAIN = "Look at the day again, then decide."


@transaction.atomic
def accept(day: date, *, seen: SeenPlan, by: Person, now: datetime) -> AcceptedPlan:
    """The proposal as it is now, if it is what the person saw. What is put into it, and what may go on the rollers, the
    planner's own rules say: nothing is kept that is not proposed at this moment.
    """
    shop = the_shop()
    if day < shop.local_time.day(now):
        raise Refused(f"{day:%A} {day.day} {day:%B} is over: a plan can be accepted for today and days to come.")
    days_for_change(day)
    plan = day_plan(day, shop, now)
    if why := _why_not(plan, seen, shop.local_time):
        raise Refused(why)
    row = AcceptedPlan.objects.create(
        day=day, number=plan.number + 1, accepted_at=now, by=by, steps=to_json(plan.proposed_to_keep)
    )
    did = "plan accepted" if row.number == 1 else "changes to the plan accepted"
    trail.wrote(did=did, about=f"the day {day:%Y-%m-%d}", by=by, now=now, number=row.number, steps=row.steps["steps"])
    return row


def _why_not(plan: DayPlan, seen: SeenPlan, local: LocalTime) -> str:
    """Empty if it may be accepted."""
    if plan.accepted and plan.number != seen.after:
        at = f"{local.shown(plan.accepted.accepted_at):%H:%M}"
        return f"{plan.accepted.by.name} accepted a plan for this day at {at}, after you looked. {LOOK_AGAIN}"
    if not plan.is_still(seen):
        return f"The day has moved on since you looked. {LOOK_AGAIN}"
    if not plan.accepted and not plan.proposed.placed:
        return "There is nothing to be done on this day, so there is no plan to work to."
    return ""
