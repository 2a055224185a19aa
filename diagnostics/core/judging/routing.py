"""Where a judgement sends a visit: do-not-run rules first, then what keeps it off the rollers, then two plain cases,
then the cheapest of three routes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from diagnostics.core.arrays import Float64s
from diagnostics.core.findings import Case, Costs
from diagnostics.core.judging.evidence import REV_OUT, heard_of
from diagnostics.core.judging.heard_chances import contradiction
from diagnostics.core.judging.inference import Model
from diagnostics.core.judging.judgement import (
    BookedForTheBench,
    Cheapest,
    KeptOffTheRollers,
    RichPowerRun,
    RichSetUp,
    Stopped,
    Why,
)
from diagnostics.core.judging.never_ready import KeptOff, kept_off
from diagnostics.core.stops import Fired, fired_rules
from garage.core.routes import DO_NOT_RUN, FIX_FIRST, PHONE_FIRST, ROLLER_READY

RICH = ("main-jet-rich", "rich-otherwise")


@dataclass(frozen=True)
class Route:
    """why: what decided it. spoilt_chance: that the visit is spoilt. settled_share: share of calls assumed to settle
    the matter. costs_pence: of each cost route.
    """

    route: str
    why: Why
    spoilt_chance: float
    settled_share: float
    costs_pence: Mapping[str, float]


class Odds(NamedTuple):
    """Three chances: the booked visit is spoilt; it is spoilt by something other than jetting; the engine is rich."""

    spoilt: float
    otherwise: float
    rich: float


def route_by(model: Model, case: Case, odds: Odds) -> Route:
    """The route of a case, given these chances. Source: the manual of `assess`."""
    spoilt, settled = odds.spoilt, settled_share(model, case)
    costs = route_costs_pence(case.costs, spoilt, settled)
    fired = fired_rules(case)
    if fired:
        return Route(DO_NOT_RUN, _stopped(fired), spoilt, settled, costs)
    off = kept_off(case)
    found = _plain_case(model, case, odds, settled) if off is None else _off_the_rollers(off, costs)
    return Route(*(found or _cheapest(costs)), spoilt, settled, costs)


def route_costs_pence(costs: Costs, spoilt: float, settled: float) -> dict[str, float]:
    """Expected cost of each cost route.

    >>> route_costs_pence(Costs(9000, 2500, 600, 75), spoilt=0.5, settled=0.4)
    {'roller-ready': 4500.0, 'fix-first': 1250.0, 'phone-first': 1350.0}
    """
    roller = spoilt * costs.slot_lost
    bench = (1 - spoilt) * costs.bench_check
    return {ROLLER_READY: roller, FIX_FIRST: bench, PHONE_FIRST: costs.call + (1 - settled) * min(roller, bench)}


def cheapest_pence(costs: Costs, settled: float | Float64s, chance: Float64s, spoilt: Float64s) -> Float64s:
    """Cost of the cheapest route, times `chance` of the branch; spoilt: chance of the branch with a spoilt visit."""
    sure = np.minimum(spoilt * costs.slot_lost, (chance - spoilt) * costs.bench_check)
    return np.asarray(np.minimum(sure, chance * costs.call + (1 - settled) * sure))


def spoils_mask(model: Model, booked: str, *, jetting_too: bool = True) -> Float64s:
    """(sets,) 1.0 if the set contains a fault that spoils the booked visit kind."""
    faults = [f.id for f in model.bank.faults if booked in f.spoils and (jetting_too or not f.is_jetting)]
    return model.fault_mask(faults)


def settled_share(model: Model, case: Case) -> float:
    """q: the share of calls that settle the matter.

    It starts from the bank's share and grows by a fixed step for each pair of answers that the bank calls
    contradictory. If the clip contradicts the owner's answer, it also moves towards the highest share in proportion to
    the strength of the contradiction. It never exceeds the highest share.
    """
    routing = model.bank.routing
    pairs = sum(has_answers(case, pair) for pair in model.bank.contradictions)
    share = routing.settled_by_call + pairs * routing.settled_more_by_a_contradiction
    heard, word = heard_of(model, case), case.answers.get(REV_OUT)
    if heard is not None and isinstance(word, str):
        strength = contradiction(heard, model.bank.question(REV_OUT).answer_ids, word)
        share += strength * (routing.settled_by_call_at_most - routing.settled_by_call)
    return min(share, max(routing.settled_by_call_at_most, routing.settled_by_call))


def unsettling_questions(model: Model, case: Case) -> frozenset[str]:
    """Open questions whose answer may change the share of calls that settle the matter."""
    found = {REV_OUT} if heard_of(model, case) is not None else set()
    for pair in model.bank.contradictions:
        missing = [question for question, answer in pair.items() if not has_answers(case, {question: answer})]
        found |= set(missing) if len(missing) == 1 else set()
    return frozenset(found)


def has_answers(case: Case, pair: Mapping[str, str]) -> bool:
    """Whether each of these questions has this one answer and no other."""
    for question, answer in pair.items():  # a loop is quicker than `all`, and this runs some twenty times a judgement
        given = case.answers.get(question)
        if given != answer and given != (answer,):
            return False
    return True


def _plain_case(model: Model, case: Case, odds: Odds, settled: float) -> tuple[str, Why] | None:
    if case.booked == "bench":
        return FIX_FIRST, BookedForTheBench()
    rich = odds.rich
    if rich < model.bank.routing.merely_rich:
        return None
    costs = route_costs_pence(case.costs, odds.otherwise, settled)
    if min(costs, key=lambda route: costs[route]) != ROLLER_READY:
        return None
    if case.booked == "set-up":
        return ROLLER_READY, RichSetUp(rich)
    return PHONE_FIRST, RichPowerRun(rich)


def _cheapest(costs: Mapping[str, float]) -> tuple[str, Cheapest]:
    (chosen, cost), (next_one, next_cost) = sorted(costs.items(), key=lambda item: item[1])[:2]
    return chosen, Cheapest(next_cost - cost, next_one)


def _off_the_rollers(off: KeptOff, costs: Mapping[str, float]) -> tuple[str, Why]:
    """The cheaper of the two routes that are left, or phone-first if there is something to ask whatever it costs."""
    if off.asks_first:
        return PHONE_FIRST, KeptOffTheRollers(off.findings, unless_made_to_advance=off.unless_made_to_advance)
    chosen, by = _cheapest({route: cost for route, cost in costs.items() if route != ROLLER_READY})
    if costs[ROLLER_READY] > costs[chosen]:  # the costs would have chosen the same
        chosen, by = _cheapest(costs)
    return chosen, KeptOffTheRollers(off.findings, by.by_pence, by.next_route, off.unless_made_to_advance)


def rich_mask(model: Model) -> Float64s:
    """(sets,) 1.0 if the main jet is too large or it is rich for another reason."""
    return model.fault_mask([fault for fault in RICH if fault in model.bank.fault_ids])


def _stopped(fired: tuple[Fired, ...]) -> Stopped:
    findings = dict.fromkeys(finding for rule in fired for finding in rule.findings)
    return Stopped(tuple(findings), any(rule.unless_made_to_advance for rule in fired))
