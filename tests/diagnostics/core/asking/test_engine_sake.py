"""What is asked for the engine's sake: where the chance of stopping a machine is worth more than asking costs."""

from __future__ import annotations

from dataclasses import replace

from diagnostics.core.asking.engine_sake import for_the_engines_sake
from diagnostics.core.judging.evidence import gather
from diagnostics.core.judging.inference import model_of
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.small_banks import case_of


def test_the_engine_s_sake_is_worth_what_the_answer_stops_times_the_pence() -> None:
    """By hand: only two faults bring a wrong mix about, rarely, so its chance is hardly more than the background's."""
    bank = the_bank()
    case = case_of(bank, dict.fromkeys(("nipped", "pinking"), "no"))
    model = model_of(bank)
    evidence = gather(model, case)
    first = model.row["fuel", "wrong-mix"]
    chance = float(model.chance[first] @ evidence.weight())
    assert 0.03 <= chance < 0.035
    for pence, asked in ((3 / chance * 1.01, "fuel"), (3 / chance * 0.99, None)):
        dear = replace(bank, routing=replace(bank.routing, stopped_in_time_pence=pence))
        assert for_the_engines_sake(model_of(dear), case, evidence) == asked


def test_what_was_asked_is_not_asked_again_for_the_engine_s_sake() -> None:
    bank = the_bank()
    model = model_of(bank)
    case = replace(case_of(bank, {"nipped": "no", "pinking": "no"}), unsure=frozenset({"fuel", "plug"}))
    assert for_the_engines_sake(model, case, gather(model, case)) is None
