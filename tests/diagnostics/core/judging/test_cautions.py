"""Each caution on its own, at both sides of its limit: in a small bank a fault from 0.15 on, ignition above 0.3.

Common practice, no source.
"""

from __future__ import annotations

from typing import Any

import pytest

from diagnostics.core.findings import ClipVerdict, MachineFacts
from diagnostics.core.judging.cautions import cautions_of
from diagnostics.core.judging.judgement import BookedForTheBench, Caution, Stopped
from diagnostics.core.judging.routing import Route
from tests.diagnostics.core.small_banks import case_of, small_bank

BANK = small_bank({"a": 0.1}, {"sign": ({"no": 0.9, "yes": 0.1}, {"a": {"yes": 0.5}})})
FUEL = {"ignition": 0.1, "fuel-air": 0.5, "mechanical": 0.2, "nothing-wrong": 0.4}
BREAKS_DOWN = ClipVerdict("breaks-down", 0.9, 8000.0)


def given(
    *stops: str, chances: dict[str, float] | None = None, groups: dict[str, float] = FUEL, **case: Any
) -> tuple[Caution, ...]:
    why = Stopped(stops) if stops else BookedForTheBench()
    route = Route("fix-first", why, 0.5, 0.4, {})
    return cautions_of(BANK, case_of(BANK, {}, **case), route, chances or {}, groups)


def test_a_machine_with_nothing_special_gets_no_caution() -> None:
    assert given() == ()


def test_what_a_rule_stops_is_cautioned_and_a_wrong_mix_is_drained_too() -> None:
    assert given("nipped=yes") == (Caution.STOPPED,)
    assert given("nipped=yes", "fuel=wrong-mix") == (Caution.STOPPED, Caution.DRAIN)


def test_a_leak_is_cautioned_and_no_other_remark() -> None:
    assert given("remarks=leaks-petrol", remarks=("leaks-petrol",)) == (Caution.STOPPED, Caution.LEAK)
    assert given(remarks=("not-run-in", "no-exhaust", "brakes-or-tyres")) == ()


@pytest.mark.parametrize(
    ("fault", "caution"),
    [("flywheel-key", Caution.FLYWHEEL), ("rich-otherwise", Caution.RICH_OTHERWISE)],
)
def test_a_fault_is_cautioned_from_the_bank_s_chance_on(fault: str, caution: Caution) -> None:
    assert given(chances={fault: 0.15}) == (caution,)
    assert given(chances={fault: 0.149}) == ()


def test_smaller_jets_are_warned_of_where_ignition_is_the_likeliest_group_even_at_a_tie() -> None:
    likeliest = {"ignition": 0.2, "fuel-air": 0.2, "mechanical": 0.1, "nothing-wrong": 0.6}
    assert given(groups=likeliest) == (Caution.NO_SMALLER_JETS,)
    assert given(groups=likeliest | {"mechanical": 0.21}) == ()


def test_smaller_jets_are_also_warned_of_where_ignition_is_likely_behind_another_group() -> None:
    assert given(groups=FUEL | {"ignition": 0.301}) == (Caution.NO_SMALLER_JETS,)
    assert given(groups=FUEL | {"ignition": 0.3}) == ()


def test_a_limiter_is_warned_of_only_for_a_heard_ceiling_on_a_machine_of_unknown_speed() -> None:
    assert given(heard=BREAKS_DOWN) == (Caution.LIMITER,)
    assert given(heard=BREAKS_DOWN, machine=MachineFacts(design_rpm=9000.0)) == ()
    assert given(heard=ClipVerdict("revs-out", 0.9)) == ()


def test_an_automatic_and_a_four_stroke_are_cautioned_as_such() -> None:
    assert given(machine=MachineFacts(gearbox="automatic")) == (Caution.AUTOMATIC,)
    assert given(machine=MachineFacts(fires_per_turn=0.5)) == (Caution.FOUR_STROKE,)


def test_all_cautions_together_come_gravest_first() -> None:
    everything = given(
        "fuel=wrong-mix",
        chances={"flywheel-key": 1.0, "rich-otherwise": 1.0},
        groups=FUEL | {"ignition": 0.9},
        heard=BREAKS_DOWN,
        machine=MachineFacts(gearbox="automatic", fires_per_turn=0.5),
        remarks=("leaks-petrol",),
    )
    assert everything == tuple(Caution)
