"""Judgements: made again after each finding, but acted on only when the sheet is sent or a person says so."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import QuerySet

from diagnostics.changes import routing
from diagnostics.core.assess import assess
from diagnostics.core.findings import read_case
from diagnostics.core.judging.judgement_json import to_json
from diagnostics.core.telling.judgement_words import stop_words
from diagnostics.models.judgements import Acted, KeptJudgement
from diagnostics.models.learning import Learned
from diagnostics.reads.bank import the_bank
from diagnostics.reads.case import VisitCase, sheet_of, visit_case
from diagnostics.reads.judgement import acted_on, judged_visits, latest
from diagnostics.reads.learning import bank_with
from garage.changes import trail
from garage.changes.day import routes
from garage.changes.day.locks import visit_for_change
from garage.changes.visit import hard_stops
from garage.core import roller_rule, states
from garage.core.errors import BadInput, Refused
from garage.core.roller_rule import RollerAct
from garage.core.routes import PHONE_FIRST, ROLLER_READY, WORDS
from garage.core.text.languages import ENGLISH, in_language
from garage.models.actors import SYSTEM, Actor, person_of
from garage.models.owners import Machine, MachineKind
from garage.models.people import Person
from garage.models.visits import Visit
from garage.reads.roller_facts import facts_without_route

LEFT = ""  # the route of a judgement that a person set aside


@transaction.atomic
def judge_again(visit: Visit, *, now: datetime) -> KeptJudgement:
    """Judges the visit from its current findings: see judge."""
    return judge(visit_case(visit_for_change(visit)), now=now)


def judge(known: VisitCase, *, now: datetime) -> KeptJudgement:
    """A new row if the case, the bank or the shop's counts changed, otherwise the latest one. The visit is not moved,
    but what stops it holds at once, whatever is decided about its route. Call it inside a change only.
    """
    kept = _judged(known, now=now)
    with in_language(ENGLISH, str):  # the workshop reads it, whoever's page has caused it
        visit, sentences = known.visit, list(stop_words(the_bank(), kept.judgement))
        if visit.must_not_run != sentences:
            hard_stops.must_not_run(visit, sentences=sentences, by=SYSTEM, now=now)
            visit.refresh_from_db(fields=["must_not_run", "gate_passed_at"])
    return kept


def _judged(known: VisitCase, *, now: datetime) -> KeptJudgement:
    before = latest(known.visit)
    if before and (before.case, before.edition, before.learned) == (known.values, known.bank.edition, known.learned):
        return before
    made = row(known.visit, known.values, at=now, learned=known.learned)
    made.save(force_insert=True)
    return made


@transaction.atomic
def judge_what_was_heard(visit: Visit, *, now: datetime) -> KeptJudgement:
    """A clip is processed with nobody watching. If the sheet was sent, a changed route waits for the boss."""
    judgement, sheet = judge_again(visit, now=now), sheet_of(visit)
    if visit.state in states.COMING and sheet is not None and sheet.sent_at:
        act_on_the_sheet(judgement, now=now)
    return judgement


def row(visit: Visit, case: dict[str, Any], *, at: datetime, learned: Learned | None) -> KeptJudgement:
    """An unsaved judgement of this case, by the bank with these counts."""
    bank = bank_with(learned)
    judged = assess(bank, read_case(bank, case))
    return KeptJudgement(
        visit=visit,
        at=at,
        edition=judged.edition,
        learned=learned,
        case=case,
        route=judged.route,
        result=to_json(judged),
    )


@transaction.atomic
def judge_visits_of_machine(machine: Machine, *, now: datetime) -> None:
    """Something about the machine has changed: every open visit that had a judgement is judged again."""
    _judge_all(judged_visits().filter(machine=machine), now=now)


@transaction.atomic
def judge_visits_of_kind(kind: MachineKind, *, now: datetime) -> None:
    """The same for every machine of a kind."""
    _judge_all(judged_visits().filter(machine__kind=kind), now=now)


def _judge_all(visits: QuerySet[Visit], *, now: datetime) -> None:
    for visit in visits:
        judge_again(visit, now=now)


@transaction.atomic
def act(kept: KeptJudgement, *, by: Person, now: datetime) -> KeptJudgement:
    """A person agrees: the visit takes the judged route."""
    visit = visit_for_change(kept.visit)
    _check_it_is_current(kept, visit)
    return _acted(visit, kept, route=kept.route, why="", by=by, now=now)


@transaction.atomic
def act_otherwise(kept: KeptJudgement, *, route: str, why: str, by: Person, now: datetime) -> KeptJudgement:
    """A person sends the visit along a route of their own choice, and says why."""
    visit, why = visit_for_change(kept.visit), why.strip()
    _check_it_is_current(kept, visit)
    if route not in WORDS:
        raise BadInput("The route", route, ", ".join(WORDS.values()))
    if route != kept.route and not why:
        raise BadInput("The reason", None, "why it takes a different route")
    if route in {ROLLER_READY, PHONE_FIRST}:
        stops = stop_words(the_bank(), kept.judgement)
        roller_rule.check(RollerAct.HAVE_TIME, replace(facts_without_route(visit), must_not_run=stops))
    return _acted(visit, kept, route=route, why=why, by=by, now=now)


@transaction.atomic
def act_on_the_sheet(kept: KeptJudgement, *, now: datetime) -> KeptJudgement:
    """The owner sent the sheet, or a clip was processed afterwards.

    Routes on which the shop wants to be asked wait for the boss, and so does any change of route. A do-not-run warning
    goes out all the same. A judgement already settled has no effect.
    """
    visit = visit_for_change(kept.visit)
    if acted_on(kept) is not None:
        return kept
    with in_language(ENGLISH, str):  # reasons and trail are the workshop's, whoever's page has caused them
        if not routing.asks_first(visit, kept.route):
            _check_it_is_current(kept, visit)
            return _acted(visit, kept, route=kept.route, why="", by=SYSTEM, now=now)
        is_news = visit.route_asked != kept.route
        routes.ask_the_boss(visit, route=kept.route, reasons=routing.reasons(kept.judgement), now=now)
        if is_news:
            routing.warn_if_it_must_not_run(visit, kept.judgement, now=now)
    return kept


@transaction.atomic
def leave(kept: KeptJudgement, *, by: Person, now: datetime, why: str) -> KeptJudgement:
    """A named person sets the judgement aside: nothing is moved, and the boss is no longer asked."""
    visit = visit_for_change(kept.visit)
    _check_it_is_current(kept, visit)
    if not why.strip():
        raise BadInput("The reason", None, "why it is left as it is")
    Acted.objects.create(judgement=kept, at=now, by=by, route=LEFT, why=why.strip()[:200])
    routes.no_longer_asked(visit)
    trail.about_visit(visit, f"set aside the judgement {WORDS[kept.route]}: {why.strip()}", by=by, now=now)
    return kept


def _acted(visit: Visit, kept: KeptJudgement, *, route: str, why: str, by: Actor, now: datetime) -> KeptJudgement:
    Acted.objects.create(judgement=kept, at=now, by=person_of(by), route=route, why=why[:200])
    routing.go(visit, kept.judgement, route=route, by=by, now=now)
    return kept


def _check_it_is_current(kept: KeptJudgement, visit: Visit) -> None:
    if visit.state in states.OVER:
        raise Refused(f"Visit {visit.number} is {visit.state_words}: it can no longer be routed.")
    newest = latest(visit)
    if newest and newest.pk != kept.pk:
        raise Refused("The findings have changed since: look at the new judgement.")
    acted = acted_on(kept)
    if acted:
        who = acted.by.name if acted.by else "the sheet itself"
        raise Refused(f"This judgement was already settled, by {who}. Change a finding to get a new one.")
