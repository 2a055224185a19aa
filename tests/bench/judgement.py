"""Figures of the judgement: `python -m tests.bench.judgement`.

Speed and memory, agreement with pyAgrum, the bench's order, the limit of faults at once, strobe readings, short sheets.
"""

from __future__ import annotations

import argparse
import sys
from itertools import pairwise
from pathlib import Path

import numpy as np

from diagnostics.core.bank.bank import Bank
from diagnostics.core.findings import Case
from diagnostics.core.judging.evidence import gather
from diagnostics.core.judging.inference import fault_chances, model_of
from diagnostics.core.judging.routing import Route, route_costs_pence
from diagnostics.reads.bank import the_bank
from tests.bench.judgement_agrum import agrum_lines
from tests.bench.judgement_order import order_lines
from tests.bench.judgement_speed import speed_lines
from tests.diagnostics.core.drawn_sheets import draw_sheet, short_sheet
from tests.diagnostics.core.judging.test_strobe_chances import cheapest, sweep
from tests.diagnostics.core.routes import choose_route
from tests.diagnostics.core.test_trade_cases import CASES, broken_words
from tests.diagnostics.core.unlimited import MOST, unlimited

NOTE = """# How well and how quickly it judges

Written by `make bench`. All sheets are drawn from the bank itself: they say how the judgement keeps to its model, not
how the model keeps to real machines, which closed cards have to show.
Speeds are CPU seconds of one thread, the best of five passes.

"""
FIRST_PASS = (
    "61 of 65"  # at the first edition's first numbers: the commit that brought them says so; the cases came before
)


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("note", type=Path, nargs="?", help="file to write the figures to")
    parser.add_argument("--networks", type=int, default=500)
    parser.add_argument("--larger-networks", type=int, default=60)
    parser.add_argument("--sheets", type=int, default=1000)
    chosen = parser.parse_args()
    bank, told = the_bank(), list[str]()
    for lines in (
        lambda: speed_lines(bank, 400),
        lambda: agrum_lines(bank, chosen.networks, chosen.larger_networks),
        lambda: beyond_the_limit(bank, 12),
        lambda: by_a_tenth_of_a_degree(60),
        lambda: sheets(bank, chosen.sheets),
        lambda: written_cases(bank),
        lambda: order_lines(bank, 200),
    ):
        for line in lines():
            sys.stdout.write(line + "\n")
            sys.stdout.flush()
            told.append(f"- {line}\n")
    if chosen.note is not None:
        chosen.note.write_text(NOTE + "".join(told), encoding="utf-8")


def written_cases(bank: Bank) -> list[str]:
    passed = sum(not broken_words(bank, case) for case in CASES)
    return [
        f"written cases: {passed} of {len(CASES)} are judged as a tuner says; the first edition began with {FIRST_PASS}"
    ]


def routed(bank: Bank, case: Case) -> Route:
    model = model_of(bank)
    return choose_route(model, case, gather(model, case).weight())


def beyond_the_limit(bank: Bank, number: int) -> list[str]:
    """What a sum over sets of up to six faults would change."""
    chance, model, moved, more, turned = np.random.default_rng(40), model_of(bank), [], [], 0
    for _ in range(number):
        case = draw_sheet(bank, chance).case
        every, weight = unlimited(bank, case), gather(model, case).weight()
        route = choose_route(model, case, weight)
        costs = route_costs_pence(case.costs, every.spoilt, route.settled_share)
        turned += min(costs, key=lambda name: costs[name]) != min(costs, key=lambda name: route.costs_pence[name])
        moved.append(float(np.abs(every.chances - fault_chances(model, weight)).max()))
        more.append(every.more)
    without = f"{MOST} faults at once instead of {bank.most_at_once}"
    return [
        f"{without}: {number} sheets, a chance moves by at most {max(moved):.1e}, "
        f"in the median by {np.median(moved):.0e}, {turned} cost routes turn",
        f"{without}: the chance of more is {max(more):.1e} at most",
    ]


def by_a_tenth_of_a_degree(seeds: int) -> list[str]:
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
    return [
        f"strobe: a tenth of a degree further moves the spoilt chance by {moved:.3f} at most; of {180 * seeds} such "
        f"steps {len(gaps) - 1} turn a cost route, the two within {max(gaps):.0f} pence of each other"
    ]


def sheets(bank: Bank, number: int) -> list[str]:
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
    told = []
    for place, name in enumerate(("full", "short")):
        shares = {route: sum(pair[place] == route for pair in routes) / number for route in dict(routes)}
        told.append(f"{name} sheets: " + ", ".join(f"{route} {share:.1%}" for route, share in sorted(shares.items())))
    phoned = sum(full == "phone-first" for full, _ in routes) / number
    return [
        *told,
        f"finished sheets: {phoned:.1%} of {number} are phone-first (to reach: one in six at most)",
        f"short sheets: {np.median(asked):g} questions in the median (to reach: 7 to 10)",
        f"short sheets: route {short_pence / full_pence - 1:.1%} dearer than that of full ones (to reach: 3 % at most)",
    ]


if __name__ == "__main__":
    main()
