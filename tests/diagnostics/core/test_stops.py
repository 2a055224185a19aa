"""Do not run: each rule at its limit, on both sides. Source: the manual of `assess`; common practice."""

from __future__ import annotations

from typing import Any

import pytest

from diagnostics.core.findings import MachineFacts
from diagnostics.core.stops import fired_rules, lean_signs
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.small_banks import case_of


def fired(answers: dict[str, Any], *, remarks: tuple[str, ...] = (), **machine: Any) -> list[str]:
    case = case_of(the_bank(), answers, machine=MachineFacts(**machine), remarks=remarks)
    return [finding for rule in fired_rules(case) for finding in rule.findings]


FIXED = {"spec_btdc": 17.0, "spec_curve": "fixed"}
FREE_ADVANCE = {"spec_btdc": 10.0, "spec_curve": "advancing"}
FREE_RETARD = {"spec_btdc": 20.0, "spec_curve": "retarding"}


@pytest.mark.parametrize(
    ("answers", "machine", "expected"),
    [
        ({"pinking": "yes"}, {}, ["pinking=yes"]),
        ({"pinking": "no", "nipped": "no", "plug": "tan"}, {}, []),
        ({"nipped": "yes"}, {}, ["nipped=yes"]),
        ({"plug": "speckled"}, {}, ["plug=speckled"]),
        ({"fuel": "wrong-mix"}, {}, ["fuel=wrong-mix"]),
        ({"fuel": "wrong-mix"}, {"fires_per_turn": 0.5}, []),
        ({"fuel": "wrong-mix"}, {"oiling": "pump"}, []),
        ({"fuel": "wrong-mix"}, {"oiling": "mixed"}, ["fuel=wrong-mix"]),
        # the strobe's `advances` with a drift over 2, exact in decimal; the spec is not known
        ({"strobe_idle": 16.9, "strobe_peak": 18.9}, {}, []),
        ({"strobe_idle": 16.9, "strobe_peak": 18.91}, {}, ["strobe_idle=16.9", "strobe_peak=18.91"]),
        # or with a drift over 1 where it is more than 1 early at peak as well
        ({"strobe_idle": 17.1, "strobe_peak": 18.1}, FIXED, []),
        ({"strobe_idle": 17.0, "strobe_peak": 18.1}, FIXED, ["strobe_idle=17", "strobe_peak=18.1"]),
        ({"strobe_idle": 16.9, "strobe_peak": 18.0}, FIXED, []),
        ({"strobe_idle": 15.0, "strobe_peak": 17.0}, FIXED, []),
        ({"strobe_idle": 14.9, "strobe_peak": 17.0}, FIXED, ["strobe_idle=14.9", "strobe_peak=17"]),
        ({"strobe_idle": 10.0, "strobe_peak": 25.1}, {"spec_curve": "advancing", "curve_deg": 14.0}, []),
        ({"strobe_idle": 17.0, "strobe_peak": 16.0}, FIXED, []),
        ({"strobe_idle": 14.0, "strobe_peak": 19.5}, FIXED, ["strobe_idle=14", "strobe_peak=19.5"]),
        ({"strobe_idle": 10.0, "strobe_peak": 24.0}, FREE_ADVANCE, []),
        ({"strobe_idle": 10.0, "strobe_peak": 24.0}, FREE_ADVANCE | {"curve_deg": 14.0}, []),
        (
            {"strobe_idle": 10.0, "strobe_peak": 25.1},
            FREE_ADVANCE | {"curve_deg": 14.0},
            ["strobe_idle=10", "strobe_peak=25.1"],
        ),
        ({"strobe_idle": 20.0, "strobe_peak": 12.0}, FREE_RETARD, []),
        ({"strobe_idle": 18.0, "strobe_peak": 19.5}, FREE_RETARD, []),
        ({"strobe_idle": 20.0, "strobe_peak": 21.2}, FREE_RETARD, ["strobe_idle=20", "strobe_peak=21.2"]),
        ({"strobe_idle": 18.0, "strobe_peak": 20.1}, FREE_RETARD, ["strobe_idle=18", "strobe_peak=20.1"]),
        (
            {"strobe_idle": 20.0, "strobe_peak": 15.1},  # drift 1.1 beside its own, and 1.1 early at peak
            FREE_RETARD | {"curve_deg": 6.0},
            ["strobe_idle=20", "strobe_peak=15.1"],
        ),
        # more than 3 degrees early at peak
        ({"strobe_peak": 20.0}, FIXED, []),
        ({"strobe_peak": 20.1}, FIXED, ["strobe_peak=20.1"]),
        ({"strobe_peak": 20.1}, {}, []),
        ({"strobe_peak": 23.0}, FREE_RETARD, []),
        ({"strobe_peak": 23.5}, FREE_RETARD, ["strobe_peak=23.5"]),
        ({"strobe_peak": 17.5}, FREE_RETARD | {"curve_deg": 6.0}, ["strobe_peak=17.5"]),
        ({"strobe_peak": 40.0}, FREE_ADVANCE, []),
        ({"strobe_peak": 27.1}, FREE_ADVANCE | {"curve_deg": 14.0}, ["strobe_peak=27.1"]),
        # more than 3 degrees early at tickover, no reading at peak, fixed
        ({"strobe_idle": 20.0}, FIXED, []),
        ({"strobe_idle": 20.1}, FIXED, ["strobe_idle=20.1"]),
        ({"strobe_idle": 20.1}, {"spec_btdc": 17.0}, ["strobe_idle=20.1"]),
        ({"strobe_idle": 25.0}, FREE_RETARD, []),
        ({"strobe_idle": 21.0, "strobe_peak": 20.0}, FIXED, []),
        # two different signs of lean running
        ({"plug": "white"}, {}, []),
        ({"changed": ["exhaust", "air-filter"]}, {}, []),
        ({"changed": ["exhaust", "jets-smaller"]}, {}, ["changed=jets-smaller", "changed=exhaust"]),
        ({"plug": "white", "falls_back": "hangs"}, {}, ["plug=white", "falls_back=hangs"]),
        ({"plug": "white", "trouble": "runs-hot"}, {}, ["plug=white", "trouble=runs-hot"]),
        ({"plug": "white", "half_choke": "better"}, {}, []),
        ({"plug": "white", "half_choke": "better", "where": "middle"}, {}, []),
        (
            {"plug": "white", "half_choke": "better", "where": "everywhere"},
            {},
            ["plug=white", "half_choke=better", "where=everywhere"],
        ),
        ({"plug": "white", "fuel_flow": "weak", "where": "everywhere"}, {}, []),
        ({"plug": "white", "fuel_flow": "weak", "where": "top"}, {}, ["plug=white", "fuel_flow=weak", "where=top"]),
        (
            {"half_choke": "better", "fuel_flow": "weak", "where": "top"},
            {},
            ["half_choke=better", "where=top", "fuel_flow=weak"],
        ),
    ],
)
def test_a_rule_fires_exactly_where_the_manual_says(
    answers: dict[str, Any], machine: dict[str, Any], expected: list[str]
) -> None:
    assert fired(answers, **machine) == expected


def test_leaking_petrol_stops_it_and_no_other_remark_does() -> None:
    assert fired({}, remarks=("leaks-petrol",)) == ["remarks=leaks-petrol"]
    assert fired({"nipped": "yes"}, remarks=("leaks-petrol",)) == ["remarks=leaks-petrol", "nipped=yes"]
    assert fired({}, remarks=("not-run-in", "no-exhaust", "brakes-or-tyres")) == []


def test_all_findings_that_fired_are_named_together() -> None:
    assert fired({"pinking": "yes", "plug": "white", "changed": ["air-filter"]}) == [
        "pinking=yes",
        "plug=white",
        "changed=air-filter",
    ]


@pytest.mark.parametrize(("curve", "unless"), [(None, True), ("fixed", False)])
def test_a_missing_curve_counts_as_fixed_and_says_so(curve: str | None, unless: bool) -> None:
    readings = {"strobe_idle": 14.0, "strobe_peak": 19.5}
    case = case_of(the_bank(), readings, machine=MachineFacts(spec_btdc=17.0, spec_curve=curve))
    assert {rule.unless_made_to_advance for rule in fired_rules(case)} == {unless}


@pytest.mark.parametrize(
    ("readings", "rules"),
    [  # spec 17: 5.5 degrees of advance; 3.5 early at peak; both; 4 early at tickover with no other reading
        ({"strobe_idle": 14.0, "strobe_peak": 19.5}, [("strobe_idle=14", "strobe_peak=19.5")]),
        ({"strobe_idle": 20.5, "strobe_peak": 20.5}, [("strobe_peak=20.5",)]),
        ({"strobe_idle": 14.0, "strobe_peak": 20.5}, [("strobe_idle=14", "strobe_peak=20.5"), ("strobe_peak=20.5",)]),
        ({"strobe_idle": 21.0}, [("strobe_idle=21",)]),
    ],
)
@pytest.mark.parametrize(("curve", "unless"), [(None, True), ("fixed", False)])
def test_each_rule_of_the_strobe_is_excused_only_where_the_curve_is_not_known(
    readings: dict[str, Any], rules: list[tuple[str, ...]], curve: str | None, unless: bool
) -> None:
    case = case_of(the_bank(), readings, machine=MachineFacts(spec_btdc=17.0, spec_curve=curve))
    assert [(rule.findings, rule.unless_made_to_advance) for rule in fired_rules(case)] == [
        (findings, unless) for findings in rules
    ]


def test_rules_that_have_nothing_to_do_with_the_timing_are_never_excused_by_it() -> None:
    answers = {"pinking": "yes", "fuel": "wrong-mix", "plug": "white", "falls_back": "hangs"}
    assert [(rule.findings, rule.unless_made_to_advance) for rule in fired_rules(case_of(the_bank(), answers))] == [
        (("pinking=yes",), False),
        (("fuel=wrong-mix",), False),
        (("plug=white", "falls_back=hangs"), False),
    ]


@pytest.mark.parametrize(
    ("where", "signs"),
    [
        ({"where": "top"}, [("half_choke=better", "where=top"), ("fuel_flow=weak", "where=top")]),
        ({"where": "everywhere"}, [("half_choke=better", "where=everywhere")]),
        ({"where": "middle"}, []),
        ({}, []),
    ],
)
def test_better_with_half_choke_is_lean_at_the_top_and_everywhere_and_weak_flow_at_the_top(
    where: dict[str, Any], signs: list[tuple[str, ...]]
) -> None:
    assert lean_signs(case_of(the_bank(), {"half_choke": "better", "fuel_flow": "weak"} | where)) == signs


def test_a_curve_that_retards_by_its_own_size_is_early_three_degrees_above_it() -> None:
    # spec 20 at tickover, 6 back at peak: 14 is right there, 17 is the limit
    retards = FREE_RETARD | {"curve_deg": 6.0}
    assert fired({"strobe_peak": 17.0}, **retards) == []
    assert fired({"strobe_peak": 17.1}, **retards) == ["strobe_peak=17.1"]


def test_a_curve_that_advances_by_its_own_size_is_early_three_degrees_beyond_it() -> None:
    # spec 10 at tickover, 14 on at peak: 24 is right there, 27 is the limit
    advances = FREE_ADVANCE | {"curve_deg": 14.0}
    assert fired({"strobe_peak": 27.0}, **advances) == []
    assert fired({"strobe_idle": 13.1}, **FREE_ADVANCE) == []


def test_a_drift_of_one_degree_on_a_retarding_curve_of_unknown_size_is_let_pass() -> None:
    assert fired({"strobe_idle": 18.0, "strobe_peak": 19.0}, **FREE_RETARD) == []
