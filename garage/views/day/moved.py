"""What a tap moves: the proposal for the rest of the day, said on the answer to whatever was tapped."""

from __future__ import annotations

from django.contrib import messages

from garage.reads.day_plan import day_plan
from garage.views.requests import WorkshopRequest, today

MOVED = "moved"  # the tag of a message that leads to the proposal on the day sheet
SAID_MOST = 3  # lines; the day sheet has the others


def say_what_moved(request: WorkshopRequest) -> None:
    """After a change to today's work, on any page but the day sheet, which shows it anyhow. Nothing if people can go on
    working to their plan, or have none.
    """
    plan = day_plan(today(request), request.shop, request.now)
    if plan.accepted is None or not plan.changes:
        return
    lines = plan.change_words
    more = f" And {len(lines) - SAID_MOST} more." if len(lines) > SAID_MOST else ""
    messages.info(request, f"The day has moved. {' '.join(lines[:SAID_MOST])}{more}", extra_tags=MOVED)
