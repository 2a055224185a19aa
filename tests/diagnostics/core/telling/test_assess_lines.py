"""The command's own sentence: findings as they are given, pence and per cent. Whole lines: tests/golden."""

from dataclasses import replace

import pytest

from diagnostics.core.judging.judgement import AskNext, BenchStep, Caution, Cheapest, Reason
from diagnostics.core.telling.assess_lines import assess_line
from diagnostics.core.telling.judgement_words import CAUTION_WORDS
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


def test_the_line_has_the_keys_of_the_manual_and_each_figure_with_its_decimals():
    """Chances to twelve decimals, weights and minutes to six, pence to two."""
    third = 100 / 3
    judgement = replace(
        judged(),
        case="7",
        route="phone-first",
        why=Cheapest(third, "fix-first"),
        spoilt_chance=0.25,
        chances={"air-leak": 1 / 3},
        groups={"fuel-air": 2 / 3},
        because=(Reason("damp=yes", "fuel-air", -2 / 3),),
        ask_next=AskNext("plug", third),
        bench_order=(BenchStep("look", third, 1 / 3),),
        expected_bench_minutes=2 / 3,
        cautions=(Caution.DRAIN, Caution.LIMITER),
    )
    assert assess_line(judgement) == {
        "case": "7",
        "route": "phone-first",
        "why": "Phone first is 33 pence cheaper than fix first: the chance that the visit would be spoilt is 25%.",
        "chances": {"air-leak": 0.333333333333},
        "groups": {"fuel-air": 0.666666666667},
        "because": [{"answer": "damp=yes", "towards": "fuel-air", "weight": -0.666667}],
        "ask_next": {"question": "plug", "pence": 33.33},
        "bench_order": [{"do": "look", "minutes": 33.333333, "finds": 0.333333}],
        "expected_bench_minutes": 0.666667,
        "cautions": [CAUTION_WORDS[Caution.DRAIN], CAUTION_WORDS[Caution.LIMITER]],
    }
    assert assess_line(replace(judgement, ask_next=None))["ask_next"] is None
