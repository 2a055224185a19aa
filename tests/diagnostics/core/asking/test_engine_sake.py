"""What is asked for the engine's sake: where the chance of stopping a machine is worth more than asking costs."""

from __future__ import annotations

from dataclasses import replace

from diagnostics.core.asking.engine_sake import for_the_engines_sake
from diagnostics.core.asking.worth import answer_rows
from diagnostics.core.bank.bank import Question
from diagnostics.core.findings import Case
from diagnostics.core.judging.evidence import gather
from diagnostics.core.judging.inference import model_of
from diagnostics.core.stops import fired_rules
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.small_banks import case_of


def test_the_engine_s_sake_is_worth_what_the_answer_stops_times_the_pence() -> None:
    """By hand: only two faults bring a wrong mix about, rarely, so its chance is hardly more than the background's."""
    bank = the_bank()
    case = case_of(bank, dict.fromkeys(("nipped", "pinking"), "no"))
    model = model_of(bank)
    evidence = gather(model, case)
    first = model.row["fuel", "wrong-mix"]
    chance = float(model.chance[first] @ evidence.weight())
    assert 0.03 <= chance < 0.035
    for pence, asked in ((3 / chance * 1.01, "fuel"), (3 / chance * 0.99, None)):
        dear = replace(bank, routing=replace(bank.routing, stopped_in_time_pence=pence))
        assert for_the_engines_sake(model_of(dear), case, evidence) == asked


def test_what_was_asked_is_not_asked_again_for_the_engine_s_sake() -> None:
    bank = the_bank()
    model = model_of(bank)
    case = replace(case_of(bank, {"nipped": "no", "pinking": "no"}), unsure=frozenset({"fuel", "plug"}))
    assert for_the_engines_sake(model, case, gather(model, case)) is None


def test_the_question_most_likely_to_stop_it_less_its_cost_is_asked() -> None:
    """Each open question's worth by a plain loop over its answers: the chance of those that fire a rule."""
    bank = the_bank()
    dear = replace(bank, routing=replace(bank.routing, stopped_in_time_pence=5000.0))
    for answers in ({}, {"plug": "white"}, {"nipped": "no", "pinking": "no", "changed": ("exhaust",)}):
        case = case_of(bank, answers)
        model, evidence = model_of(dear), gather(model_of(dear), case)
        worth = {}
        for question in bank.questions:
            if question.kind == "number" or question.of_machine or question.id in answers:
                continue
            rows = answer_rows(model, case, question)
            assert rows is not None
            chances = (rows @ evidence.weight()).tolist()
            stops = [bool(fired_rules(told(case, question, answer))) for answer in question.answer_ids]
            stopping = sum(chance for chance, stopped in zip(chances, stops, strict=True) if stopped)
            worth[question.id] = 5000 * stopping - question.cost_pence
        best = max(worth, key=lambda asked: worth[asked])
        assert worth[best] > 0
        assert for_the_engines_sake(model, case, evidence) == best


def told(case: Case, question: Question, answer: str) -> Case:
    return replace(case, answers={**case.answers, question.id: (answer,) if question.nothing else answer})


def test_nothing_is_asked_for_the_engine_s_sake_where_stopping_in_time_is_worth_nothing() -> None:
    bank = the_bank()
    free = replace(bank, routing=replace(bank.routing, stopped_in_time_pence=0.0))
    case = case_of(bank, {})
    assert for_the_engines_sake(model_of(free), case, gather(model_of(free), case)) is None
    everything = replace(case, unsure=frozenset(question.id for question in bank.questions))
    assert for_the_engines_sake(model_of(bank), everything, gather(model_of(bank), everything)) is None
