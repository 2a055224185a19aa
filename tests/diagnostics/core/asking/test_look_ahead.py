"""Two questions ahead, against a plain loop over both answers."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from diagnostics.core.asking.look_ahead import best_of_two_steps
from diagnostics.core.asking.worth import answer_rows, is_open, worth_most
from diagnostics.core.bank.bank import Bank
from diagnostics.core.findings import Case, Costs
from diagnostics.core.judging.cells import sums_of
from diagnostics.core.judging.evidence import gather
from diagnostics.core.judging.inference import model_of
from diagnostics.core.judging.routing import route_costs_pence, settled_share, spoils_mask
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.small_banks import case_of, small_bank

HALF = {"no": 0.9, "yes": 0.1}
FAULTS = {"a": 0.3, "b": 0.3}
BANK = small_bank(
    FAULTS,
    {
        "one": (HALF, {"a": {"yes": 0.8}}),
        "two": (HALF, {"b": {"yes": 0.8}}),
        "three": ({"no": 0.5, "maybe": 0.3, "yes": 0.2}, {"a": {"maybe": 0.3}, "b": {"yes": 0.6}}),
    },
)


def plain(bank: Bank, case: Case) -> str | None:
    """After each first answer the cheapest of: stop there, or ask any other question and then stop."""
    model = model_of(bank)
    weight, spoils = gather(model, case).weight(), spoils_mask(model, case.booked)
    settled = settled_share(model, case)

    def pence(of_branch: Any) -> float:
        chance, spoilt = float(of_branch.sum()), float(of_branch @ spoils)
        return chance * min(route_costs_pence(case.costs, spoilt / chance, settled).values())

    now = pence(weight)
    asked = [q for q in bank.questions if is_open(q, case) and q.cost_pence < now and not q.of_machine]
    usable = [(q, answer_rows(model, case, q)) for q in asked]
    worth = {}
    for first, rows in usable:
        assert rows is not None
        after = 0.0
        for row in rows:
            branch = weight * row
            others = [
                sum(pence(branch * other) for other in others) + float(branch.sum()) * second.cost_pence
                for second, others in usable
                if second is not first and others is not None
            ]
            after += min([pence(branch), *others])
        worth[first.id] = now - after - first.cost_pence
    best = max(worth, key=lambda one: worth[one], default=None)
    return best if best is not None and worth[best] > 0 else None


CASES = [
    pytest.param(BANK, answers, {"costs": Costs(slot, bench, call, 75)}, id=f"{answers} {slot} {bench} {call}")
    for answers in ({}, {"one": "yes"}, {"three": "no"}, {"one": "no", "two": "no"})
    for slot, bench, call in ((9000, 2500, 600), (400, 300, 60), (100, 100, 100), (9000, 9000, 9000), (5, 9000, 9000))
] + [
    pytest.param(the_bank(), answers, more, id=f"the bank, {answers}")
    for answers, more in (
        ({}, {}),
        ({"trouble": "bogs", "where": "top"}, {"booked": "power-run"}),
        ({"trouble": "none", "where": "everywhere", "nipped": "no", "pinking": "no", "rev_out": "clean"}, {}),
    )
]


@pytest.mark.parametrize(("bank", "answers", "more"), CASES)
def test_the_best_first_of_two_questions_is_that_of_a_plain_loop(
    bank: Bank, answers: dict[str, str], more: dict[str, Any]
) -> None:
    case = case_of(bank, answers, **more)
    if bank is not BANK:
        case = Case(case.case, case.machine, case.booked, case.costs, case.answers, strobe_and_story(bank, case))
    assert best_of_two_steps(model_of(bank), case, gather(model_of(bank), case)) == plain(bank, case)


def strobe_and_story(bank: Bank, case: Case) -> frozenset[str]:
    """Left unsure: their answers depend on one another, so the plain loop would need more than a product."""
    kept = {question.id for question in bank.questions if question.kind == "number" or question.is_story}
    return frozenset(kept - set(case.answers))


@pytest.mark.parametrize("seed", range(40))
def test_it_agrees_with_the_plain_loop_whatever_the_costs_and_the_booking(seed: int) -> None:
    chance = np.random.default_rng(seed)
    costs = Costs(*chance.integers(1, 3000, 3).tolist(), 75)
    questions = tuple(replace(q, cost_pence=float(chance.uniform(0, 60))) for q in BANK.questions)
    faults = (BANK.faults[0], replace(BANK.faults[1], spoils=frozenset({"power-run"})))
    bank = replace(BANK, questions=questions, faults=faults)
    case = case_of(bank, {}, costs=costs, booked=str(chance.choice(["set-up", "power-run"])))
    assert best_of_two_steps(model_of(bank), case, gather(model_of(bank), case)) == plain(bank, case)


def test_two_answers_together_may_be_worth_asking_where_neither_is_alone() -> None:
    weak = {"no": 0.8, "yes": 0.2}
    bank = small_bank({"a": 0.5}, {sign: (weak, {"a": {"yes": 0.55}}) for sign in ("one", "two")})
    case = case_of(bank, {}, costs=Costs(9000, 4000, 9000, 75))
    evidence = gather(model_of(bank), case)
    [sums] = sums_of(model_of(bank), evidence.weight()[None])
    assert worth_most(evidence, sums, 0.4) is None
    assert best_of_two_steps(model_of(bank), case, evidence) == "one"


def test_nothing_is_asked_if_every_question_costs_more_than_a_wrong_route() -> None:
    case = case_of(BANK, {}, costs=Costs(1, 1, 1, 75))
    assert best_of_two_steps(model_of(BANK), case, gather(model_of(BANK), case)) is None
