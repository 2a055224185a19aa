"""What bench work may cost, in the words of a workshop."""

from __future__ import annotations

from decimal import Decimal

from diagnostics.core.bench.bench_cost import BenchCost, BenchPrice
from garage.core.money import short_pounds_words


def bench_cost_words(cost: BenchCost | None) -> str:
    """For the owner: from, to, the price an hour, and when we ring. Empty if nothing can be said."""
    if cost is None:
        return ""
    return f"{_work(cost)} {_asks(cost.price)}"


def _work(cost: BenchCost) -> str:
    rate = f"at {short_pounds_words(cost.price.labour_per_hour)} an hour, parts extra"
    if not cost.price.covered_min:
        return f"Bench work to find and mend it: {_range(cost)} {rate}."
    covered = f"The price of your visit covers {cost.price.covered_min} minutes at the bench."
    if not cost.high:
        return f"{covered} That should do to find and mend it; parts are extra."
    return f"{covered} To find and mend it may take {_range(cost)} more, {rate}."


def _range(cost: BenchCost) -> str:
    low, high = short_pounds_words(cost.low), short_pounds_words(cost.high)
    if not cost.low:
        return f"up to {high}"
    return f"about {high}" if cost.low == cost.high else f"{low} to {high}"


def _asks(price: BenchPrice) -> str:
    if not price.limit_pounds:
        return "We ring you before any of it is done."
    limit = short_pounds_words(Decimal(price.limit_pounds))
    return f"We ring you before it goes over {f'the {limit} you agreed to' if price.is_agreed else limit}."
