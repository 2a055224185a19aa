"""Routes: the rules, the two plain cases, then the cheapest by the manual's formula."""

from __future__ import annotations

import numpy as np
import pytest

from diagnostics.core.assess import assess
from diagnostics.core.findings import Costs
from diagnostics.core.judging.evidence import gather
from diagnostics.core.judging.inference import model_of
from diagnostics.core.judging.judgement import BookedForTheBench, Cheapest, RichPowerRun, RichSetUp, Stopped
from diagnostics.core.judging.routing import cheapest_pence, route_costs_pence, settled_share
from diagnostics.core.telling.assess_lines import assess_line
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.drawn_sheets import draw_sheet
from tests.diagnostics.core.routes import choose_route
from tests.diagnostics.core.small_banks import case_of

COSTS = Costs(9000, 2500, 600, 75)
RICH = {"trouble": "four-strokes", "where": "top", "rev_out": "smoky", "plug": "black-dry", "half_choke": "worse"}


@pytest.mark.parametrize(
    ("spoilt", "settled", "expected"),
    [
        # by hand: s × 9000; (1 − s) × 2500; 600 + (1 − q) × the cheaper
        (0.0, 0.4, (0.0, 2500.0, 600.0)),
        (0.2, 0.4, (1800.0, 2000.0, 1680.0)),
        (0.5, 0.4, (4500.0, 1250.0, 1350.0)),
        (0.2, 0.8, (1800.0, 2000.0, 960.0)),
        (1.0, 0.4, (9000.0, 0.0, 600.0)),
    ],
)
def test_the_three_costs_follow_the_formula(spoilt: float, settled: float, expected: tuple[float, ...]) -> None:
    found = route_costs_pence(COSTS, spoilt, settled)
    assert tuple(found.values()) == pytest.approx(expected)
    assert min(expected) == pytest.approx(float(cheapest_pence(COSTS, settled, np.array(1.0), np.array(spoilt))))


@pytest.mark.parametrize("seed", range(40))
def test_the_route_is_the_cheapest_and_says_by_how_much(seed: int) -> None:
    judgement = assess(the_bank(), draw_sheet(the_bank(), np.random.default_rng(seed)).case)
    if not isinstance(judgement.why, Cheapest):
        assert judgement.route == "do-not-run" or isinstance(judgement.why, RichSetUp | RichPowerRun)
        return
    first, second, _ = sorted(judgement.route_costs_pence.values())
    assert judgement.route_costs_pence[judgement.why.next_route] == second
    assert judgement.route_costs_pence[judgement.route] == first
    assert judgement.why.by_pence == pytest.approx(second - first)
    assert f"{second - first:.0f} pence cheaper" in assess_line(judgement)["why"]


def test_merely_rich_is_what_a_set_up_is_for() -> None:
    judgement = assess(the_bank(), case_of(the_bank(), RICH))
    assert judgement.route == "roller-ready"
    assert isinstance(judgement.why, RichSetUp)
    assert judgement.why.chance >= the_bank().routing.merely_rich


def test_merely_rich_on_a_power_run_is_rung_about() -> None:
    judgement = assess(the_bank(), case_of(the_bank(), RICH, booked="power-run"))
    assert (judgement.route, type(judgement.why)) == ("phone-first", RichPowerRun)


def test_a_bench_visit_has_no_slot_to_lose() -> None:
    judgement = assess(the_bank(), case_of(the_bank(), {}, booked="bench"))
    assert (judgement.route, judgement.why) == ("fix-first", BookedForTheBench())


def test_a_rule_comes_before_the_bench_and_before_merely_rich() -> None:
    for booked in ("bench", "set-up"):
        judgement = assess(the_bank(), case_of(the_bank(), RICH | {"pinking": "yes"}, booked=booked))
        assert judgement.route == "do-not-run"
        assert judgement.why == Stopped(("pinking=yes",))


@pytest.mark.parametrize("costs", [Costs(0, 0, 0, 0), Costs(10**9, 0, 0, 0), Costs(0, 10**9, 10**9, 0)])
def test_every_cost_gives_a_route(costs: Costs) -> None:
    assert assess(the_bank(), case_of(the_bank(), {"rev_out": "ceiling"}, costs=costs)).route


def test_contradictory_answers_raise_the_share_that_a_call_settles() -> None:
    plain = case_of(the_bank(), {"plug": "white", "half_choke": "better"})
    against = case_of(the_bank(), {"plug": "white", "half_choke": "worse"})
    assert [settled_share(model_of(the_bank()), case) for case in (plain, against)] == pytest.approx([0.4, 0.45])


def test_of_a_thousand_full_sheets_at_most_one_in_six_is_rung_about() -> None:
    chance = np.random.default_rng(2026)
    bank = the_bank()
    model, routes = model_of(bank), []
    for _ in range(1000):
        case = draw_sheet(bank, chance).case
        routes.append(choose_route(model, case, gather(model, case).weight()).route)
    assert routes.count("phone-first") <= 1000 / 6
    assert {"roller-ready", "fix-first", "phone-first", "do-not-run"} == set(routes)
