"""What bench work may cost, said as in a workshop."""

from dataclasses import replace
from decimal import Decimal

import pytest

from diagnostics.core.bench.bench_cost import BenchCost, BenchPrice
from diagnostics.core.telling.bench_cost_words import bench_cost_words

PRICE = BenchPrice(Decimal("54.00"), "down", covered_min=0, limit_pounds=120, is_agreed=False)
COST = BenchCost(Decimal(40), Decimal(95), PRICE)
BENCH = replace(PRICE, covered_min=60)


@pytest.mark.parametrize(
    ("cost", "said"),
    [
        (
            COST,
            "Bench work to find and mend it: £40 to £95 at £54 an hour, parts extra. We ring you before it goes over "
            "£120.",
        ),
        (
            replace(COST, price=replace(PRICE, limit_pounds=150, is_agreed=True)),
            "Bench work to find and mend it: £40 to £95 at £54 an hour, parts extra. We ring you before it goes over "
            "the £150 you agreed to.",
        ),
        (
            replace(COST, low=Decimal(95), price=replace(PRICE, labour_per_hour=Decimal("54.50"), limit_pounds=0)),
            "Bench work to find and mend it: about £95 at £54.50 an hour, parts extra. We ring you before any of it is "
            "done.",
        ),
        (
            replace(COST, low=Decimal(0), price=BENCH),
            "The price of your visit covers 60 minutes at the bench. To find and mend it may take up to £95 more, at "
            "£54 an hour, parts extra. We ring you before it goes over £120.",
        ),
        (
            replace(COST, low=Decimal(0), high=Decimal(0), price=BENCH),
            "The price of your visit covers 60 minutes at the bench. That should do to find and mend it; parts are "
            "extra. We ring you before it goes over £120.",
        ),
        (None, ""),
    ],
)
def test_the_range_the_price_an_hour_and_the_limit_are_said(cost, said):
    assert bench_cost_words(cost) == said
