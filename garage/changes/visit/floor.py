"""Where a machine is and what it waits for, as set by hand in the workshop, and ready or collected.

Starting and ending work at a station sets this on its own (changes/day/steps.py).
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Protocol

from django.db import transaction

from garage.changes import trail
from garage.changes.day import locks, selling
from garage.changes.day.whereabouts import is_now
from garage.changes.mail import notices
from garage.core import roller_rule, states
from garage.core.errors import BadInput, Refused
from garage.core.roller_rule import RollerAct
from garage.models.people import Person
from garage.models.visits import Visit
from garage.reads.roller_facts import roller_facts_of
from garage.reads.shop import the_shop


@transaction.atomic
def say_here(visit: Visit, *, by: Person, now: datetime) -> Visit:
    return _said(locks.visit_for_change(visit), states.HERE, by=by, now=now)


@transaction.atomic
def say_on_the_bench(visit: Visit, *, by: Person, now: datetime) -> Visit:
    return _said(locks.visit_for_change(visit), states.ON_THE_BENCH, by=by, now=now)


@transaction.atomic
def say_on_the_rollers(visit: Visit, *, by: Person, now: datetime) -> Visit:
    """Set without a step begun: as steps.begin it asks the rule of the rollers."""
    visit = locks.visit_for_change(visit)
    roller_rule.check(RollerAct.GO_ON, roller_facts_of(visit))
    return _said(visit, states.ON_THE_ROLLERS, by=by, now=now)


@transaction.atomic
def say_waiting_for_parts(visit: Visit, *, by: Person, now: datetime) -> Visit:
    return _said(locks.visit_for_change(visit), states.WAITING_FOR_PARTS, by=by, now=now)


@transaction.atomic
def say_waiting_for_owner(visit: Visit, *, by: Person, now: datetime) -> Visit:
    return _said(locks.visit_for_change(visit), states.WAITING_FOR_OWNER, by=by, now=now)


@transaction.atomic
def say_to_be_put_right(visit: Visit, *, by: Person, now: datetime) -> Visit:
    return _said(locks.visit_for_change(visit), states.TO_PUT_RIGHT, by=by, now=now)


@transaction.atomic
def made_ready(visit: Visit, *, by: Person, now: datetime) -> Visit:
    """The work is done and the owner is notified. The rest of its time can be sold again."""
    visit = locks.visit_for_change(visit)
    visit = _said(visit, states.READY, by=by, now=now)
    visit.ready_at = now
    visit.save(update_fields=["ready_at"])
    shop = the_shop()
    selling.free_what_is_ahead(visit, shop, now=now)
    notices.ready_to_collect(visit, shop, now=now)
    return visit


@transaction.atomic
def collected(visit: Visit, *, by: Person, now: datetime) -> Visit:
    visit = locks.visit_for_change(visit)
    visit = _said(visit, states.COLLECTED, by=by, now=now)
    visit.collected_at = now
    visit.save(update_fields=["collected_at"])
    selling.free_what_is_ahead(visit, the_shop(), now=now)
    return visit


class Change(Protocol):
    def __call__(self, visit: Visit, *, by: Person, now: datetime) -> Visit: ...


SAID: Mapping[str, Change] = {
    states.HERE: say_here,
    states.ON_THE_BENCH: say_on_the_bench,
    states.ON_THE_ROLLERS: say_on_the_rollers,
    states.WAITING_FOR_PARTS: say_waiting_for_parts,
    states.WAITING_FOR_OWNER: say_waiting_for_owner,
    states.TO_PUT_RIGHT: say_to_be_put_right,
    states.READY: made_ready,
}


def say(visit: Visit, state: str, *, by: Person, now: datetime) -> Visit:
    """The change for a state picked on the visit's page. The other states have their own pages and buttons."""
    if state == states.CALLED_OFF:
        raise Refused("Calling a visit off needs a reason: use its own page for that.")
    if state not in SAID:
        raise BadInput("state", state, "one of the states on the page")
    return SAID[state](visit, by=by, now=now)


def _said(visit: Visit, state: str, *, by: Person, now: datetime) -> Visit:
    """Only of a machine in the building: nothing but take-in brings one in."""
    states.check_move(visit.state, state)
    if why := states.why_not_here(visit.number, visit.state):
        raise Refused(why)
    is_now(visit, state)
    trail.about_visit(visit, f"now {visit.state_words}", by=by, now=now)
    return visit
