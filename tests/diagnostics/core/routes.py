"""The route of one case, from the chances of its sets of faults."""

from __future__ import annotations

from diagnostics.core.arrays import Float64s
from diagnostics.core.findings import Case
from diagnostics.core.judging.inference import Model
from diagnostics.core.judging.routing import Odds, Route, rich_mask, route_by, spoils_mask


def choose_route(model: Model, case: Case, weight: Float64s) -> Route:
    """weight: (sets,) adding up to 1."""
    masks = (spoils_mask(model, case.booked), spoils_mask(model, case.booked, jetting_too=False), rich_mask(model))
    return route_by(model, case, Odds(*(float(weight @ mask) for mask in masks)))
