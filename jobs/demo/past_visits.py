"""Closed visits from before this system, recorded in bulk: machine, owner, check sheet, judgement and cause.

They are judged by the bank alone, without counts, as they would have been before anything was learned. Nothing is
sent to anybody, and no invoice is issued.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction

from diagnostics.changes import judgements, learning
from diagnostics.models.causes import Cause
from diagnostics.models.judgements import Acted, KeptJudgement
from diagnostics.models.learning import Closing, ComeBack
from diagnostics.models.sheets import Finding, Sheet
from diagnostics.reads.case import costs_of
from diagnostics.reads.machine_facts import machine_facts
from garage.changes import trail
from garage.changes.day.locks import next_visit_number
from garage.core import routes, states
from garage.models.owners import Machine, MachineKind, Owner
from garage.models.people import Person
from garage.models.shop import BENCH, ROLLER, VisitKind
from garage.models.visits import Step, TakeIn, Visit
from garage.reads.shop import the_shop
from jobs.models.cards import Card

BOOKED_BEFORE, ANSWERED_BEFORE = timedelta(days=9), timedelta(days=4)
BENCH_MINUTES = 40  # of the bench step recorded before the rollers
BENCH_FIRST = {routes.FIX_FIRST, routes.DO_NOT_RUN}


@dataclass(frozen=True)
class PastMachine:
    owner: str
    email: str
    telephone: str
    kind: MachineKind
    year: int


@dataclass(frozen=True)
class PastVisit:
    """answers: from the check sheet; none means not judged. kept_its_time: it kept the rollers despite the judgement.

    is_held_at_the_gate: it never went on the rollers. causes: faults from the bank; none means nothing wrong. words: a
    cause as free text. came_back_at: when it came back with the same trouble.
    """

    machine: PastMachine
    kind: VisitKind
    starts_at: datetime
    answers: Mapping[str, Any]
    causes: tuple[str, ...]
    words: str = ""
    kept_its_time: bool = False
    is_held_at_the_gate: bool = False
    came_back_at: datetime | None = None

    @property
    def arrived_at(self) -> datetime:
        return self.starts_at - timedelta(minutes=25)

    @property
    def ends_at(self) -> datetime:
        return self.starts_at + timedelta(minutes=self.kind.minutes)


@transaction.atomic
def put_down(past: Sequence[PastVisit], *, by: Person, now: datetime) -> None:
    """Records the visits in time order. Their numbers continue from the highest existing one."""
    ordered = sorted(past, key=lambda one: one.starts_at)
    machines = _machines(ordered)
    first = next_visit_number()
    rows = [_visit(number, one, machines[one.machine]) for number, one in enumerate(ordered, first)]
    told = list(zip(ordered, Visit.objects.bulk_create(rows), strict=True))
    for _, visit in told:
        trail.about_visit(visit, "put down as it was, from before this system", by=by, now=now)
    _sheets_and_judgements(told, by)
    _on_the_floor(told, by)
    _closed(told, by)
    learning.count_all_anew(now=now)


def _machines(past: Sequence[PastVisit]) -> dict[PastMachine, Machine]:
    first_seen = {one.machine: one.starts_at - BOOKED_BEFORE for one in reversed(past)}
    owners = [
        Owner(name=known.owner, email=known.email, telephone=known.telephone, first_seen_at=at)
        for known, at in first_seen.items()
    ]
    rows = [
        Machine(owner=owner, kind=known.kind, words=str(known.kind), year=known.year)
        for known, owner in zip(first_seen, Owner.objects.bulk_create(owners), strict=True)
    ]
    return dict(zip(first_seen, Machine.objects.bulk_create(rows), strict=True))


def _visit(number: int, one: PastVisit, machine: Machine) -> Visit:
    return Visit(
        number=number,
        owner=machine.owner,
        machine=machine,
        kind=one.kind,
        state=states.COLLECTED,
        booked_at=one.starts_at - BOOKED_BEFORE,
        at=one.kind.at,
        starts_at=one.starts_at,
        minutes=one.kind.minutes,
        price=one.kind.price,
        deposit=one.kind.deposit,
        deposit_paid=one.kind.deposit,
        arrived_at=one.arrived_at,
        gate_passed_at=_gate_passed_at(one),
        ready_at=one.ends_at + timedelta(minutes=20),
        collected_at=one.ends_at + timedelta(hours=2),
    )


def _gate_passed_at(one: PastVisit) -> datetime | None:
    return one.starts_at if one.kind.at == ROLLER and not one.is_held_at_the_gate else None


def _sheets_and_judgements(told: Sequence[tuple[PastVisit, Visit]], by: Person) -> None:
    costs, answered = costs_of(the_shop()), [(one, visit) for one, visit in told if one.answers]
    Sheet.objects.bulk_create(
        Sheet(visit=visit, begun_at=one.starts_at - ANSWERED_BEFORE, sent_at=one.starts_at - ANSWERED_BEFORE)
        for one, visit in answered
    )
    Finding.objects.bulk_create(
        Finding(visit=v, question=q, answer=a, source=Finding.OWNER, at=one.starts_at - ANSWERED_BEFORE)
        for one, v in answered
        for q, a in one.answers.items()
    )
    judged = KeptJudgement.objects.bulk_create(
        judgements.row(visit, _case(one, visit, costs), at=one.starts_at - ANSWERED_BEFORE, learned=None)
        for one, visit in answered
    )
    kept = {visit.pk for one, visit in answered if one.kept_its_time}
    acted = [Acted(judgement=row, at=row.at, by=by, route=_taken(row, kept), why=_why(row, kept)) for row in judged]
    Acted.objects.bulk_create(acted)
    for row in acted:
        row.judgement.visit.route, row.judgement.visit.route_at = row.route, row.at
    Visit.objects.bulk_update([visit for _, visit in answered], ["route", "route_at"])


def _case(one: PastVisit, visit: Visit, costs: dict[str, int]) -> dict[str, Any]:
    machine = machine_facts(visit.machine)
    values = {"case": f"V-{visit.number}", "machine": machine, "booked": one.kind.booked_as}
    return values | {"answers": dict(one.answers), "heard": None, "costs": costs}


def _is_kept(row: KeptJudgement, kept: set[int]) -> bool:
    return row.visit_id in kept and row.route == routes.FIX_FIRST


def _taken(row: KeptJudgement, kept: set[int]) -> str:
    return routes.ROLLER_READY if _is_kept(row, kept) else row.route


def _why(row: KeptJudgement, kept: set[int]) -> str:
    return "The owner would not wait." if _is_kept(row, kept) else ""


def _on_the_floor(told: Sequence[tuple[PastVisit, Visit]], by: Person) -> None:
    steps = []
    for one, visit in told:
        places = [one.kind.at]
        if one.kind.at == ROLLER and visit.route in BENCH_FIRST:
            places = [BENCH, ROLLER]
        elif one.is_held_at_the_gate:
            places = [BENCH]
        begins_at = one.starts_at
        for index, at in enumerate(places):
            minutes = one.kind.minutes if at == one.kind.at else BENCH_MINUTES
            ends_at = begins_at + timedelta(minutes=minutes)
            what = one.kind.name.lower() if at == one.kind.at else "fix first"
            values = {"minutes": minutes, "what": what, "station": 1, "by": by}
            steps.append(Step(visit=visit, index=index, at=at, began_at=begins_at, ended_at=ends_at, **values))
            begins_at = ends_at
    Step.objects.bulk_create(steps)
    TakeIn.objects.bulk_create(
        TakeIn(visit=visit, at=one.arrived_at, by=by, how_it_came="trailer", key_left=True) for one, visit in told
    )


def _closed(told: Sequence[tuple[PastVisit, Visit]], by: Person) -> None:
    Cause.objects.bulk_create(
        Cause(visit=visit, fault=fault, words=words, at=one.ends_at, by=by)
        for one, visit in told
        for fault, words in (*((fault, "") for fault in one.causes), *((("", one.words),) if one.words else ()))
    )
    Card.objects.bulk_create(
        Card(
            visit=visit,
            opened_at=one.starts_at,
            opened_by=by,
            closed_at=one.ends_at,
            closed_by=by,
            nothing_wrong=not one.causes and not one.words,
        )
        for one, visit in told
    )
    closings = Closing.objects.bulk_create(Closing(visit=visit, at=one.ends_at, by=by) for one, visit in told)
    ComeBack.objects.bulk_create(
        ComeBack(closing=closing, at=one.came_back_at, by=by)
        for (one, _), closing in zip(told, closings, strict=True)
        if one.came_back_at
    )
