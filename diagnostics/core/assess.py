"""One judgement of one case: the single entry point, for the command and for the pages."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from diagnostics.core.asking.worth import ask_next
from diagnostics.core.bank.bank import Bank
from diagnostics.core.bench.footing import OnTheBench, alike
from diagnostics.core.bench.order import BestOrder, best_orders_of
from diagnostics.core.bench.steps_told import steps_told
from diagnostics.core.findings import Case
from diagnostics.core.judging.cautions import cautions_of
from diagnostics.core.judging.cells import Sums, sums_of
from diagnostics.core.judging.evidence import gather
from diagnostics.core.judging.inference import model_of
from diagnostics.core.judging.judgement import AskNext, Judgement, Reason, Stopped
from diagnostics.core.judging.reasons import reasons
from diagnostics.core.judging.routing import Route, route_by


def assess(bank: Bank, case: Case) -> Judgement:
    """Judge a case by a bank; the same input gives the same judgement.

    Source: the manual of `assess`.
    """
    return assess_many(bank, [case])[0]


def assess_many(bank: Bank, cases: Sequence[Case]) -> list[Judgement]:
    """Judge several cases by a bank, each with the same result to the last digit as on its own, only quicker: matrix
    products are shared, and each stage runs for all cases while its tables are in the cache.
    """
    model = model_of(bank)
    gathered = [gather(model, case) for case in cases]
    weights = np.array([evidence.weight() for evidence in gathered]).reshape(len(cases), len(model.has))
    sums = sums_of(model, weights)
    chances = np.array([found.fault_chances() for found in sums]).reshape(len(cases), len(bank.faults))
    because = [reasons(*both) for both in zip(gathered, sums, strict=True)]
    routes = [route_by(model, case, found.odds(case.booked)) for case, found in zip(cases, sums, strict=True)]
    asked = [ask_next(*three) for three in zip(gathered, sums, routes, strict=True)]
    standings = [_standing(bank, *both) for both in zip(cases, routes, strict=True)]
    bench = best_orders_of(model, weights, chances, standings)
    known = zip(cases, sums, chances.tolist(), because, routes, asked, standings, bench, strict=True)
    return [_judged(bank, *one) for one in known]


def _judged(
    bank: Bank,
    case: Case,
    sums: Sums,
    by_fault: list[float],
    because: tuple[Reason, ...],
    route: Route,
    asked: AskNext | None,
    standing: OnTheBench,
    bench: BestOrder,
) -> Judgement:
    chances = dict(zip(bank.fault_ids, by_fault, strict=True))
    groups = sums.group_chances()
    return Judgement(
        case=case.case,
        edition=bank.edition,
        route=route.route,
        why=route.why,
        chances=chances,
        groups=groups,
        because=because,
        ask_next=asked,
        bench_order=steps_told(bank, bench, by_fault, standing),
        expected_bench_minutes=bench.minutes,
        cautions=cautions_of(bank, case, route, chances, groups),
        spoilt_chance=route.spoilt_chance,
        route_costs_pence=route.costs_pence,
    )


def _standing(bank: Bank, case: Case, route: Route) -> OnTheBench:
    stops = route.why.findings if isinstance(route.why, Stopped) else ()
    return alike(bank, OnTheBench(case.machine.traits, stops))
