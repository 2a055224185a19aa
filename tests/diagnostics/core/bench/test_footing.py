"""What stops a machine means for the bench, whatever figures it was found with."""

from __future__ import annotations

import pytest

from diagnostics.core.bank.bank import NUMBER
from diagnostics.core.bench.footing import OnTheBench, alike, repair_of, turn_of
from diagnostics.reads.bank import the_bank

BANK = the_bank()
FINDINGS = [f"{question.id}={answer}" for question in BANK.questions for answer in question.answer_ids]
READINGS = [f"{question.id}=19.5" for question in BANK.questions if question.kind == NUMBER]
ASKED_ABOUT = [
    (),
    ("strobe_idle=14.5", "strobe_peak=18"),
    ("remark=leaks-petrol",),
    *((one,) for one in FINDINGS + READINGS),
]


@pytest.mark.parametrize("traits", [frozenset(), frozenset({"points", "pump"}), frozenset({"automatic"})])
def test_what_is_alike_bars_and_brings_forward_the_same_steps_and_costs_the_same(traits: frozenset[str]) -> None:
    for stops in ASKED_ABOUT:
        standing = OnTheBench(traits, stops)
        same = alike(BANK, standing)
        assert [turn_of(step, same) for step in BANK.steps] == [turn_of(step, standing) for step in BANK.steps], stops
        assert all(repair_of(one, same) == repair_of(one, standing) for one in BANK.repairs.values()), stops


def test_two_readings_are_alike_and_a_machine_that_is_stopped_stays_stopped() -> None:
    one, other = (alike(BANK, OnTheBench(stops=(f"strobe_peak={degrees}",))) for degrees in ("19.5", "21"))
    assert one == other
    assert one.stops
    assert alike(BANK, OnTheBench()) == OnTheBench()
    assert alike(BANK, OnTheBench(stops=("b=1", "a=2"))) == alike(BANK, OnTheBench(stops=("a=3", "b=1")))
