"""The worth of a question, against the slow twin: every set of faults and every answer in plain loops."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from diagnostics.core.assess import assess
from diagnostics.core.bank.bank import Bank, Question
from diagnostics.core.bank.reader import read_bank
from diagnostics.core.findings import Case, ClipVerdict, MachineFacts
from diagnostics.core.judging.inference import model_of
from diagnostics.core.judging.judgement import RichPowerRun
from diagnostics.core.judging.routing import route_costs_pence, settled_share
from diagnostics.reads.bank import FIRST_EDITION, the_bank
from tests.diagnostics.core.plain_judge import answer_chance, plain_weights
from tests.diagnostics.core.small_banks import case_of


def bank_of_pairs() -> Bank:
    """The bank with two faults at once at most: small enough for plain loops over every answer."""
    return read_bank(FIRST_EDITION.read_text(encoding="utf-8").replace("most_at_once = 4", "most_at_once = 2"))


def plain_cost(bank: Bank, case: Case, weights: dict[tuple[str, ...], float]) -> float:
    total = math.fsum(weights.values())
    spoils = {fault.id for fault in bank.faults if case.booked in fault.spoils}
    spoilt = math.fsum(weight for faults, weight in weights.items() if spoils & set(faults)) / total
    settled = settled_share(model_of(bank), case)
    return total * min(route_costs_pence(case.costs, spoilt, settled).values())


def plain_worth(bank: Bank, case: Case, question: Question, weights: dict[tuple[str, ...], float]) -> float:
    after = 0.0
    for answer in question.answer_ids:
        told = replace(case, answers={**case.answers, question.id: answer})
        seen = {faults: w * answer_chance(question, faults, answer) for faults, w in weights.items()}
        after += plain_cost(bank, told, seen)
    return plain_cost(bank, case, weights) - after - question.cost_pence


@pytest.mark.parametrize(
    "answers",
    [
        {},
        {"trouble": "down-on-power", "rev_out": "clean"},
        {"trouble": "surges", "plug": "white", "changed": ("nothing",)},
    ],
)
def test_the_most_valuable_question_agrees_with_the_slow_twin(answers: dict[str, Any]) -> None:
    bank = bank_of_pairs()
    case = case_of(bank, answers)
    open_signs = [q for q in bank.questions if q.background and q.id not in answers]
    weights = plain_weights(bank, case)
    worth = {question.id: plain_worth(bank, case, question, weights) for question in open_signs}
    found = assess(bank, case).ask_next
    assert found is not None
    if not bank.question(found.question).is_story:
        assert found.question == max(worth, key=lambda q: worth[q])
        assert found.pence == pytest.approx(max(worth.values()), abs=1e-6)
    assert found.pence >= max(worth.values()) - 1e-6


def test_nothing_is_worth_asking_when_all_is_sure() -> None:
    case = case_of(
        the_bank(), {"kill_lead": "better", "earths": "loose-or-dirty", "trouble": "cuts-out", "came_on": "suddenly"}
    )
    judgement = assess(the_bank(), case)
    assert (judgement.route, judgement.ask_next) == ("fix-first", None)


def test_no_question_is_named_on_a_bench_visit_or_where_a_rule_stops_it() -> None:
    assert assess(the_bank(), case_of(the_bank(), {}, booked="bench")).ask_next is None
    assert assess(the_bank(), case_of(the_bank(), {"pinking": "yes"})).ask_next is None


def test_a_question_answered_unsure_is_not_asked_again() -> None:
    bank, asked = the_bank(), set()
    while (found := assess(bank, case_of(bank, {}, unsure=frozenset(asked))).ask_next) is not None:
        assert found.question not in asked
        assert found.pence > 0
        asked.add(found.question)
    assert asked


def test_an_automatic_is_never_asked_what_cannot_apply() -> None:
    bank, asked = the_bank(), set()
    machine = MachineFacts(gearbox="automatic")
    while (found := assess(bank, case_of(bank, {}, machine=machine, unsure=frozenset(asked))).ask_next) is not None:
        asked.add(found.question)
    assert not asked & {"rev_out", "every_gear"}


def test_a_clip_leaves_the_owners_word_on_the_same_test_worth_little() -> None:
    bank, machine = the_bank(), MachineFacts(design_rpm=9000.0)
    everything = frozenset(q.id for q in bank.questions if q.id != "rev_out")
    without = assess(bank, case_of(bank, {}, machine=machine, unsure=everything)).ask_next
    heard = ClipVerdict("revs-out", 0.97, None, 9000.0)
    with_clip = assess(bank, case_of(bank, {}, machine=machine, unsure=everything, heard=heard)).ask_next
    assert without is not None
    assert with_clip is None or with_clip.pence < 0.7 * without.pence


def test_the_rich_power_run_gets_the_same_questions_without_the_plain_case() -> None:
    rich = {"trouble": "four-strokes", "where": "top", "rev_out": "smoky", "changed": ("jets-bigger",)}
    judgement = assess(the_bank(), case_of(the_bank(), rich, booked="power-run"))
    assert isinstance(judgement.why, RichPowerRun)
    costs = judgement.route_costs_pence
    assert judgement.ask_next is None or judgement.ask_next.pence < min(costs.values())
