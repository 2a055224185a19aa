"""What is never roller-ready, whatever the costs say. Source: the manual of `assess`; common practice."""

from __future__ import annotations

from typing import Any

import pytest

from diagnostics.core.assess import assess
from diagnostics.core.findings import ClipVerdict, Costs, MachineFacts
from diagnostics.core.judging.judgement import BookedForTheBench, Cheapest, Judgement, KeptOffTheRollers, RichSetUp
from diagnostics.core.judging.never_ready import kept_off, strobe_verdict
from diagnostics.core.telling.assess_lines import assess_line
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.small_banks import case_of
from tests.diagnostics.core.telling.judged import RICH

HEALTHY = {"trouble": "none", "rev_out": "clean", "nipped": "no", "pinking": "no", "changed": ["nothing"]}
FREE_SLOT = Costs(0, 2500, 600, 75)  # a lost slot costs nothing, so that the costs would always choose the rollers
FIXED = MachineFacts(spec_btdc=17.0, spec_curve="fixed")
FREE_RETARD = MachineFacts(spec_btdc=20.0, spec_curve="retarding")
FREE_ADVANCE = MachineFacts(spec_btdc=10.0, spec_curve="advancing")


def judged(answers: dict[str, Any], **more: Any) -> Judgement:
    return assess(the_bank(), case_of(the_bank(), answers, **more))


def clip(confidence: float, verdict: str = "breaks-down") -> ClipVerdict:
    return ClipVerdict(verdict, confidence, 6000.0, 6000.0)


KEPT_OFF = [
    pytest.param({"heard": clip(0.8)}, ["heard=breaks-down"], id="heard to break down"),
    pytest.param({"remarks": ("no-exhaust",)}, ["remarks=no-exhaust"], id="no exhaust"),
    pytest.param({"remarks": ("brakes-or-tyres",)}, ["remarks=brakes-or-tyres"], id="brakes or tyres"),
]


@pytest.mark.parametrize("booked", ["set-up", "power-run"])
@pytest.mark.parametrize(("more", "named"), KEPT_OFF)
def test_it_is_not_roller_ready_and_the_reason_is_named(more: dict[str, Any], named: list[str], booked: str) -> None:
    assert judged(HEALTHY, booked=booked, costs=FREE_SLOT).route == "roller-ready"
    judgement = judged(HEALTHY, booked=booked, costs=FREE_SLOT, **more)
    assert judgement.route in {"phone-first", "fix-first"}
    costs = judgement.route_costs_pence
    assert judgement.route == min(("fix-first", "phone-first"), key=lambda route: costs[route])
    assert isinstance(judgement.why, KeptOffTheRollers)
    assert judgement.why.by_pence == abs(costs["fix-first"] - costs["phone-first"])
    assert all(finding in assess_line(judgement)["why"] for finding in named)


@pytest.mark.parametrize("heard", [clip(0.79), clip(0.99, "revs-out"), clip(0.99, "unclear"), None])
def test_a_clip_that_is_not_sure_or_does_not_break_down_keeps_nothing_off(heard: ClipVerdict | None) -> None:
    assert kept_off(case_of(the_bank(), HEALTHY, heard=heard)) is None


@pytest.mark.parametrize(
    ("sign", "named"),
    [
        ({"plug": "white"}, ["plug=white"]),
        ({"changed": ["jets-smaller"]}, ["changed=jets-smaller"]),
        ({"changed": ["exhaust", "air-filter"]}, ["changed=exhaust", "changed=air-filter"]),
        ({"half_choke": "better", "where": "top"}, ["half_choke=better", "where=top"]),
        ({"trouble": "runs-hot"}, ["trouble=runs-hot"]),
    ],
)
def test_one_sign_of_lean_running_keeps_a_power_run_off_but_not_a_set_up(
    sign: dict[str, Any], named: list[str]
) -> None:
    judgement = judged(HEALTHY | sign, booked="power-run", costs=FREE_SLOT)
    assert judgement.route != "roller-ready"
    assert isinstance(judgement.why, KeptOffTheRollers)
    assert list(judgement.why.findings) == named
    assert judged(HEALTHY | sign, booked="set-up", costs=FREE_SLOT).route == "roller-ready"


@pytest.mark.parametrize(
    ("machine", "readings", "verdict"),
    [
        (FIXED, (17.0, 17.5), "in-spec"),
        (FIXED, (17.0, 15.5), "eases-back"),
        (FIXED, (16.4, 17.5), "advances"),  # 1.1: no rule stops it, and the gate would not let it pass
        (FIXED, (17.0, 14.4), "retards-far"),
        (FIXED, (19.0, 19.0), "set-wrong"),
        (MachineFacts(), (30.0, 30.0), "in-spec"),  # no spec: the reading at tickover is taken for it
        (MachineFacts(), (16.9, 17.9), "in-spec"),
        (MachineFacts(), (16.9, 17.91), "advances"),
        (FREE_RETARD, (20.0, 10.0), None),  # its own way, by an unknown amount
        (FREE_RETARD, (20.0, 20.5), "in-spec"),
        (FREE_RETARD, (19.0, 20.5), "advances"),
        (FREE_ADVANCE, (10.0, 24.0), None),
        (FREE_ADVANCE, (10.0, 7.0), "retards-far"),
        (MachineFacts(spec_btdc=10.0, spec_curve="advancing", curve_deg=14.0), (10.0, 24.0), "in-spec"),
        (MachineFacts(spec_btdc=20.0, spec_curve="retarding", curve_deg=6.0), (20.0, 14.0), "in-spec"),
    ],
)
def test_two_strobe_readings_that_would_fail_the_gate_keep_it_off(
    machine: MachineFacts, readings: tuple[float, float], verdict: str | None
) -> None:
    read = dict(zip(("strobe_idle", "strobe_peak"), readings, strict=True))
    case = case_of(the_bank(), HEALTHY | read, machine=machine)
    assert strobe_verdict(case) == verdict
    off = kept_off(case)
    assert (off is None) == (verdict in (None, "in-spec", "eases-back"))
    if off is not None:
        assert [finding.partition("=")[0] for finding in off.findings] == ["strobe_idle", "strobe_peak"]


def test_one_reading_keeps_nothing_off() -> None:
    assert kept_off(case_of(the_bank(), HEALTHY | {"strobe_idle": 19.0}, machine=FIXED)) is None


@pytest.mark.parametrize(("curve", "unless"), [(None, True), ("fixed", False)])
def test_a_small_advance_on_a_curve_that_is_not_known_says_what_would_excuse_it(
    curve: str | None, unless: bool
) -> None:
    machine = MachineFacts(spec_btdc=17.0, spec_curve=curve)
    why = assess_line(judged(HEALTHY | {"strobe_idle": 16.4, "strobe_peak": 17.5}, machine=machine))["why"]
    assert ("unless it is made to advance" in why) == unless
    set_wrong = assess_line(judged(HEALTHY | {"strobe_idle": 19.0, "strobe_peak": 19.0}, machine=machine))["why"]
    assert "unless" not in set_wrong


def test_an_engine_that_is_not_run_in_is_rung_about_whatever_that_costs() -> None:
    judgement = judged(HEALTHY, remarks=("not-run-in",), costs=Costs(9000, 0, 10**6, 75))
    assert (judgement.route, judgement.why) == ("phone-first", KeptOffTheRollers(("remarks=not-run-in",)))
    why = assess_line(judgement)["why"]
    assert "remarks=not-run-in" in why
    assert "how far has it run" in why.replace("how far it has run", "how far has it run")


@pytest.mark.parametrize("answers", [{}, {"answers": None}])
@pytest.mark.parametrize("booked", ["set-up", "power-run"])
def test_a_sheet_with_no_answer_at_all_is_rung_about(answers: dict[str, Any], booked: str) -> None:
    judgement = judged({}, booked=booked, costs=FREE_SLOT)
    assert (judgement.route, judgement.why) == ("phone-first", KeptOffTheRollers(()))
    assert judgement.ask_next is not None
    assert judged({}, booked=booked, unsure=frozenset({"trouble"}), costs=FREE_SLOT).route == "phone-first"


@pytest.mark.parametrize("more", [{}, {"remarks": ("not-run-in", "no-exhaust")}, {"heard": clip(0.95)}])
def test_a_bench_visit_stays_on_the_bench(more: dict[str, Any]) -> None:
    judgement = judged({}, booked="bench", **more)
    assert (judgement.route, judgement.why) == ("fix-first", BookedForTheBench())


def test_it_comes_before_merely_rich_and_after_do_not_run() -> None:
    assert isinstance(judged(RICH).why, RichSetUp)
    assert isinstance(judged(RICH, remarks=("no-exhaust",)).why, KeptOffTheRollers)
    assert judged(RICH | {"pinking": "yes"}, remarks=("no-exhaust",)).route == "do-not-run"


def test_where_the_bench_is_cheaper_than_a_call_it_says_so_with_the_reason() -> None:
    judgement = judged({"rev_out": "ceiling"}, heard=clip(0.9))
    assert judgement.route == "fix-first"
    why = assess_line(judgement)["why"]
    assert why.startswith("Not roller-ready because of heard=breaks-down; fix first is ")
    assert "pence cheaper than phone first" in why


def test_without_any_of_it_the_costs_decide() -> None:
    assert isinstance(judged(HEALTHY).why, Cheapest)
