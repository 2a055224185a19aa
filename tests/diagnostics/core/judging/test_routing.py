"""Routes: the rules, the two plain cases, then the cheapest by the manual's formula."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from diagnostics.core.assess import assess
from diagnostics.core.findings import ClipVerdict, Costs, MachineFacts
from diagnostics.core.judging.evidence import gather
from diagnostics.core.judging.inference import model_of
from diagnostics.core.judging.judgement import (
    BookedForTheBench,
    Cheapest,
    KeptOffTheRollers,
    RichPowerRun,
    RichSetUp,
    Stopped,
)
from diagnostics.core.judging.routing import (
    Odds,
    Route,
    cheapest_pence,
    has_answers,
    rich_mask,
    route_by,
    route_costs_pence,
    settled_share,
    spoils_mask,
    unsettling_questions,
)
from diagnostics.core.telling.assess_lines import assess_line
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.drawn_sheets import draw_sheet
from tests.diagnostics.core.routes import choose_route
from tests.diagnostics.core.small_banks import case_of, small_bank

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
        by_a_rule = (RichSetUp, RichPowerRun, KeptOffTheRollers)
        assert judgement.route == "do-not-run" or isinstance(judgement.why, by_a_rule)
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


def test_of_a_thousand_full_sheets_at_most_one_in_six_is_rung_about_for_the_costs() -> None:
    chance = np.random.default_rng(2026)
    bank = the_bank()
    model, routes, by_rule = model_of(bank), [], 0
    for _ in range(1000):
        case = draw_sheet(bank, chance).case
        route = choose_route(model, case, gather(model, case).weight())
        routes.append(route.route)
        by_rule += route.route == "phone-first" and isinstance(route.why, KeptOffTheRollers)
    assert routes.count("phone-first") - by_rule <= 1000 / 6
    assert by_rule <= 1000 / 15  # a power run with one sign of lean running
    assert {"roller-ready", "fix-first", "phone-first", "do-not-run"} == set(routes)


MODEL = model_of(
    the_bank()
)  # 40 of a hundred calls settle it, 5 more for each contradiction, 80 at most; rich from 0.5
HEARD = ClipVerdict("breaks-down", 0.95, 6000.0)


def routed(odds: Odds, answers: dict[str, Any] | None = None, **more: Any) -> Route:
    return route_by(MODEL, case_of(the_bank(), answers or {"damp": "no"}, **more), odds)


def test_the_cheapest_route_is_taken_with_the_next_and_the_difference() -> None:
    """By hand: 0.2 × 9000 = 1800; 0.8 × 2500 = 2000; 600 + 0.6 × 1800 = 1680."""
    found = routed(Odds(0.2, 0.2, 0.1))
    assert (found.route, found.why) == ("phone-first", Cheapest(pytest.approx(120.0), "roller-ready"))  # type: ignore[arg-type]
    assert (found.spoilt_chance, found.settled_share) == (0.2, 0.4)
    assert found.costs_pence == pytest.approx({"roller-ready": 1800, "fix-first": 2000, "phone-first": 1680})


def test_a_rule_stops_it_with_all_findings_once_and_keeps_its_figures() -> None:
    found = routed(Odds(0.2, 0.2, 0.9), {"plug": "white", "changed": ("jets-smaller",), "pinking": "yes"})
    assert (found.route, found.why) == ("do-not-run", Stopped(("pinking=yes", "plug=white", "changed=jets-smaller")))
    assert (found.spoilt_chance, found.costs_pence["roller-ready"]) == (0.2, pytest.approx(1800))
    strobe = routed(Odds(0.2, 0.2, 0.1), {"strobe_idle": 14.0, "strobe_peak": 19.5})
    assert strobe.why == Stopped(("strobe_idle=14", "strobe_peak=19.5"), unless_made_to_advance=True)


@pytest.mark.parametrize(
    ("booked", "odds", "route", "why"),
    [
        ("set-up", Odds(0.5, 0.0, 0.5), "roller-ready", RichSetUp(0.5)),
        ("power-run", Odds(0.9, 0.0, 0.6), "phone-first", RichPowerRun(0.6)),
        ("set-up", Odds(1.0, 0.0, 0.49), "fix-first", None),
        ("set-up", Odds(1.0, 0.9, 0.6), "fix-first", None),  # something else spoils it: no plain case
        ("bench", Odds(0.0, 0.0, 0.9), "fix-first", BookedForTheBench()),
    ],
)
def test_a_plain_case_needs_a_rich_engine_that_nothing_else_keeps_from_the_rollers(
    booked: str, odds: Odds, route: str, why: object
) -> None:
    found = routed(odds, booked=booked)
    assert found.route == route
    assert found.why == why or (why is None and isinstance(found.why, Cheapest))
    assert found.spoilt_chance == odds.spoilt


def settled(answers: dict[str, Any], **more: Any) -> float:
    return settled_share(MODEL, case_of(the_bank(), answers, **more))


def test_each_contradiction_makes_a_call_settle_more_and_never_more_than_the_bank_allows() -> None:
    """0.4, and 0.05 for each pair; a bank whose highest share lies below its plain one keeps the plain one."""
    one, other = {"plug": "white", "rev_out": "smoky"}, {"changed": ("nothing",), "came_on": "after-work"}
    assert [settled(answers) for answers in ({}, one, other, one | other)] == pytest.approx([0.4, 0.45, 0.45, 0.5])
    for highest, share in ((0.42, 0.42), (0.3, 0.4)):
        bank = replace(the_bank(), routing=replace(the_bank().routing, settled_by_call_at_most=highest))
        assert settled_share(model_of(bank), case_of(bank, one)) == pytest.approx(share)


def test_a_clip_against_the_owner_s_word_settles_more_the_stronger_it_is() -> None:
    """Confidence c against `clean`: strength 2c − 1 of the way from 0.4 to 0.8."""
    known = MachineFacts(design_rpm=9000.0)
    for confidence, share in ((0.95, 0.4 + 0.9 * 0.4), (0.6, 0.4 + 0.2 * 0.4)):
        heard = ClipVerdict("breaks-down", confidence, 6000.0)
        assert settled({"rev_out": "clean"}, heard=heard, machine=known) == pytest.approx(share)
        assert settled({"rev_out": "ceiling"}, heard=heard, machine=known) == pytest.approx(0.4)
        assert settled({}, heard=heard, machine=known) == pytest.approx(0.4)
        assert settled({"rev_out": ("clean",)}, heard=heard, machine=known) == pytest.approx(0.4)


def test_only_questions_that_may_complete_a_contradiction_or_meet_a_clip_may_settle_more() -> None:
    pairs = [set(pair) for pair in the_bank().contradictions]

    def found(answers: dict[str, Any], **more: Any) -> frozenset[str]:
        return unsettling_questions(MODEL, case_of(the_bank(), answers, **more))

    assert found({}) == frozenset()
    assert found({}, heard=HEARD) == {"rev_out"}
    assert found({"came_on": "after-work"}) == {"changed"}
    assert found({"came_on": "slowly"}) == frozenset()
    assert found({"came_on": "after-work", "changed": ("nothing",)}) == frozenset()
    assert {"came_on", "changed"} in pairs


def test_a_pair_is_there_if_each_question_has_that_answer_and_no_other() -> None:
    pair = {"changed": "nothing", "came_on": "after-work"}

    def has(**answers: Any) -> bool:
        return has_answers(case_of(the_bank(), answers), pair)

    assert has(changed=("nothing",), came_on="after-work")
    assert has(changed="nothing", came_on="after-work")
    assert not has(changed=("nothing", "exhaust"), came_on="after-work")
    assert not has(changed=("nothing",), came_on="slowly")
    assert not has(changed=("nothing",))
    assert not has(came_on="after-work")


def test_what_spoils_a_visit_may_leave_jetting_aside() -> None:
    bank = the_bank()
    for booked in ("set-up", "power-run"):
        every, other = spoils_mask(MODEL, booked), spoils_mask(MODEL, booked, jetting_too=False)
        for has, all_, without in zip(MODEL.has, every, other, strict=True):
            held = [fault for fault, one in zip(bank.faults, has, strict=True) if one and booked in fault.spoils]
            assert all_ == bool(held)
            assert without == any(not fault.is_jetting for fault in held)


def test_rich_is_a_main_jet_too_large_or_rich_for_another_reason() -> None:
    places = [the_bank().fault_ids.index(fault) for fault in ("main-jet-rich", "rich-otherwise")]
    assert np.array_equal(rich_mask(MODEL), MODEL.has[:, places].max(axis=1))
    small = small_bank({"a": 0.1}, {"sign": ({"no": 0.9, "yes": 0.1}, {"a": {"yes": 0.5}})})
    assert not rich_mask(model_of(small)).any()


def test_the_cheapest_of_a_branch_is_its_chance_times_the_cheapest_of_its_own_chances() -> None:
    chance, spoilt = np.array([0.5, 0.25, 0.1]), np.array([0.1, 0.24, 0.0])
    expected = [c * min(route_costs_pence(COSTS, s / c, 0.4).values()) for c, s in zip(chance, spoilt, strict=True)]
    assert cheapest_pence(COSTS, 0.4, chance, spoilt) == pytest.approx(expected)
