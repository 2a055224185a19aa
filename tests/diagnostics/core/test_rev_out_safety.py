"""When an owner must not do the rev-out: each reason in its own sentence. Common practice, no source."""

from __future__ import annotations

import pytest

from diagnostics.core.findings import MachineFacts
from diagnostics.core.rev_out_safety import why_not
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
    assert why_not(case_of(the_bank(), answers), []) == reasons


@pytest.mark.parametrize(
    ("tick", "reason"),
    [
        ("leaks_petrol", "It leaks petrol."),
        ("not_run_in", "A cylinder or piston is not yet run in."),
        ("no_exhaust", "There is no exhaust on it."),
    ],
)
def test_a_remark_that_was_ticked_rules_the_rev_out_out(tick: str, reason: str) -> None:
    assert why_not(case_of(the_bank(), {}), [tick]) == (reason,)


def test_an_automatic_is_named_once_however_it_is_known() -> None:
    assert why_not(case_of(the_bank(), {}, machine=AUTOMATIC), ["is_automatic"]) == (NO_NEUTRAL,)
    assert why_not(case_of(the_bank(), {}), ["is_automatic"]) == ()


def test_several_reasons_come_gearbox_first_then_answers_then_remarks() -> None:
    case = case_of(the_bank(), {"nipped": "yes"}, machine=AUTOMATIC)
    assert why_not(case, ["no_exhaust", "leaks_petrol"]) == (
        NO_NEUTRAL,
        NIPPED,
        "It leaks petrol.",
        "There is no exhaust on it.",
    )
