"""A number moved the quick way turns the routes that a bank with that number would turn."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diagnostics.core.assess import assess
from diagnostics.core.bank.bank import Bank
from diagnostics.reads.bank import the_bank
from tests.bench.sensitivity import Routes, Turned, cases_of, with_link


@pytest.fixture(scope="module")
def routes() -> Routes:
    written, drawn = cases_of(the_bank(), 20)
    return Routes(the_bank(), written[:30], drawn)


def by_judging_again(routes: Routes, bank: Bank) -> Turned:
    turned = [
        place for place, case in enumerate(routes.cases) if assess(bank, case).route != assess(the_bank(), case).route
    ]
    written = sum(place < routes.written for place in turned)
    return Turned(written, len(turned) - written)


@pytest.mark.parametrize("factor", [0.25, 4.0])
def test_a_base_rate_turns_what_it_turns_in_a_bank_of_its_own(routes: Routes, factor: float) -> None:
    bank = the_bank()
    faults = tuple(replace(f, chance=f.chance * factor) if f.id == "ht-side" else f for f in bank.faults)
    judged = by_judging_again(routes, replace(bank, faults=faults))
    assert routes.by_rate("ht-side", factor) == judged
    assert judged.both


@pytest.mark.parametrize(
    ("question", "fault", "answer"), [("rev_out", "main-jet-rich", "smoky"), ("trouble", "clutch-slip", "slips")]
)
def test_a_link_turns_what_it_turns_in_a_bank_of_its_own(
    routes: Routes, question: str, fault: str, answer: str
) -> None:
    bank = the_bank()
    moved = with_link(bank.question(question), fault, answer, 0.1)
    questions = tuple(moved if q.id == question else q for q in bank.questions)
    judged = by_judging_again(routes, replace(bank, questions=questions))
    assert routes.by_link(bank.question(question), fault, answer, 0.1) == judged
