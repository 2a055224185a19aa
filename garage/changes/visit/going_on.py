"""A machine that was left with us goes on the rollers when they come free: its owner agrees, or takes that back."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from garage.changes import trail
from garage.changes.day import locks
from garage.changes.day.freed import OFFER_FREED_TIMES
from garage.core.errors import Refused
from garage.core.text.languages import told
from garage.models.actors import Actor
from garage.models.visits import Visit
from garage.reads.standby import may_agree_to_go_on
from garage.wake import wake


@transaction.atomic
def agree(visit: Visit, *, by: Actor, now: datetime) -> Visit:
    """Nobody asks again before it goes on. The price stays as booked; what is free now is not missed."""
    visit = locks.visit_for_change(visit)
    if not may_agree_to_go_on(visit):
        raise Refused(
            told("Visit {number} does not wait here for the rollers: there is nothing to agree.", number=visit.number)
        )
    if visit.may_go_on_from is None:
        _say(visit, now, "may go on with the rollers when they come free", by=by, now=now)
        wake(OFFER_FREED_TIMES)
    return visit


@transaction.atomic
def take_back(visit: Visit, *, by: Actor, now: datetime) -> Visit:
    """Its owner is asked again each time. A time that it has been given meanwhile stays."""
    visit = locks.visit_for_change(visit)
    if visit.may_go_on_from is None:
        raise Refused(told("That was not agreed, or is taken back already: we ask before it goes on the rollers."))
    _say(visit, None, "is asked again before it goes on the rollers", by=by, now=now)
    return visit


def _say(visit: Visit, since: datetime | None, words: str, *, by: Actor, now: datetime) -> None:
    visit.may_go_on_from = since
    visit.save(update_fields=["may_go_on_from"])
    trail.about_visit(visit, words, by=by, now=now)
