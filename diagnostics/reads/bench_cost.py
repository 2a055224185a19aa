"""What the bench work of a visit may cost its owner, and how long it takes."""

from __future__ import annotations

from diagnostics.core.bank.bank import NOTHING_WRONG
from diagnostics.core.bench.bench_cost import BenchCost, BenchPrice, bench_cost
from diagnostics.core.bench.booked import BenchTime, bench_time
from diagnostics.core.judging.judgement import Judgement
from garage.models.shop import BENCH, Shop
from garage.models.visits import Visit


def bench_time_of(judgement: Judgement) -> BenchTime:
    return bench_time(
        judgement.bench_order,
        expected_min=judgement.expected_bench_minutes,
        nothing_wrong=judgement.groups[NOTHING_WRONG],
    )


def bench_cost_of(visit: Visit, judgement: Judgement, shop: Shop) -> BenchCost | None:
    agreed = visit.bench_limit_pounds
    return bench_cost(
        judgement.bench_order,
        expected_min=judgement.expected_bench_minutes,
        nothing_wrong=judgement.groups[NOTHING_WRONG],
        price=BenchPrice(
            labour_per_hour=shop.labour_per_hour,
            rounding=shop.labour_rounding,
            covered_min=visit.kind.minutes if visit.kind.at == BENCH else 0,
            limit_pounds=shop.bench_limit_pounds if agreed is None else agreed,
            is_agreed=agreed is not None,
        ),
    )
