"""The bank's questions and faults as the manual of `assess` lists them."""

from __future__ import annotations

import re
from dataclasses import replace

from diagnostics.core.bank.bank import Hearing
from diagnostics.core.telling.bank_manual import bank_in_words, question_lines
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.small_banks import small_bank


def test_what_a_fault_spoils_is_said_only_where_it_is_not_both_roller_visits():
    text = bank_in_words(the_bank())["faults"]
    ends = {
        fault.id: re.search(rf"^ +{fault.id} .*?(\[.*\])?$", text, re.MULTILINE).group(1) for fault in the_bank().faults
    }
    assert ends["ht-side"] is None
    assert ends["main-jet-rich"] == "[spoils only power-run]"
    assert ends["idle-circuit"] == "[spoils nothing]"


def test_a_question_says_when_it_takes_a_number_or_several_answers():
    bank = the_bank()
    assert question_lines(bank.question("strobe_idle"))[1:] == ["      a number from -10 to 60, degrees BTDC"]
    assert question_lines(bank.question("changed"))[0].endswith("(one or several; nothing only by itself)")
    assert question_lines(bank.question("damp")) == [
        "  damp: Is it worse in rain or damp?",
        "      no   No",
        "      yes  Yes",
    ]


def test_every_placeholder_of_the_manual_is_filled_from_the_bank():
    """The figures of `small_banks`; the limiter's shares are written as percentages, all others as they are."""
    maybe, even = {"no": 0.9, "maybe": 0.1}, {"x": 0.5, "y": 0.5}
    asked = {"sign": (maybe, {"c": {"maybe": 0.5}}), "more": (even, {})}
    small = small_bank({"ab": 0.1, "c": 0.05}, asked)
    faults = (replace(small.faults[0], group="mechanical", spoils=frozenset({"bench", "set-up"})), small.faults[1])
    bank = replace(small, faults=faults, hearing=Hearing(0.97, 0.95, 0.9, 0.5, 0.95, 0.9, 0.8))
    assert bank_in_words(bank) == {
        "questions": "  sign: sign?\n      no     no\n      maybe  maybe\n  more: more?\n      x  x\n      y  y",
        "faults": (
            "  ignition\n      c  c [spoils only set-up]\n  fuel-air\n"
            "  mechanical\n      ab  ab [spoils only set-up and bench]"
        ),
        "costs": "slot_lost 9000, bench_check 2500, call 600, bench_minute 75",
        "most_at_once": "2",
        "merely_rich": "0.5",
        "settled_by_call": "0.4",
        "settled_by_call_at_most": "0.8",
        "limiter_from": "95%",
        "limiter_not_below": "90%",
        "revs_out_from": "90%",
        "revs_out_not_below": "80%",
        "ignition_worth_a_caution": "0.3",
    }
