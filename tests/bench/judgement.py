"""Figures of the judgement: `python -m tests.bench.judgement`. Agreement with pyAgrum, speed, short sheets."""

from __future__ import annotations

import argparse
import sys
import time

import numpy as np

from diagnostics.core.assess import assess
from diagnostics.core.bank import Bank
from diagnostics.core.evidence import gather
from diagnostics.core.findings import Case
from diagnostics.core.inference import model_of
from diagnostics.core.reasons import group_chances
from diagnostics.core.routing import Route, choose_route, route_costs_pence
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.agrum_network import agrum_chances
from tests.diagnostics.core.drawn_sheets import draw_sheet, short_sheet
from tests.diagnostics.core.small_banks import case_of


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--networks", type=int, default=500)
    parser.add_argument("--sheets", type=int, default=1000)
    chosen = parser.parse_args()
    bank = the_bank()
    against_agrum(bank, chosen.networks)
    speed(bank)
    sheets(bank, chosen.sheets)


def routed(bank: Bank, case: Case) -> Route:
    model = model_of(bank)
    return choose_route(model, case, gather(model, case).weight())


def against_agrum(bank: Bank, networks: int) -> None:
    chance, worst, ours_s, theirs_s = np.random.default_rng(500), 0.0, 0.0, 0.0
    model = model_of(bank)
    for _ in range(networks):
        drawn = draw_sheet(bank, chance).case
        kept = chance.choice(list(drawn.answers), size=int(chance.integers(1, 4)), replace=False)
        case = case_of(bank, {q: drawn.answers[q] for q in kept}, machine=drawn.machine, booked=drawn.booked)
        start = time.process_time()
        ours = (gather(model, case).weight() @ model.has).tolist()
        between = time.process_time()
        theirs = agrum_chances(bank, case)
        ours_s, theirs_s = ours_s + between - start, theirs_s + time.process_time() - between
        worst = max(worst, *(abs(a - theirs[fault]) for fault, a in zip(bank.fault_ids, ours, strict=True)))
    said(f"pyAgrum: {networks} evidence sets, largest difference {worst:.1e}")
    said(f"speed: {theirs_s / ours_s:.0f} times pyAgrum's, its network built anew for each evidence set")


def speed(bank: Bank) -> None:
    chance, model = np.random.default_rng(3), model_of(bank)
    cases = [draw_sheet(bank, chance).case for _ in range(200)]
    for case in cases:
        assess(bank, case)
    start = time.process_time()
    for case in cases:
        assess(bank, case)
    between = time.process_time()
    for case in cases:
        weight = gather(model, case).weight()
        choose_route(model, case, weight)
        group_chances(model, weight)
        (weight @ model.has).tolist()
    few = time.process_time() - between
    said(f"speed: {len(cases) / (between - start):.0f} cases a second with all keys")
    said(f"speed: {len(cases) / few:.0f} cases a second with route, chances and groups only")


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
