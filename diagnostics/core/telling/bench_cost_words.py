"""What bench work may cost, in the words of a workshop."""

from __future__ import annotations

from decimal import Decimal

from diagnostics.core.bench.bench_cost import BenchCost, BenchPrice
from garage.core.money import short_pounds_words
from garage.core.text.languages import told


def bench_cost_words(cost: BenchCost | None) -> str:
    """For the owner: from, to, the price an hour, and when we ring. Empty if nothing can be said."""
    if cost is None:
        return ""
    return f"{_work(cost)} {_asks(cost.price)}"


def _work(cost: BenchCost) -> str:
    rate, minutes = short_pounds_words(cost.price.labour_per_hour), cost.price.covered_min
    range_ = _range(cost)
    if not minutes:
        return told("Bench work to find and mend it: {range} at {rate} an hour, parts extra.", range=range_, rate=rate)
    covered = told("The price of your visit covers {minutes} minutes at the bench.", minutes=minutes)
    if not cost.high:
        enough = told("That should do to find and mend it; parts are extra.")
        return f"{covered} {enough}"
    more = told("To find and mend it may take {range} more, at {rate} an hour, parts extra.", range=range_, rate=rate)
    return f"{covered} {more}"


def _range(cost: BenchCost) -> str:
    low, high = short_pounds_words(cost.low), short_pounds_words(cost.high)
    if not cost.low:
        return told("up to {high}", high=high)
    return told("about {high}", high=high) if cost.low == cost.high else told("{low} to {high}", low=low, high=high)


def _asks(price: BenchPrice) -> str:
    if not price.limit_pounds:
        return told("We ring you before any of it is done.")
    limit = short_pounds_words(Decimal(price.limit_pounds))
    if price.is_agreed:
        return told("We ring you before it goes over the {limit} you agreed to.", limit=limit)
    return told("We ring you before it goes over {limit}.", limit=limit)
