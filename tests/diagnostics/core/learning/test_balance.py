"""Routes against their outcomes, and their worth: counted by hand, no outside source; intervals against SciPy."""

from __future__ import annotations

import pytest
from scipy.stats import binomtest

from diagnostics.core.findings import Costs
from diagnostics.core.learning.balance import Balance, Sum, balance, route_outcomes
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.closed_examples import closed, judged

BANK = the_bank()
COSTS = Costs(slot_lost=9000, bench_check=2500, call=600, bench_minute=75)
SPOILING, JETTING = "spark-module", "main-jet-rich"  # the second spoils no set-up


def summed(*visits):
    return balance(BANK, visits, COSTS)


@pytest.mark.parametrize("route", ["fix-first", "do-not-run"])
def test_a_spoilt_visit_sent_to_the_bench_first_saves_its_slot(route):
    found = summed(closed(SPOILING, taken=route))
    assert (found.saved.visits, found.saved.minutes, found.saved.pence) == (1, 90, 9000)
    assert found.wasted.visits == found.for_nothing.visits == found.caught.visits == 0  # run later, mended: not wasted


def test_a_sound_visit_sent_to_the_bench_first_costs_a_check():
    found = summed(closed(JETTING, taken="fix-first"), closed(taken="do-not-run"))
    assert (found.for_nothing.visits, found.for_nothing.pence) == (2, 5000)
    assert found.net_pence == -5000


@pytest.mark.parametrize("route", ["", "roller-ready", "phone-first"])
def test_a_spoilt_visit_that_went_on_the_rollers_wasted_its_slot(route):
    found = summed(closed(SPOILING, taken=route, roller_minutes=45))
    assert (found.wasted.visits, found.wasted.minutes, found.wasted.pence) == (1, 45, 9000)
    assert found.saved.visits == 0


def test_what_the_gate_kept_off_the_rollers_is_neither_saved_nor_wasted():
    found = summed(closed(SPOILING, taken="roller-ready", ran=False))
    assert (found.caught.visits, found.caught.minutes, found.caught.pence) == (1, 90, 0)
    assert (found.saved.visits, found.wasted.visits) == (0, 0)


def test_calls_cost_money_and_the_net_is_the_rest():
    found = summed(*[closed(SPOILING, taken="fix-first")] * 3, closed(taken="fix-first"), closed(taken="phone-first"))
    assert found.rung.pence == 600
    assert found.net_pence == 3 * 9000 - 2500 - 600


def test_cards_without_a_cause_are_left_out_and_bench_visits_have_no_slot():
    unknown = [closed(came_back=True, taken="fix-first"), closed(has_own_words=True)]
    bench = closed(SPOILING, booked="bench", roller_minutes=0, taken="fix-first")
    found = summed(*unknown, bench)
    assert (found.visits, found.left_out) == (0, 2)
    assert found.net_pence == 0


def test_each_route_has_its_visits_and_its_share_with_an_interval():
    ready = [closed(SPOILING)] * 3 + [closed()] * 37
    fix = [closed(SPOILING, judged=judged(route="fix-first"))] * 4
    found = route_outcomes(BANK, [*fix, *ready, closed(judged=None)])
    assert [(r.route, r.many, r.spoilt, r.sound) for r in found] == [
        ("roller-ready", 40, 3, 37),
        ("fix-first", 4, 4, 0),
        ("", 1, 0, 1),
    ]
    reference = binomtest(3, 40).proportion_ci(method="wilson")
    assert (found[0].low, found[0].high) == pytest.approx((reference.low, reference.high), abs=1e-12)
    assert [r.is_too_few for r in found] == [False, True, True]


def test_every_visit_counts_with_its_own_minutes_in_the_sum_it_belongs_to():
    """Counted by hand; the call is counted beside what became of the visit."""
    found = summed(
        closed(SPOILING, taken="fix-first", roller_minutes=60, ran=False),
        closed(SPOILING, taken="do-not-run", roller_minutes=45),
        closed(SPOILING, taken="phone-first", roller_minutes=30),
        closed(SPOILING, taken="phone-first", roller_minutes=20, ran=False),
        closed(taken="fix-first", roller_minutes=15),
        closed(taken="roller-ready", roller_minutes=10),
        closed(JETTING, booked="power-run", taken="roller-ready", roller_minutes=5),
        closed(came_back=True, roller_minutes=90),
    )
    assert found == Balance(
        saved=Sum(2, 105, 18_000),
        wasted=Sum(2, 35, 18_000),
        caught=Sum(1, 20, 0),
        for_nothing=Sum(1, 15, 2500),
        rung=Sum(2, 50, 1200),
        visits=7,
        left_out=1,
    )


def test_routes_come_in_their_order_with_the_share_spoilt_and_too_few_under_twenty():
    routes = ["do-not-run", "fix-first", "phone-first", "roller-ready"]
    visits = [closed(SPOILING, judged=judged(route=route)) for route in routes]
    visits += [closed(judged=judged(route="fix-first"))] * 19 + [closed(judged=judged(route="phone-first"))] * 18
    found = route_outcomes(BANK, [*visits, closed(judged=None), closed(came_back=True)])
    assert [(one.route, one.many, one.is_too_few) for one in found] == [
        ("roller-ready", 1, True),
        ("phone-first", 19, True),
        ("fix-first", 20, False),
        ("do-not-run", 1, True),
        ("", 1, True),
    ]
    assert [one.share for one in found] == pytest.approx([1, 1 / 19, 1 / 20, 1, 0])
