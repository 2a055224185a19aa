"""What a route does to a visit and its slot. The planning figures and the reasons belong to a higher room."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from django.db import transaction

from garage.changes import trail
from garage.changes.day import freed, planned_steps, selling
from garage.changes.day.locks import visit_for_change
from garage.core import roller_rule, routes, states
from garage.core.errors import Refused
from garage.core.roller_rule import RollerAct
from garage.core.selling import owner_choice
from garage.models.actors import SYSTEM, Actor
from garage.models.shop import BENCH, ROLLER
from garage.models.standby import FreedTime
from garage.models.visits import Visit
from garage.reads.arrival import agreed_at
from garage.reads.roller_facts import facts_without_route
from garage.reads.shop import the_shop

ASKED_FIELDS = ["route_asked", "route_reasons"]
FIELDS = [
    *("route", "route_at", "route_reasons", "route_asked", "to_ask", "ready_chance", "bench_minutes", "state"),
    *("choice", "choose_by"),
]


@transaction.atomic
def roller_ready(visit: Visit, *, reasons: Sequence[str], ready_chance: float, by: Actor, now: datetime) -> Visit:
    """The slot is kept. A visit that has given it back waits for a new time."""
    visit = _asked_no_more(_lock(visit))
    roller_rule.check(RollerAct.HAVE_TIME, facts_without_route(visit))
    visit.to_ask, visit.bench_minutes, visit.ready_chance = [], None, ready_chance
    planned_steps.drop_fix_first(visit)
    return _routed(visit, routes.ROLLER_READY, reasons, by, now=now)


@transaction.atomic
def ring(visit: Visit, *, reasons: Sequence[str], to_ask: Sequence[str], by: Actor, now: datetime) -> Visit:
    """The slot is kept, and the visit goes on the ring list with what to ask."""
    visit = _asked_no_more(_lock(visit))
    roller_rule.check(RollerAct.HAVE_TIME, facts_without_route(visit))
    visit.to_ask, visit.rung_at = list(to_ask), None
    visit.save(update_fields=["rung_at"])
    return _routed(visit, routes.PHONE_FIRST, reasons, by, now=now)


@transaction.atomic
def fix_first(
    visit: Visit, *, reasons: Sequence[str], ready_chance: float, bench_minutes: int, by: Actor, now: datetime
) -> Visit:
    """The roller slot is given back. The visit goes on the fix-first list and needs bench time."""
    visit = _asked_no_more(_to_the_bench(_lock(visit), bench_minutes, now=now))
    visit.ready_chance = ready_chance
    return _routed(visit, routes.FIX_FIRST, reasons, by, now=now)


@transaction.atomic
def ask_the_owner(
    visit: Visit, *, reasons: Sequence[str], ready_chance: float, bench_minutes: int, by: Actor, now: datetime
) -> Visit:
    """Fix first, and its owner says how. Until then it keeps its time, or until the shop's limit; with little time left
    a person rings. Asked already, only what is known of it is brought up to date.
    """
    visit = _lock(visit)
    if not visit.waits_for_its_owner:
        limit = timedelta(hours=the_shop().choose_hours)
        visit.choice, visit.choose_by = owner_choice.ASKED, owner_choice.choose_by(agreed_at(visit), now, limit)
        if visit.choose_by is None:
            visit.to_ask, visit.rung_at = list(owner_choice.TO_ASK), None
            visit.save(update_fields=["rung_at"])
    visit.bench_minutes, visit.ready_chance = bench_minutes, ready_chance
    return _routed(visit, routes.FIX_FIRST, reasons, by, now=now)


@transaction.atomic
def do_not_run(visit: Visit, *, reasons: Sequence[str], bench_minutes: int, by: Actor, now: datetime) -> Visit:
    """As fix first, marked do not run: it must not go on the rollers in this state."""
    visit = _asked_no_more(_to_the_bench(_lock(visit), bench_minutes, now=now))
    if visit.choice == owner_choice.MYSELF:
        visit.choice = ""  # the bench looks first, whoever mends it
    visit.ready_chance = 0.0
    return _routed(visit, routes.DO_NOT_RUN, reasons, by, now=now)


@transaction.atomic
def ask_the_boss(visit: Visit, *, route: str, reasons: Sequence[str], now: datetime) -> Visit:
    """Nothing moves. The route is stored as a question until the boss accepts or rejects it."""
    visit = _lock(visit)
    visit.route_asked, visit.route_reasons = route, list(reasons)
    visit.save(update_fields=ASKED_FIELDS)
    trail.about_visit(visit, f"the boss is asked: {routes.WORDS[route]}?", by=SYSTEM, now=now)
    return visit


@transaction.atomic
def no_longer_asked(visit: Visit) -> Visit:
    visit = _lock(visit)
    visit.route_asked = ""
    visit.save(update_fields=["route_asked"])
    return visit


def _lock(visit: Visit) -> Visit:
    row = visit_for_change(visit)
    if row.state in states.OVER:
        raise Refused(f"Visit {row.number} is {row.state_words}: it can't be sent anywhere any more.")
    return row


def _asked_no_more(visit: Visit) -> Visit:
    if visit.waits_for_its_owner:
        visit.choice, visit.choose_by = "", None
    return visit


def _to_the_bench(visit: Visit, minutes: int, *, now: datetime) -> Visit:
    """Plans bench minutes and no roller time. A visit booked for the bench keeps its time there.

    The roller step stays among its steps as a wish: it is planned again once the rule of the rollers allows it.
    """
    visit.to_ask, visit.bench_minutes = [], minutes
    if visit.kind.at == BENCH and visit.at != ROLLER:
        return visit
    if visit.at == ROLLER:
        shop = the_shop()
        freed.put_down(visit, selling.give_back(visit, shop), why=FreedTime.FIX_FIRST, shop=shop, now=now)
        visit.refresh_from_db(fields=["at", "starts_at", "minutes"])
    if visit.state in {states.BOOKED, states.DEPOSIT_AWAITED}:
        states.check_move(visit.state, states.TO_PUT_RIGHT)
        visit.state = states.TO_PUT_RIGHT
    planned_steps.need_fix_first(visit, minutes)
    return visit


def _routed(visit: Visit, route: str, reasons: Sequence[str], by: Actor, *, now: datetime) -> Visit:
    visit.route, visit.route_at, visit.route_asked = route, now, ""
    visit.route_reasons = list(reasons)
    visit.save(update_fields=FIELDS)
    trail.about_visit(visit, f"routed: {routes.WORDS[route]}", by=by, now=now, reasons=list(reasons))
    return visit
