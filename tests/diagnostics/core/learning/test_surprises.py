"""Faults and answers that come up more or less often than predicted; checked on a published noisy-OR."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import binomtest

from diagnostics.core.judging.inference import model_of
from diagnostics.core.learning.closed_visits import ClosedVisit
from diagnostics.core.learning.surprises import answers_seen, faults_seen, set_of
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.closed_examples import closed, judged, judged_by
from tests.diagnostics.core.drawn_sheets import draw_sheet
from tests.diagnostics.core.small_banks import small_bank

LEAK = {"no": 0.98, "yes": 0.02}
NOISY_OR = small_bank(
    {"a": 0.10, "b": 0.05, "c": 0.20},
    {"sign": (LEAK, {"a": {"yes": 0.8}, "b": {"yes": 0.5}, "c": {"yes": 0.6}})},
)


def saying(answer: str, *causes: str) -> ClosedVisit:
    return closed(*causes, judged=judged(answers={"sign": answer}))


def test_an_answer_is_predicted_by_the_noisy_or_of_the_causes():
    """All three faults present: 0.9608 (noisy-OR of Pearl 1988; by pgmpy and pyAgrum); none: the leak."""
    no, yes = answers_seen(NOISY_OR, [saying("yes", "a", "b", "c")])
    assert (no.answer, yes.answer) == ("no", "yes")
    assert yes.seen.predicted == pytest.approx(0.9608, abs=1e-12)
    _, both = answers_seen(NOISY_OR, [saying("yes", "a", "b", "c"), saying("no")])
    assert both.seen.predicted == pytest.approx((0.9608 + 0.02) / 2, abs=1e-12)
    assert (both.seen.many, both.seen.observed) == (2, 1)


def test_answers_given_much_more_often_are_named_if_there_are_enough_cases():
    few, enough = [saying("yes")] * 19, [saying("yes")] * 20
    assert not any(one.seen.is_surprise for one in answers_seen(NOISY_OR, few))
    no, yes = answers_seen(NOISY_OR, enough)
    assert yes.seen.is_more_often
    assert no.seen.is_less_often
    reference = binomtest(20, 20).proportion_ci(confidence_level=0.99, method="wilson")
    assert (yes.seen.low, yes.seen.high) == pytest.approx((reference.low, reference.high), abs=1e-12)


def test_unsure_readings_and_what_the_card_does_not_say_are_left_out():
    kept = [saying("yes", "a"), closed("a", judged=judged(answers={"sign": "unsure"})), saying("yes", "gone")]
    assert {one.seen.many for one in answers_seen(NOISY_OR, kept)} == {1}
    assert answers_seen(NOISY_OR, [saying("unsure")]) == ()


def test_a_fault_is_compared_with_the_mean_of_its_predicted_chances():
    visits = [closed(*causes, judged=judged(chances={"a": p})) for p, causes in ((0.2, ["a"]), (0.4, []), (0.3, ["b"]))]
    (one,) = faults_seen(NOISY_OR, visits)  # the others were in no judgement
    assert (one.fault, one.seen.many, one.seen.observed) == ("a", 3, 1)
    assert one.seen.predicted == pytest.approx(0.3, abs=1e-12)
    reference = binomtest(1, 3).proportion_ci(method="wilson")
    assert (one.seen.low, one.seen.high) == pytest.approx((reference.low, reference.high), abs=1e-12)


def test_a_garage_unlike_the_bank_surprises_it_and_one_like_it_does_not():
    bank = the_bank()
    units = {"spark-module": 0.16}
    other = replace(bank, faults=tuple(replace(f, chance=units.get(f.id, f.chance)) for f in bank.faults))
    unlike, like = visits_of(other), visits_of(bank)
    assert "spark-module" in {one.fault for one in faults_seen(bank, unlike) if one.seen.is_more_often}
    assert sum(one.seen.is_surprise for one in faults_seen(bank, like)) <= 3  # one in twenty by chance
    assert sum(one.seen.is_surprise for one in answers_seen(bank, like)) <= 4  # of some sixty, one in a hundred


def test_a_question_whose_answers_mean_something_different_here_is_named():
    bank = the_bank()
    visits = [
        closed(*v.causes, booked=v.booked, judged=replace(v.judged, answers={**v.judged.answers, "damp": "yes"}))
        for v in visits_of(bank)
    ]  # everybody here says that it is worse in the rain
    named = {(one.question, one.answer) for one in answers_seen(bank, visits) if one.seen.is_more_often}
    assert ("damp", "yes") in named


def visits_of(bank) -> list[ClosedVisit]:
    chance = np.random.default_rng(23)
    drawn = [draw_sheet(bank, chance) for _ in range(250)]
    return [judged_by(the_bank(), one.case, one.faults) for one in drawn]


def test_more_causes_than_the_bank_allows_at_once_are_left_out_and_just_as_many_are_not():
    pairs = replace(NOISY_OR, most_at_once=2)
    [_, yes] = answers_seen(pairs, [saying("yes", "a", "b"), saying("yes", "a", "b", "c")])
    assert (yes.seen.many, yes.seen.predicted) == (1, pytest.approx(1 - 0.98 * 0.2 * 0.5))


def test_a_set_of_causes_is_the_row_with_exactly_these_faults():
    model = model_of(NOISY_OR)
    for causes in (frozenset[str](), frozenset({"b"}), frozenset({"a", "c"})):
        row = model.has[set_of(model, causes)]
        assert {fault for fault, has in zip(NOISY_OR.fault_ids, row, strict=True) if has} == causes
    with pytest.raises(IndexError):
        set_of(model_of(replace(NOISY_OR, most_at_once=1)), frozenset({"a", "b"}))


def test_every_answer_of_a_sign_is_seen_in_the_bank_s_order_and_no_story_or_reading():
    answers = {"plug": "white", "changed": "exhaust", "strobe_idle": 17.0, "came_on": "slowly", "damp": "yes"}
    found = answers_seen(the_bank(), [closed(judged=judged(answers=answers))])
    signs = [(q.id, answer) for q in the_bank().questions if q.id in ("plug", "damp") for answer in q.answer_ids]
    assert [(one.question, one.answer) for one in found] == signs
    assert {one.answer for one in found if one.seen.observed} == {"white", "yes"}
