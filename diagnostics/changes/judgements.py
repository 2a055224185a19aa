"""Judgements: made again at each finding, acted upon only when the sheet is sent or a person says so."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from diagnostics.changes import routing
from diagnostics.core.assess import assess
from diagnostics.core.findings import read_case
from diagnostics.models.judgements import Acted, Judgement
from diagnostics.models.learning import Learned
from diagnostics.reads.case import case_values
from diagnostics.reads.judgement import acted_on, judged_visits, latest
from diagnostics.reads.learning import bank_with, counts_now
from garage.changes import routes as slot
from garage.changes import trail
from garage.changes.locks import visit_for_change
from garage.core import routes, states
from garage.core.errors import BadInput, Refused
from garage.models.actors import SYSTEM
from garage.models.owners import Machine, MachineKind
from garage.models.people import Person
from garage.models.visits import Visit

LEFT = ""  # the route of a judgement that a named person set aside


@transaction.atomic
def judge_again(visit: Visit) -> Judgement:
    """A new row where the case, the bank or the shop's counts changed, else the one that stands. Moves nothing."""
    learned, case = counts_now(), case_values(visit)
    bank = bank_with(learned)
    before = latest(visit)
    if before and (before.case, before.edition, before.learned) == (case, bank.edition, learned):
        return before
    made = row(visit, case, at=timezone.now(), learned=learned)
    made.save(force_insert=True)
    return made


def row(visit: Visit, case: dict[str, Any], *, at: datetime, learned: Learned | None) -> Judgement:
    """A judgement of this case by the bank with these counts, not written yet."""
    bank = bank_with(learned)
    judged = assess(bank, read_case(bank, case))
    also = {
        "ready_chance": judged.ready_chance,
        "route_costs_pence": dict(judged.route_costs_pence),
        "cheaper_by_pence": judged.cheaper_by_pence,
        "fired": list(judged.fired),
    }
    return Judgement(
        visit=visit,
        at=at,
        edition=judged.edition,
        learned=learned,
        case=case,
        route=judged.route,
        result=judged.to_json() | {"also": also},
    )


@transaction.atomic
def judge_visits_of_machine(machine: Machine) -> None:
    """What is known of it has changed: every open visit that was judged is judged anew."""
    _judge_all(judged_visits().filter(machine=machine))


@transaction.atomic
def judge_visits_of_kind(kind: MachineKind) -> None:
    """As for one machine, for all of the kind."""
    _judge_all(judged_visits().filter(machine__kind=kind))


def _judge_all(visits: QuerySet[Visit]) -> None:
    for visit in visits:
        judge_again(visit)


@transaction.atomic
def act(judgement: Judgement, *, by: Person | None = None, route: str | None = None, why: str = "") -> Judgement:
    """The visit goes where the judgement sends it; a person may say another route, and why."""
    visit = visit_for_change(judgement.visit)
    _check_it_stands(judgement, visit)
    taken = _route_taken(judgement, route, why.strip())
    Acted.objects.create(judgement=judgement, at=timezone.now(), by=by, route=taken, why=why.strip()[:200])
    routing.go(visit, judgement, route=taken, by=by or SYSTEM)
    return judgement


@transaction.atomic
def act_on_the_sheet(judgement: Judgement) -> Judgement:
    """The owner sent the sheet. A route that the shop wants asked about waits for the boss, and so does every change
    of a route that stands; the warning of do-not-run goes out all the same. A judgement settled already moves nothing.
    """
    visit = visit_for_change(judgement.visit)
    if acted_on(judgement) is not None:
        return judgement
    if not routing.asks_first(visit, judgement.route):
        return act(judgement)
    is_news = visit.route_asked != judgement.route
    slot.ask_the_boss(visit, route=judgement.route, reasons=routing.reasons(judgement))
    if is_news:
        routing.warn_if_it_must_not_run(visit, judgement)
    return judgement


@transaction.atomic
def leave(judgement: Judgement, *, by: Person, why: str) -> Judgement:
    """A named person sets the judgement aside: nothing is moved, and the boss is no longer asked."""
    visit = visit_for_change(judgement.visit)
    _check_it_stands(judgement, visit)
    if not why.strip():
        raise BadInput("The reason", None, "why it is left as it is")
    Acted.objects.create(judgement=judgement, at=timezone.now(), by=by, route=LEFT, why=why.strip()[:200])
    slot.no_longer_asked(visit)
    trail.about_visit(visit, f"left the judgement {routes.WORDS[judgement.route]}: {why.strip()}", by=by)
    return judgement


def _check_it_stands(judgement: Judgement, visit: Visit) -> None:
    if visit.state in states.OVER:
        raise Refused(f"Visit {visit.number} is {visit.state_words}: there is nothing to send anywhere.")
    newest = latest(visit)
    if newest and newest.pk != judgement.pk:
        raise Refused("The findings have changed since: look at the judgement made from them.")
    acted = acted_on(judgement)
    if acted:
        who = acted.by.name if acted.by else "the sheet itself"
        raise Refused(f"This judgement was settled already, by {who}; alter a finding to have a new one.")


def _route_taken(judgement: Judgement, route: str | None, why: str) -> str:
    taken = route or judgement.route
    if taken not in routes.WORDS:
        raise BadInput("The route", route, ", ".join(routes.WORDS.values()))
    if taken != judgement.route and not why:
        raise BadInput("The reason", None, "why it goes another way than judged")
    if judgement.route == routes.DO_NOT_RUN and taken in {routes.ROLLER_READY, routes.PHONE_FIRST}:
        raise Refused(
            "A machine judged do not run keeps no roller time: put down what the bench found, and it is judged again."
        )
    return taken
