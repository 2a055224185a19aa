"""The command's own sentence: findings as they are given, pence and per cent. Whole lines: tests/golden."""

from dataclasses import replace

import pytest

from diagnostics.core.judging.judgement import Cheapest
from diagnostics.core.telling.assess_lines import assess_line
from tests.diagnostics.core.telling.judged import RICH, judged


def why(judgement):
    return assess_line(judgement)["why"]


def test_do_not_run_names_every_finding_that_fired_it():
    assert why(judged(fuel="wrong-mix", pinking="yes")) == (
        "Do not run it until the bench has looked at it: pinking=yes, fuel=wrong-mix."
    )
    assert why(judged(strobe_idle=14, strobe_peak=19.5)) == (
        "Do not run it until the bench has looked at it: strobe_idle=14, strobe_peak=19.5, "
        "unless it is made to advance."
    )


@pytest.mark.parametrize(
    ("booked", "says"), [("set-up", "that is what a set-up is for"), ("power-run", "offer a set-up instead")]
)
def test_a_plain_case_says_which(booked, says):
    judgement = judged(booked=booked, **RICH)
    assert why(judgement).startswith(f"Merely rich (chance {judgement.why.chance:.0%}): {says}")
    assert why(judged(booked="bench")) == "Booked for the bench: there is no roller slot to lose."


def test_otherwise_it_says_how_many_pence_cheaper_the_route_is_than_the_next():
    judgement = replace(judged(rev_out="ceiling"), why=Cheapest(523.4, "phone-first"), spoilt_chance=0.924)
    assert why(judgement) == (
        "Fix first is 523 pence cheaper than phone first: the chance that the visit would be spoilt is 92%."
    )
