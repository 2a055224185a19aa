"""The bank as values: how its parts are found and said."""

from __future__ import annotations

import pytest

from diagnostics.core.bank.bank import Question
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.small_banks import small_bank

ASKED: dict[str, tuple[dict[str, float], dict[str, dict[str, float]]]] = {
    "noise": ({"quiet": 0.9, "loud": 0.1}, {"a": {"loud": 0.5}}),
    "smell": ({"none": 0.5, "petrol": 0.5}, {}),
}
BANK = small_bank({"a": 0.1, "b": 0.2}, ASKED)


def question(name: str) -> Question:
    return the_bank().question(name)


def test_faults_and_questions_are_found_by_their_id() -> None:
    assert BANK.fault_ids == ("a", "b")
    assert [BANK.fault(fault).chance for fault in BANK.fault_ids] == [0.1, 0.2]
    assert [BANK.question(asked).ask for asked in ASKED] == ["noise?", "smell?"]
    with pytest.raises(KeyError):
        BANK.fault("c")
    with pytest.raises(KeyError):
        BANK.question("c")


def test_answers_keep_their_order_and_are_said_in_their_words() -> None:
    assert BANK.question("noise").answer_ids == ("quiet", "loud")
    assert (question("damp").say("yes"), question("damp").say("no")) == ("Yes", "No")
    assert question("strobe_idle").say("17") == "17"


def test_only_what_was_changed_and_how_it_came_are_the_machine_s_story() -> None:
    assert [asked.id for asked in the_bank().questions if asked.is_story] == ["changed", "came_on"]
