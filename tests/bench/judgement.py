"""Figures of the judgement: `python -m tests.bench.judgement`.

Speed and memory, agreement with pyAgrum, the bench's order, the limit of faults at once, strobe readings, short sheets.
"""

from __future__ import annotations

import argparse
import sys
import time
from itertools import pairwise

import numpy as np

from diagnostics.core.bank import Bank
from diagnostics.core.evidence import gather
from diagnostics.core.findings import Case
from diagnostics.core.inference import fault_chances, model_of
from diagnostics.core.routing import Route, choose_route, route_costs_pence
from diagnostics.reads.bank import the_bank
from tests.bench.judgement_order import order_lines
from tests.bench.judgement_speed import speed_lines
from tests.diagnostics.core.agrum_network import asked, network_of
from tests.diagnostics.core.drawn_sheets import draw_sheet, short_sheet
from tests.diagnostics.core.small_banks import case_of
from tests.diagnostics.core.test_strobe_chances import cheapest, sweep
from tests.diagnostics.core.unlimited import unlimited


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--networks", type=int, default=500)
    parser.add_argument("--sheets", type=int, default=1000)
    chosen = parser.parse_args()
    bank = the_bank()
    for line in speed_lines(bank, 400):
        said(line)
    against_agrum(bank, chosen.networks)
    for line in order_lines(bank, 200):
        said(line)
    beyond_the_limit(bank, 40)
    by_a_tenth_of_a_degree(60)
    sheets(bank, chosen.sheets)


def routed(bank: Bank, case: Case) -> Route:
    model = model_of(bank)
    return choose_route(model, case, gather(model, case).weight())


def against_agrum(bank: Bank, networks: int) -> None:
    chance, worst, ours_s, theirs_s, asked_s = np.random.default_rng(500), 0.0, 0.0, 0.0, 0.0
    model = model_of(bank)
    for _ in range(networks):
        drawn = draw_sheet(bank, chance).case
        kept = chance.choice(list(drawn.answers), size=int(chance.integers(1, 4)), replace=False)
        case = case_of(bank, {q: drawn.answers[q] for q in kept}, machine=drawn.machine, booked=drawn.booked)
        start = time.process_time()
        ours = fault_chances(model, gather(model, case).weight()).tolist()
        between = time.process_time()
        network = network_of(bank, case)
        built = time.process_time()
        theirs = asked(bank, *network)
        end = time.process_time()
        ours_s, theirs_s, asked_s = ours_s + between - start, theirs_s + end - between, asked_s + end - built
        worst = max(worst, *(abs(a - theirs[fault]) for fault, a in zip(bank.fault_ids, ours, strict=True)))
    said(f"pyAgrum: {networks} evidence sets, largest difference {worst:.1e} (to reach: 1e-9)")
    said(
        f"speed: {theirs_s / ours_s:.0f} times pyAgrum's on the same queries (to reach: 100), "
        f"{asked_s / ours_s:.0f} times without the time in which it builds its network"
    )


def beyond_the_limit(bank: Bank, number: int) -> None:
    """What an unlimited sum over all sets of faults would change."""
    chance, model, moved, more, turned = np.random.default_rng(40), model_of(bank), [], [], 0
    for _ in range(number):
        case = draw_sheet(bank, chance).case
        every, weight = unlimited(bank, case), gather(model, case).weight()
        route = choose_route(model, case, weight)
        costs = route_costs_pence(case.costs, every.spoilt, route.settled_share)
        turned += min(costs, key=lambda name: costs[name]) != min(costs, key=lambda name: route.costs_pence[name])
        moved.append(float(np.abs(every.chances - fault_chances(model, weight)).max()))
        more.append(every.more)
    said(
        f"no limit of {bank.most_at_once} faults at once: {number} sheets, a chance moves by at most {max(moved):.1e}, "
        f"in the median by {np.median(moved):.0e}, {turned} cost routes turn"
    )
    said(f"no limit of {bank.most_at_once} faults at once: the chance of more is {max(more):.1e} at most")


def by_a_tenth_of_a_degree(seeds: int) -> None:
    """How far a strobe reading a tenth of a degree further moves a judgement."""
    moved, gaps = 0.0, [0.0]
    for seed in range(seeds):
        for before, after in pairwise(sweep(seed)):
            moved = max(moved, abs(after.spoilt_chance - before.spoilt_chance))
            was, now = cheapest(before), cheapest(after)
            gap = max(
                before.costs_pence[now] - before.costs_pence[was], after.costs_pence[was] - after.costs_pence[now]
            )
            gaps += [gap] if was != now else []
    said(
        f"strobe: a tenth of a degree further moves the spoilt chance by {moved:.3f} at most; of {180 * seeds} such "
        f"steps {len(gaps) - 1} turn a cost route, the two within {max(gaps):.0f} pence of each other"
    )


def sheets(bank: Bank, number: int) -> None:
    chance = np.random.default_rng(2026)
    routes, asked, short_pence, full_pence = [], [], 0.0, 0.0
    for _ in range(number):
        full = draw_sheet(bank, chance).case
        short, count = short_sheet(bank, full)
        knows, guesses = routed(bank, full), routed(bank, short)
        routes.append((knows.route, guesses.route))
        asked.append(count)
        if knows.route != "do-not-run":
            costs = route_costs_pence(full.costs, knows.spoilt_chance, knows.settled_share)
            full_pence += min(costs.values())
            short_pence += costs[min(guesses.costs_pence, key=lambda route: guesses.costs_pence[route])]
    for place, name in enumerate(("full", "short")):
        shares = {route: sum(pair[place] == route for pair in routes) / number for route in dict(routes)}
        said(f"{name} sheets: " + ", ".join(f"{route} {share:.1%}" for route, share in sorted(shares.items())))
    said(f"short sheets: {np.median(asked):g} questions in the median")
    said(f"short sheets: route {short_pence / full_pence - 1:.1%} dearer than that of full ones")


def said(line: str) -> None:
    sys.stdout.write(line + "\n")


if __name__ == "__main__":
    main()
