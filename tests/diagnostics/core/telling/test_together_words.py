"""Answers that point to a fault together, and contradictions, as whole sentences."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diagnostics.core.judging.speak_together import ADD_UP, SAY_THE_SAME, STRENGTHEN, Together
from diagnostics.core.telling.together_words import contradiction_words, together_words
from diagnostics.reads.bank import the_bank

BANK = the_bank()
DAMP, EARTHS, RATTLES = (
    "“Is it worse in rain or damp? Yes”",
    f"“{BANK.question('earths').ask} {BANK.question('earths').answers[-1].say}”",
    "“Does it rattle or pink under load? Yes”",
)
EARTHS_ID = f"earths={BANK.question('earths').answers[-1].id}"
SUPPORT = f"{DAMP} and {EARTHS} point to it together: 62% with them, 8% without."


def together() -> Together:
    values = {"faults": ("ht-side",), "answers": ("damp=yes", EARTHS_ID), "against": (), "how": ADD_UP}
    return Together(chance=0.624, without=0.08, **values)


@pytest.mark.parametrize(
    ("how", "more"),
    [
        (ADD_UP, ""),
        (SAY_THE_SAME, " They partly say the same thing, so leaving one out changes little."),
        (STRENGTHEN, " Each makes the other stronger."),
    ],
)
def test_answers_that_point_together_are_said_with_what_they_are_worth_and_how(how: str, more: str) -> None:
    faults, support = together_words(BANK, replace(together(), how=how))
    assert faults == BANK.fault("ht-side").say
    assert support == SUPPORT + more


def test_several_faults_are_named_with_or_and_several_answers_as_a_list() -> None:
    found = replace(together(), faults=("ht-side", "air-leak"), answers=("damp=yes", EARTHS_ID, "pinking=yes"))
    faults, support = together_words(BANK, found)
    assert faults == f"{BANK.fault('ht-side').say} or {BANK.fault('air-leak').say}"
    assert support.startswith(f"{DAMP}, {EARTHS} and {RATTLES} point to it together: ")


def test_what_points_away_is_said_last_for_one_answer_and_for_two() -> None:
    one, two = (
        together_words(BANK, replace(together(), against=ids))[1]
        for ids in (("pinking=yes",), ("pinking=yes", "damp=yes"))
    )
    assert one == f"{SUPPORT} {RATTLES} points away from it."
    assert two == f"{SUPPORT} {RATTLES} and {DAMP} point away from it."


def test_a_contradiction_names_both_answers_and_says_what_to_do() -> None:
    assert contradiction_words(BANK, ("damp=yes", "pinking=yes")) == (
        f"{DAMP} and {RATTLES} contradict each other: one of them is a slip, or two things are wrong. Ask again."
    )
