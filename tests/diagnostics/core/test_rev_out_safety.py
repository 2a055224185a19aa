"""When an owner must not do the rev-out: each reason in its own sentence. Common practice, no source."""

from __future__ import annotations

import pytest

from diagnostics.core.findings import MachineFacts
from diagnostics.core.remarks import REMARKS
from diagnostics.core.rev_out_safety import (
    REMARK_OF,
    RUNS_THE_ENGINE,
    TICKS,
    TICKS_THAT_RULE_IT_OUT,
    is_too_hard_to_ask_for,
    why_not,
    why_not_run,
)
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.small_banks import case_of

AUTOMATIC = MachineFacts(gearbox="automatic")
NIPPED, RATTLES = "It has nipped up since it last ran right.", "It rattles or pinks under load."
NO_NEUTRAL = "It is an automatic and has no neutral: we do this test here, with the wheel clear and guarded."
MAY_HARM = "What you’ve told us so far suggests that full throttle may harm it."


@pytest.mark.parametrize(
    ("answers", "reasons"),
    [
        ({}, ()),
        ({"nipped": "no", "pinking": "no", "plug": "tan"}, ()),
        ({"nipped": "yes"}, (NIPPED,)),
        ({"pinking": "yes"}, (RATTLES,)),
        ({"pinking": "yes", "nipped": "yes"}, (NIPPED, RATTLES)),
        ({"plug": "speckled"}, (MAY_HARM,)),
        ({"plug": "speckled", "nipped": "yes"}, (NIPPED,)),
    ],
)
def test_what_was_answered_rules_the_rev_out_out(answers: dict[str, str], reasons: tuple[str, ...]) -> None:
    assert why_not(case_of(the_bank(), answers)) == reasons


@pytest.mark.parametrize(
    ("remark", "reason"),
    [
        ("leaks-petrol", "It leaks petrol."),
        ("not-run-in", "A cylinder or piston is not yet run in."),
        ("no-exhaust", "There is no exhaust on it."),
    ],
)
def test_a_remark_that_was_ticked_rules_the_rev_out_out(remark: str, reason: str) -> None:
    case = case_of(the_bank(), {}, remarks=(remark,))
    assert why_not(case) == (reason,)
    assert why_not_run(case) == (reason,)
    asked_for = [question for question in RUNS_THE_ENGINE if not is_too_hard_to_ask_for(question, case)]
    assert asked_for == ["strobe_idle"]


def test_brakes_and_tyres_leave_the_rev_out_alone_since_the_wheel_stands_still() -> None:
    case = case_of(the_bank(), {}, remarks=("brakes-or-tyres",))
    assert why_not(case) == ()
    assert why_not_run(case) == ()


def test_every_tick_is_a_remark_or_says_that_it_is_an_automatic() -> None:
    assert list(REMARK_OF.values()) == list(REMARKS)
    assert list(TICKS) == [*REMARK_OF, "is_automatic"]
    assert set(TICKS_THAT_RULE_IT_OUT) == set(TICKS) - {"brakes_or_tyres"}


def test_a_person_who_stopped_it_is_reason_enough_where_nothing_else_was_said() -> None:
    assert why_not(case_of(the_bank(), {}), is_stopped=True) == (MAY_HARM,)
    assert why_not(case_of(the_bank(), {"nipped": "yes"}), is_stopped=True) == (NIPPED,)
    leaking = case_of(the_bank(), {}, remarks=("leaks-petrol",))
    assert why_not(leaking, is_stopped=True) == ("It leaks petrol.",)


def test_an_automatic_is_named_and_only_the_rev_out_needs_its_neutral() -> None:
    case = case_of(the_bank(), {}, machine=AUTOMATIC)
    assert why_not(case) == (NO_NEUTRAL,)
    assert why_not_run(case) == ()


def test_what_speaks_against_running_the_engine_speaks_against_every_test_with_it() -> None:
    case = case_of(the_bank(), {"nipped": "yes"}, machine=AUTOMATIC, remarks=("leaks-petrol",))
    assert why_not_run(case) == (NIPPED, "It leaks petrol.")
    assert why_not_run(case_of(the_bank(), {}), is_stopped=True) == (MAY_HARM,)


def test_several_reasons_come_gearbox_first_then_answers_then_remarks() -> None:
    remarks = ("leaks-petrol", "no-exhaust")
    case = case_of(the_bank(), {"nipped": "yes"}, machine=AUTOMATIC, remarks=remarks)
    assert why_not(case) == (
        NO_NEUTRAL,
        NIPPED,
        "It leaks petrol.",
        "There is no exhaust on it.",
    )
