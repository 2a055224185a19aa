"""One judgement of one case: the only entry, for the command and for the pages alike."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from diagnostics.core.asking.worth import AskNext, ask_next
from diagnostics.core.bank.bank import Bank
from diagnostics.core.bench.order import BenchStep, Told, bench_orders
from diagnostics.core.findings import Case
from diagnostics.core.judging.cautions import cautions_of
from diagnostics.core.judging.cells import Sums, sums_of
from diagnostics.core.judging.evidence import gather
from diagnostics.core.judging.inference import model_of
from diagnostics.core.judging.reasons import Reason, reasons
from diagnostics.core.judging.routing import Route, route_by

CHANCE_DECIMALS = 12
FIGURE_DECIMALS = 6
PENCE_DECIMALS = 2


@dataclass(frozen=True)
class Judgement:
    """What is concluded from a case; the contract's keys, and what pages show besides.

    edition: of the bank. spoilt_chance: that a fault is present which spoils the booked visit kind; ready_chance: that
    none is. settled_share: of calls that would settle it. route_costs_pence: of each cost route. cheaper_by_pence: the
    chosen one against the next, None where a rule or a plain case decided. fired: findings ("id=value") of the
    do-not-run rules.
    """

    case: str
    edition: str
    route: str
    why: str
    chances: Mapping[str, float]
    groups: Mapping[str, float]
    because: tuple[Reason, ...]
    ask_next: AskNext | None
    bench_order: tuple[BenchStep, ...]
    expected_bench_minutes: float
    cautions: tuple[str, ...]
    spoilt_chance: float
    settled_share: float
    route_costs_pence: Mapping[str, float]
    cheaper_by_pence: float | None
    fired: tuple[str, ...]

    @property
    def ready_chance(self) -> float:
        return 1.0 - self.spoilt_chance

    def to_json(self) -> dict[str, Any]:
        """The contract's keys as plain values."""
        asked = self.ask_next
        return {
            "case": self.case,
            "route": self.route,
            "why": self.why,
            "chances": {fault: round(chance, CHANCE_DECIMALS) for fault, chance in self.chances.items()},
            "groups": {group: round(chance, CHANCE_DECIMALS) for group, chance in self.groups.items()},
            "because": [
                {"answer": r.answer, "towards": r.towards, "weight": round(r.weight, FIGURE_DECIMALS)}
                for r in self.because
            ],
            "ask_next": asked and {"question": asked.question, "pence": round(asked.pence, PENCE_DECIMALS)},
            "bench_order": [
                {"do": s.do, "minutes": round(s.minutes, FIGURE_DECIMALS), "finds": round(s.finds, FIGURE_DECIMALS)}
                for s in self.bench_order
            ],
            "expected_bench_minutes": round(self.expected_bench_minutes, FIGURE_DECIMALS),
            "cautions": list(self.cautions),
        }


def assess(bank: Bank, case: Case) -> Judgement:
    """Judge a case by a bank; the same input gives the same judgement.

    Source: the contract of assess.
    """
    return assess_many(bank, [case])[0]


def assess_many(bank: Bank, cases: Sequence[Case]) -> list[Judgement]:
    """Judge some cases by a bank, each to the last digit as if it were alone, only quicker: products are shared, and
    each stage is done for all of them while its tables are at hand."""
    model = model_of(bank)
    gathered = [gather(model, case) for case in cases]
    weights = np.array([evidence.weight() for evidence in gathered]).reshape(len(cases), len(model.has))
    sums = sums_of(model, weights)
    chances = np.array([found.fault_chances() for found in sums]).reshape(len(cases), len(bank.faults))
    because = [reasons(*both) for both in zip(gathered, sums, strict=True)]
    routes = [route_by(model, case, found.odds(case.booked)) for case, found in zip(cases, sums, strict=True)]
    asked = [ask_next(*three) for three in zip(gathered, sums, routes, strict=True)]
    bench = bench_orders(model, weights, chances)
    known = zip(cases, sums, because, routes, asked, bench, strict=True)
    return [_judged(bank, *one) for one in known]


def _judged(
    bank: Bank,
    case: Case,
    sums: Sums,
    because: tuple[Reason, ...],
    route: Route,
    asked: AskNext | None,
    bench: Told,
) -> Judgement:
    chances = dict(zip(bank.fault_ids, sums.fault_chances().tolist(), strict=True))
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
        bench_order=bench[0],
        expected_bench_minutes=bench[1],
        cautions=cautions_of(bank, case, route, chances, groups),
        spoilt_chance=route.spoilt_chance,
        settled_share=route.settled_share,
        route_costs_pence=route.costs_pence,
        cheaper_by_pence=route.cheaper_by_pence,
        fired=tuple(dict.fromkeys(finding for rule in route.fired for finding in rule.findings)),
    )
