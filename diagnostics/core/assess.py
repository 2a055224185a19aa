"""One judgement of one case: the only entry, for the command and for the pages alike."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from diagnostics.core.bank import Bank
from diagnostics.core.bench_order import BenchStep, bench_order
from diagnostics.core.cautions import cautions_of
from diagnostics.core.evidence import gather
from diagnostics.core.findings import Case
from diagnostics.core.inference import fault_chances, model_of
from diagnostics.core.reasons import Reason, group_chances, reasons
from diagnostics.core.routing import choose_route
from diagnostics.core.worth import AskNext, ask_next

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
    model = model_of(bank)
    evidence = gather(model, case)
    because = reasons(model, evidence)
    weight = evidence.weight()
    of_faults = fault_chances(model, weight)
    chances = dict(zip(bank.fault_ids, of_faults.tolist(), strict=True))
    groups = {group: min(max(chance, 0.0), 1.0) for group, chance in group_chances(model, weight).items()}
    route = choose_route(model, case, weight)
    steps, minutes = bench_order(model, weight, of_faults)
    return Judgement(
        case=case.case,
        edition=bank.edition,
        route=route.route,
        why=route.why,
        chances=chances,
        groups=groups,
        because=because,
        ask_next=ask_next(model, case, evidence),
        bench_order=steps,
        expected_bench_minutes=minutes,
        cautions=cautions_of(bank, case, route, chances, groups),
        spoilt_chance=route.spoilt_chance,
        settled_share=route.settled_share,
        route_costs_pence=route.costs_pence,
        cheaper_by_pence=route.cheaper_by_pence,
        fired=tuple(dict.fromkeys(finding for rule in route.fired for finding in rule.findings)),
    )
