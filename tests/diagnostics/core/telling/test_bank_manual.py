"""The bank's questions and faults as the manual of `assess` lists them."""

from __future__ import annotations

import re

from diagnostics.core.telling.bank_manual import bank_in_words, question_lines
from diagnostics.reads.bank import the_bank


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
