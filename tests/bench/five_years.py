"""A garage of five years for measuring: the demo's people, prices and kinds, with closed visits from its past.

Deterministic. The visits are drawn as the demo's past year is (jobs/demo/past.py); some thousand check sheets are
judged and each stands for several visits, since only their number matters here.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from typing import Any

import numpy as np
from django.db import transaction

from diagnostics.changes import learning
from diagnostics.core.assess import assess_many
from diagnostics.core.findings import read_case
from diagnostics.core.judging.judgement import Judgement
from diagnostics.core.judging.judgement_json import to_json
from diagnostics.models.causes import Cause
from diagnostics.models.judgements import Acted, KeptJudgement
from diagnostics.models.learning import Closing, ComeBack
from diagnostics.models.sheets import Finding, Sheet
from diagnostics.reads.bank import the_bank
from diagnostics.reads.case import costs_of
from diagnostics.reads.machine_facts import machine_facts
from garage.changes.day.locks import next_visit_number
from garage.core import routes, states
from garage.models.owners import Machine, Owner
from garage.models.people import Person
from garage.models.shop import ROLLER
from garage.models.trail import TrailRow
from garage.models.visits import Step, TakeIn, Visit
from garage.reads.shop import the_shop
from jobs.demo import past
from jobs.demo.booking import Desk
from jobs.demo.garage import Garage
from jobs.demo.past_visits import PastMachine, PastVisit
from jobs.models.cards import Card

SEED = 185
DAYS = 5 * 365
VISITS_EACH = 3  # of one machine, about
SHEETS = 1500  # drawn and judged; each is used about a dozen times at 20,000 visits
AT_ONCE = 1000  # rows written with one statement
JUDGED_AT_ONCE = 64
ANSWERED_BEFORE = timedelta(days=4)
BOOKED_BEFORE = timedelta(days=9)


@transaction.atomic
def fill(garage: Garage, many: int, *, now: datetime) -> None:
    """Writes so many closed visits of the five years before, and what they add up to."""
    chance = np.random.default_rng(SEED)
    told = _drawn(garage, many, chance, now)
    results = _judged([one for one, _ in told[: min(SHEETS, many)]])
    visits = _visits(garage, told, chance)
    rows = list(zip([one for one, _ in told], visits, strict=True))
    _sheets(rows, results)
    _floor_and_cards(rows, garage.mechanic)
    learning.count_all_anew(now=now)


def _drawn(garage: Garage, many: int, chance: np.random.Generator, now: datetime) -> list[tuple[PastVisit, datetime]]:
    """Each with the time it really was: those past the first SHEETS repeat them at other times."""
    desk = Desk(garage, now)
    machines = past._machines(desk, chance)
    truth = past._as_it_is_here(the_bank())
    first = desk.today - timedelta(days=DAYS)
    drawn = [past._visit(desk, truth, first, machines, chance) for _ in range(min(SHEETS, many))]
    return [
        (one, desk.local.at_minute(first + timedelta(days=nth * (DAYS - 30) // many), past.MINUTES[nth % 3]))
        for nth in range(many)
        for one in [drawn[nth % len(drawn)]]
    ]


def _judged(those: Sequence[PastVisit]) -> dict[int, tuple[dict[str, Any], Judgement]]:
    """By the place in the drawn ones: the case and what the bank says of it; those without a sheet are left out."""
    bank, costs = the_bank(), costs_of(the_shop())
    cases = {nth: _case(one, costs) for nth, one in enumerate(those) if one.answers}
    found: list[Judgement] = []
    values = list(cases.values())
    for start in range(0, len(values), JUDGED_AT_ONCE):
        found += assess_many(bank, [read_case(bank, one) for one in values[start : start + JUDGED_AT_ONCE]])
    return {nth: (case, judged) for (nth, case), judged in zip(cases.items(), found, strict=True)}


def _case(one: PastVisit, costs: dict[str, int]) -> dict[str, Any]:
    machine = machine_facts(Machine(kind=one.machine.kind, year=one.machine.year))
    values = {"case": "V-1", "machine": machine, "booked": one.kind.booked_as}
    return values | {"answers": dict(one.answers), "heard": None, "costs": costs}


def _visits(garage: Garage, told: list[tuple[PastVisit, datetime]], chance: np.random.Generator) -> list[Visit]:
    kinds = {one.machine.kind.pk: one.machine for one, _ in told}
    each, since = len(told) // VISITS_EACH // len(kinds) + 1, told[0][1] - BOOKED_BEFORE
    machines = {pk: _machines(known, each, since) for pk, known in kinds.items()}
    first, rows = next_visit_number(), []
    for number, (one, at) in enumerate(told, first):
        own = machines[one.machine.kind.pk]
        rows.append(_visit(number, one, at, own[int(chance.integers(len(own)))]))
    return Visit.objects.bulk_create(rows, batch_size=AT_ONCE)


def _machines(known: PastMachine, many: int, first_seen_at: datetime) -> list[Machine]:
    owners = Owner.objects.bulk_create(
        (
            Owner(
                name=f"{past.FIRST_NAMES[nth % 8]} {past.SURNAMES[nth // 8 % 8]}",
                email=f"owner.{known.kind.pk}.{nth}@example.org",
                telephone=f"07700 {900000 + nth % 1000}",
                first_seen_at=first_seen_at,
            )
            for nth in range(many)
        ),
        batch_size=AT_ONCE,
    )
    return Machine.objects.bulk_create(
        (Machine(owner=owner, kind=known.kind, words=str(known.kind), year=known.year) for owner in owners),
        batch_size=AT_ONCE,
    )


def _visit(number: int, one: PastVisit, at: datetime, machine: Machine) -> Visit:
    ends_at = at + timedelta(minutes=one.kind.minutes)
    return Visit(
        number=number,
        calendar_uid=uuid.UUID(int=number),
        owner_id=machine.owner_id,
        machine=machine,
        kind=one.kind,
        state=states.COLLECTED,
        booked_at=at - BOOKED_BEFORE,
        at=one.kind.at,
        starts_at=at,
        minutes=one.kind.minutes,
        price=one.kind.price,
        deposit=one.kind.deposit,
        deposit_paid=one.kind.deposit,
        arrived_at=at - timedelta(minutes=25),
        gate_passed_at=at if one.kind.at == ROLLER and not one.is_held_at_the_gate else None,
        ready_at=ends_at + timedelta(minutes=20),
        collected_at=ends_at + timedelta(hours=2),
    )


def _sheets(rows: list[tuple[PastVisit, Visit]], results: dict[int, tuple[dict[str, Any], Judgement]]) -> None:
    drawn = min(SHEETS, len(rows))
    answered = [(nth % drawn, one, visit) for nth, (one, visit) in enumerate(rows) if nth % drawn in results]
    at = {visit.pk: visit.starts_at - ANSWERED_BEFORE for _, _, visit in answered}
    _write(Sheet, (Sheet(visit=v, begun_at=at[v.pk], sent_at=at[v.pk]) for _, _, v in answered))
    _write(
        Finding,
        (
            Finding(visit=v, question=q, answer=a, source=Finding.OWNER, at=at[v.pk])
            for _, one, v in answered
            for q, a in one.answers.items()
        ),
    )
    values = {nth: to_json(judged) for nth, (_, judged) in results.items()}
    judged = _write(KeptJudgement, (_kept(v, *results[nth], values[nth], at[v.pk]) for nth, _, v in answered))
    _write(
        Acted, (Acted(judgement=row, at=row.at, route=row.route) for row in judged if row.route != routes.PHONE_FIRST)
    )


def _kept(visit: Visit, case: dict[str, Any], judged: Judgement, result: Any, at: datetime) -> KeptJudgement:
    named = case | {"case": f"V-{visit.number}"}
    return KeptJudgement(visit=visit, at=at, edition=judged.edition, case=named, route=judged.route, result=result)


def _floor_and_cards(rows: list[tuple[PastVisit, Visit]], by: Person) -> None:
    _write(Step, (step for one, visit in rows for step in _steps(one, visit, by)))
    _write(
        TakeIn,
        (TakeIn(visit=v, at=v.arrived_at, by=by, how_it_came="trailer", key_left=True) for _, v in rows),
    )
    _write(
        Cause,
        (
            Cause(visit=v, fault=fault, words=words, at=v.ready_at, by=by)
            for one, v in rows
            for fault, words in (*((fault, "") for fault in one.causes), *((("", one.words),) if one.words else ()))
        ),
    )
    closed = {"closed_by": by, "opened_by": by}
    _write(
        Card,
        (
            Card(
                visit=v, opened_at=v.starts_at, closed_at=v.ready_at, nothing_wrong=not (o.causes or o.words), **closed
            )
            for o, v in rows
        ),
    )
    closings = _write(Closing, (Closing(visit=v, at=v.ready_at, by=by) for _, v in rows))
    _write(
        ComeBack,
        (
            ComeBack(closing=closing, at=closing.at + timedelta(days=9), by=by)
            for (one, _), closing in zip(rows, closings, strict=True)
            if one.came_back_at
        ),
    )
    did = "put down as it was, from before this system"
    _write(TrailRow, (TrailRow(at=v.booked_at, visit=v, about=f"visit {v.number}", did=did, by=by) for _, v in rows))


def _steps(one: PastVisit, visit: Visit, by: Person) -> Iterator[Step]:
    at = one.kind.at if not one.is_held_at_the_gate else "bench"
    yield Step(
        visit=visit,
        index=0,
        at=at,
        minutes=visit.minutes,
        what=one.kind.name.lower(),
        station=1,
        by=by,
        began_at=visit.starts_at,
        ended_at=visit.ready_at,
    )


def _write(model: Any, rows: Iterator[Any]) -> list[Any]:
    return model._default_manager.bulk_create(rows, batch_size=AT_ONCE)
