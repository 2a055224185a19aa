"""The kept sums beside every closed card counted anew, by code that shares only what one visit is."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import fields, is_dataclass

from diagnostics.core.findings import Costs
from diagnostics.core.learning.counts import count
from diagnostics.core.learning.figures import counted_anew
from diagnostics.core.learning.kept_figures import counts_from, figures_of
from diagnostics.reads.bank import the_bank
from diagnostics.reads.case import costs_of
from diagnostics.reads.closed_visits import closed_visits
from diagnostics.reads.learned_sums import kept_sums, sums_anew
from diagnostics.reads.learning import closed_cards
from garage.reads.shop import the_shop

CLOSE = 1e-9  # a float is off by 1e-16 of itself for each thing that is added; what is kept is exact


def differences() -> list[str]:
    """Sentences; none if all is as counted anew, or if nothing is kept yet."""
    sums, bank = kept_sums(), the_bank()
    if sums is None:
        return []
    costs = Costs(**costs_of(the_shop()))
    found = []
    if dict(sums) != sums_anew():
        found.append("The kept sums are not those of the closed cards.")
    if counts_from(bank, sums) != count(bank, closed_cards()):
        found.append("The base rates are not those of the closed cards.")
    if where := first_difference(figures_of(bank, sums, costs), counted_anew(bank, closed_visits(), costs)):
        found.append(f"A figure is not that of the closed cards: {where}.")
    return found


def first_difference(one: object, other: object, where: str = "figures") -> str:
    """The name of the first part that differs; empty if none does. Floats may differ in their last digits."""
    if isinstance(one, float) and isinstance(other, float):
        return "" if one == other or math.isclose(one, other, rel_tol=CLOSE, abs_tol=CLOSE) else where
    if is_dataclass(one) and type(one) is type(other):
        parts = [(field.name, getattr(one, field.name), getattr(other, field.name)) for field in fields(one)]
    elif isinstance(one, Mapping) and isinstance(other, Mapping) and one.keys() == other.keys():
        parts = [(str(key), one[key], other[key]) for key in one]
    elif isinstance(one, tuple) and isinstance(other, tuple) and len(one) == len(other):
        parts = [(str(nth), *both) for nth, both in enumerate(zip(one, other, strict=True))]
    else:
        return "" if one == other else where
    differing = (first_difference(a, b, f"{where}.{name}") for name, a, b in parts)
    return next(filter(None, differing), "")
