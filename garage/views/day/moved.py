"""What a tap moves: the proposal for the rest of the day, said on the answer to whatever was tapped."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from django.contrib import messages

from garage.core.planning.standing.plan_change_words import change_words
from garage.core.planning.standing.plan_changes import PlanChange
from garage.reads.day_plan import accepted_on, day_plan
from garage.views.requests import WorkshopRequest, today

MOVED = "moved"  # the tag of a message that leads to the proposal on the day sheet
SAID_MOST = 3  # lines; the day sheet has the others
Result = TypeVar("Result")


def saying_what_moves(request: WorkshopRequest, change: Callable[[], Result]) -> Callable[[], Result]:
    """The change, on any page but the day sheet, which shows the proposal anyhow. Once it is made, what it moves of
    today's plan is said; what had moved before is not said again.
    """

    def made() -> Result:
        if not accepted_on(today(request)):
            return change()
        before = {_sign(one) for one in day_plan(today(request), request.shop, request.now).changes}
        result = change()
        plan = day_plan(today(request), request.shop, request.now)
        _say(request, [change_words(one, plan.whats) for one in plan.changes if _sign(one) not in before])
        return result

    return made


def _sign(change: PlanChange) -> tuple[object, ...]:
    """A change without its minutes, which go on with the clock."""
    moved = tuple((one.after.step, one.after.station, one.after.by) for one in change.moved)
    added = tuple(one.step for one in change.added)
    return change.job, moved, added, len(change.gone), bool(change.left_out), bool(change.broken)


def _say(request: WorkshopRequest, lines: list[str]) -> None:
    if lines:
        more = f" And {len(lines) - SAID_MOST} more." if len(lines) > SAID_MOST else ""
        messages.info(request, f"The day has moved. {' '.join(lines[:SAID_MOST])}{more}", extra_tags=MOVED)
