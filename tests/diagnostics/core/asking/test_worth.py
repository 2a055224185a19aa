"""The worth of a question, against the slow twin: every set of faults and every answer in plain loops."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from diagnostics.core.asking.worth import answer_rows, is_open, worth_most
from diagnostics.core.assess import assess
from diagnostics.core.bank.bank import Bank, Question
from diagnostics.core.bank.reader import read_bank
from diagnostics.core.findings import Case, ClipVerdict, Costs, MachineFacts, read_case
from diagnostics.core.judging.cells import sums_of
from diagnostics.core.judging.evidence import gather
from diagnostics.core.judging.inference import model_of
from diagnostics.core.judging.judgement import RichPowerRun
from diagnostics.core.judging.routing import route_costs_pence, settled_share, spoils_mask
from diagnostics.core.rev_out_safety import RUNS_IT_HARD
from diagnostics.reads.bank import BANK_FILE, the_bank
from tests.diagnostics.core.plain_judge import answer_chance, plain_weights
from tests.diagnostics.core.small_banks import case_of
from tests.diagnostics.core.telling.judged import RICH


def bank_of_pairs() -> Bank:
    """The bank with two faults at once at most: small enough for plain loops over every answer."""
    return read_bank(BANK_FILE.read_text(encoding="utf-8").replace("most_at_once = 3", "most_at_once = 2"))


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
        {"trouble": "surges", "changed": ("nothing",)},
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
        asked.add(found.question)
    assert asked == {
        question.id for question in bank.questions if not question.needs
    }  # nothing is known: there is something to ask to the end


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
    assert judgement.ask_next is not None
    assert judgement.ask_next.pence < min(costs.values())


KNOWN = MachineFacts(spec_btdc=17.0, spec_curve="fixed", design_rpm=9000.0)
HEARD = ClipVerdict("breaks-down", 0.9, 6000.0)
SITUATIONS: list[tuple[dict[str, Any], dict[str, Any]]] = [
    ({}, {}),
    ({"trouble": "bogs", "changed": ("exhaust", "jets-bigger")}, {"machine": KNOWN}),
    ({"came_on": "suddenly", "strobe_idle": 17.5}, {"machine": KNOWN, "booked": "power-run"}),
    ({"plug": "white", "strobe_peak": 16.0}, {"machine": KNOWN, "heard": HEARD}),
    ({"rev_out": "smoky", "came_on": "slowly"}, {"heard": HEARD, "machine": KNOWN}),
]


def told(case: Case, question: Question, answer: str) -> Case:
    return replace(case, answers={**case.answers, question.id: (answer,) if question.nothing else answer})


@pytest.mark.parametrize(("answers", "more"), SITUATIONS)
def test_the_chance_of_an_answer_moves_the_faults_as_the_answer_itself_does(
    answers: dict[str, Any], more: dict[str, Any]
) -> None:
    model, case = model_of(the_bank()), case_of(the_bank(), answers, **more)
    weight = gather(model, case).weight()
    for question in the_bank().questions:
        if question.kind == "number" or question.of_machine or question.id in answers:
            continue
        rows = answer_rows(model, case, question)
        assert rows is not None
        assert (rows @ weight).sum() == pytest.approx(1.0)
        for row, answer in zip(rows, question.answer_ids, strict=True):
            after = gather(model, told(case, question, answer)).weight()
            np.testing.assert_allclose(row * weight / (row @ weight), after, rtol=0, atol=1e-12)


@pytest.mark.parametrize(("question", "other"), [("strobe_idle", "strobe_peak"), ("strobe_peak", "strobe_idle")])
@pytest.mark.parametrize("read", [None, 16.5])
def test_readings_are_tried_from_fourteen_degrees_below_the_spec_to_fourteen_above(
    question: str, other: str, read: float | None
) -> None:
    model = model_of(the_bank())
    case = case_of(the_bank(), {} if read is None else {other: read}, machine=KNOWN)
    rows = answer_rows(model, case, the_bank().question(question))
    assert rows is not None
    assert rows.sum(axis=0) == pytest.approx(1.0)
    weight = gather(model, case).log_weight
    tried = [17.0 + degrees for degrees in range(-14, 15, 2)]
    density = np.array([gather(model, told(case, the_bank().question(question), one)).log_weight for one in tried])  # type: ignore[arg-type]
    chance = np.exp(density - weight)
    assert rows == pytest.approx(chance / chance.sum(axis=0), rel=1e-9)


def test_a_reading_that_cannot_be_judged_has_no_chances() -> None:
    model, case = model_of(the_bank()), case_of(the_bank(), {})
    assert answer_rows(model, case, the_bank().question("strobe_idle")) is None


def plain_most(case: Case) -> tuple[str, float]:
    """Over every open question, answer by answer, from the chances of its answers."""
    model, bank = model_of(the_bank()), the_bank()
    weight, spoils = gather(model, case).weight(), spoils_mask(model, case.booked)

    def pence(of_branch: Any, known: Case) -> float:
        chance = float(of_branch.sum())
        costs = route_costs_pence(case.costs, float(of_branch @ spoils) / chance, settled_share(model, known))
        return chance * min(costs.values())

    worth = {}
    for question in bank.questions:
        rows = answer_rows(model, case, question) if is_open(question, case) else None
        if rows is None:
            continue
        names = question.answer_ids or [None] * len(rows)
        known = [case if name is None else told(case, question, name) for name in names]
        after = sum(pence(weight * row, one) for row, one in zip(rows, known, strict=True))
        worth[question.id] = pence(weight, case) - after - question.cost_pence
    return max(worth.items(), key=lambda item: item[1])


@pytest.mark.parametrize("left_out", [frozenset(), frozenset({"rev_out", "plug", "trouble", "kill_lead"})])
@pytest.mark.parametrize(("answers", "more"), SITUATIONS)
def test_the_question_worth_most_is_that_of_a_plain_loop_over_all_answers(
    answers: dict[str, Any], more: dict[str, Any], left_out: frozenset[str]
) -> None:
    case = case_of(the_bank(), answers, unsure=left_out - set(answers), **more)
    evidence = gather(model_of(the_bank()), case)
    [sums] = sums_of(model_of(the_bank()), evidence.weight()[None])
    found = worth_most(evidence, sums, settled_share(model_of(the_bank()), case))
    question, pence = plain_most(case)
    assert (found is None) == (pence <= 0)
    if found is not None:
        assert (found.question, found.pence) == (question, pytest.approx(pence, abs=1e-6))


@pytest.mark.parametrize("only", ["changed", "came_on", "strobe_idle", "strobe_peak", "rev_out"])
def test_each_kind_of_question_alone_is_worth_what_the_plain_loop_says(only: str) -> None:
    """Where rollers and bench cost the same, whatever moves the chance a little is worth something."""
    bank = the_bank()
    model, unsure = model_of(bank), frozenset(question.id for question in bank.questions if question.id != only)
    plain = case_of(bank, {}, machine=KNOWN, heard=HEARD, unsure=unsure)
    spoilt = float(gather(model, plain).weight() @ spoils_mask(model, "set-up"))
    case = replace(plain, costs=Costs(10**6, round(10**6 * spoilt / (1 - spoilt)), 10**9, 75))
    evidence = gather(model, case)
    [sums] = sums_of(model, evidence.weight()[None])
    found = worth_most(evidence, sums, settled_share(model, case))
    assert found is not None
    assert found.pence > 1000
    assert (found.question, found.pence) == (only, pytest.approx(plain_most(case)[1], rel=1e-9))


def test_a_question_is_open_until_it_is_answered_or_left_unsure_or_does_not_apply() -> None:
    bank = the_bank()
    damp, rev_out = bank.question("damp"), bank.question("rev_out")
    assert is_open(damp, case_of(bank, {}))
    assert not is_open(damp, case_of(bank, {"damp": "no"}))
    assert not is_open(damp, case_of(bank, {}, unsure=frozenset({"damp"})))
    assert not is_open(rev_out, case_of(bank, {"nipped": "yes"}))
    assert not is_open(rev_out, case_of(bank, {}, machine=MachineFacts(gearbox="automatic")))
    assert is_open(rev_out, case_of(bank, {"nipped": "no"}))


RUNG_ABOUT = [
    pytest.param({}, {}, id="nothing answered"),
    pytest.param({"trouble": "none", "rev_out": "clean"}, {"remarks": ("not-run-in",)}, id="not run in"),
    pytest.param({"trouble": "none", "rev_out": "clean"}, {"remarks": ("brakes-or-tyres",)}, id="brakes or tyres"),
    pytest.param(RICH, {"booked": "power-run"}, id="a rich power run"),
    pytest.param({"plug": "white", "half_choke": "worse", "rev_out": "smoky"}, {}, id="by cost"),
]


@pytest.mark.parametrize(("answers", "more"), RUNG_ABOUT)
def test_where_the_owner_is_rung_there_is_something_to_ask_until_all_was_asked(
    answers: dict[str, Any], more: dict[str, Any]
) -> None:
    bank = the_bank()
    unsure: frozenset[str] = frozenset()
    while (judgement := assess(bank, case_of(bank, answers, unsure=unsure, **more))).ask_next is not None:
        assert judgement.ask_next.question not in unsure | set(answers)
        unsure |= {judgement.ask_next.question}
    case = case_of(bank, answers, **more)
    asked = {question.id for question in bank.questions if is_open(question, case)}
    assert unsure == asked or judgement.route != "phone-first"


def test_the_questions_of_safety_come_last_where_nothing_is_worth_asking() -> None:
    bank = the_bank()
    left = {"changed", "nipped", "pinking", "strobe_idle", "kill_lead"}
    unsure = frozenset(question.id for question in bank.questions if question.id not in left)
    dear = Costs(0, 0, 0, 0)  # no answer saves a penny
    asked = []
    while (found := assess(bank, case_of(bank, {}, unsure=unsure, costs=dear)).ask_next) is not None:
        assert found.pence <= 0
        asked.append(found.question)
        unsure |= {found.question}
    assert set(asked[:2]) == {"strobe_idle", "kill_lead"}
    assert set(asked[2:]) == {"changed", "nipped", "pinking"}


@pytest.mark.parametrize("remark", ["not-run-in", "no-exhaust"])
def test_no_test_with_the_engine_running_is_named_where_a_remark_rules_it_out(remark: str) -> None:
    bank = the_bank()
    unsure: frozenset[str] = frozenset()
    while (found := assess(bank, case_of(bank, {}, unsure=unsure, remarks=(remark,))).ask_next) is not None:
        assert found.question not in RUNS_IT_HARD
        unsure |= {found.question}
    assert unsure


def test_a_flow_into_a_can_is_not_asked_of_a_vacuum_tap() -> None:
    bank = the_bank()
    unsure: frozenset[str] = frozenset()
    machine = MachineFacts(tap="vacuum")
    while (found := assess(bank, case_of(bank, {}, unsure=unsure, machine=machine)).ask_next) is not None:
        unsure |= {found.question}
    assert "fuel_flow" not in unsure


EASES_BACK = {"rev_out": "clean", "strobe_idle": 17.0, "strobe_peak": 12.0}


def asked_next(answers: dict[str, Any], **machine: Any) -> str | None:
    found = assess(the_bank(), case_of(the_bank(), answers, machine=MachineFacts(spec_btdc=17.0, **machine))).ask_next
    return found and found.question


def test_a_reading_that_eases_back_far_asks_which_ignition_is_fitted_before_anything_else() -> None:
    assert asked_next(EASES_BACK) == "ignition_curve"
    assert asked_next(EASES_BACK, spec_curve="fixed") != "ignition_curve"
    assert asked_next(EASES_BACK | {"strobe_peak": 16.0}) != "ignition_curve"
    assert asked_next(EASES_BACK | {"rev_out": "ceiling"}) != "ignition_curve"


def test_which_ignition_is_fitted_settles_what_the_reading_means() -> None:
    bank, machine = the_bank(), {"spec_btdc": 17}
    line = {"case": "x", "booked": "set-up", "machine": machine, "answers": EASES_BACK}
    chances = {
        answer: assess(bank, read_case(bank, line | {"answers": EASES_BACK | {"ignition_curve": answer}})).groups[
            "ignition"
        ]
        for answer in ("fixed", "unsure", "retarding")
    }
    assert chances["retarding"] < chances["unsure"] < chances["fixed"]
