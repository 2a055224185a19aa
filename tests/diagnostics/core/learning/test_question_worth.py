"""The worth of an answer, against judging the same case again without it."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from diagnostics.core.findings import Case
from diagnostics.core.judging.judgement import Reason
from diagnostics.core.learning.calibration import mean_interval
from diagnostics.core.learning.closed_visits import Judged
from diagnostics.core.learning.question_worth import QuestionWorth, gain, question_worths
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.closed_examples import SOUND, closed, judged, judged_by
from tests.diagnostics.core.drawn_sheets import draw_sheet

BANK = the_bank()


def test_the_gain_is_the_log_loss_of_the_judgement_without_the_answer_less_that_with_it():
    """Each answer of eight drawn sheets: its gain against the sheet judged without it, by the definition."""
    chance = np.random.default_rng(7)
    looked_at = 0
    for drawn in (draw_sheet(BANK, chance) for _ in range(8)):
        whole = judged_of(drawn.case)
        for reason in whole.because:
            question = reason.answer.partition("=")[0]
            if isinstance(drawn.case.answers[question], tuple) and len(drawn.case.answers[question]) > 1:
                continue
            p, without = (found.groups[reason.towards] for found in (whole, judged_of(drawn.case.without(question))))
            for observed in (True, False):
                expected = math.log((p if observed else 1 - p) / (without if observed else 1 - without))
                assert gain(p, reason.weight, observed) == pytest.approx(expected, abs=1e-6), reason
            looked_at += 1
    assert looked_at > 40


def test_a_sure_judgement_has_a_finite_gain():
    assert math.isfinite(gain(1.0, 60.0, observed=False))
    assert gain(0.0, -800.0, observed=False) == pytest.approx(
        800 - 27.6, abs=0.1
    )  # 27.6: log odds of the surest chance


def test_questions_are_counted_by_how_often_they_were_asked_unsure_and_moved_it():
    because = (Reason("rev_out=ceiling+heard=breaks-down", "ignition", 2.0),)
    clear = judged(groups=SOUND | {"ignition": 0.7}, because=because, answers={"rev_out": "ceiling", "damp": "no"})
    unsure = judged(answers={"rev_out": "unsure"})
    found = {
        one.question: one
        for one in question_worths(BANK, [closed("ht-side", judged=clear), closed(judged=unsure), closed(judged=None)])
    }
    rev_out, damp = found["rev_out"], found["damp"]
    assert set(found) == {"rev_out", "damp"}
    assert (rev_out.asked, rev_out.unsure, rev_out.moved, rev_out.weight) == (2, 1, 1, 2.0)
    assert rev_out.gain == pytest.approx(gain(0.7, 2.0, observed=True) / 2)
    assert (damp.asked, damp.moved, damp.gain) == (1, 0, 0.0)
    assert rev_out.is_too_few
    assert not rev_out.earns


@pytest.mark.parametrize(("cause", "earns", "misleads"), [("ht-side", True, False), ("air-leak", False, True)])
def test_an_answer_that_pointed_to_the_cause_earns_its_place_and_one_that_pointed_away_misleads(cause, earns, misleads):
    because = (Reason("damp=yes", "ignition", 1.5),)
    groups = SOUND | {"ignition": 0.6}
    visits = [closed(cause, judged=judged(groups=groups, because=because, answers={"damp": "yes"}))] * 20
    (one,) = question_worths(BANK, visits)
    assert (one.earns, one.misleads) == (earns, misleads)


def test_on_sheets_drawn_from_the_bank_the_opening_questions_earn_their_place():
    chance = np.random.default_rng(5)
    drawn = [draw_sheet(BANK, chance) for _ in range(150)]
    right = [judged_by(BANK, one.case, one.faults) for one in drawn]
    assert {"trouble", "rev_out"} <= {one.question for one in question_worths(BANK, right) if one.earns}
    others = [*drawn[1:], drawn[0]]  # the twin: each sheet with what another machine had
    wrong = [judged_by(BANK, one.case, other.faults) for one, other in zip(drawn, others, strict=True)]
    assert not any(one.earns for one in question_worths(BANK, wrong))


def judged_of(case: Case) -> Judged:
    return judged_by(BANK, case, frozenset()).judged


def test_the_most_useful_question_comes_first_and_those_asked_too_seldom_last():
    """Two answers earn, one of them more; a third earns most of all but was asked nineteen times."""
    groups = SOUND | {"ignition": 0.6}
    because = tuple(Reason(f"{q}=yes", "ignition", w) for q, w in (("damp", 0.5), ("earths", 1.0), ("kick", 2.0)))
    answers = {"damp": "yes", "earths": "yes"}
    visits = [closed("ht-side", judged=judged(groups=groups, because=because[:2], answers=answers))]
    visits += [closed("ht-side", judged=judged(groups=groups, because=because, answers=answers | {"kick": "yes"}))] * 19
    found = question_worths(BANK, visits)
    assert [(one.question, one.is_too_few) for one in found] == [("earths", False), ("damp", False), ("kick", True)]
    assert [one.weight for one in found] == [1.0, 0.5, 2.0]
    assert [one.gain for one in found] == pytest.approx(
        [gain(0.6, weight, observed=True) for weight in (1.0, 0.5, 2.0)]
    )
    assert found[0].earns
    assert not found[2].earns


def test_several_reasons_of_one_answer_are_added_up_and_their_sizes_averaged_over_where_it_moved():
    """Two changes, one for and one against; and a visit whose answer moved nothing."""
    because = (Reason("changed=exhaust", "fuel-air", 0.6), Reason("changed=cylinder", "ignition", -0.4))
    both = judged(because=because, answers={"changed": ["exhaust", "cylinder"]})
    visits = [closed("air-leak", judged=both), closed(judged=judged(answers={"changed": ["unsure"]}))]
    (one,) = question_worths(BANK, visits)
    expected = gain(0.1, 0.6, observed=True) + gain(0.1, -0.4, observed=False)
    assert (one.asked, one.unsure, one.moved, one.weight) == (2, 1, 1, pytest.approx(1.0))
    assert one.gain == pytest.approx(expected / 2)
    assert (one.low, one.high) == pytest.approx(mean_interval([expected, 0.0])[1:])


def test_a_question_whose_interval_touches_nothing_neither_earns_nor_misleads():
    one = QuestionWorth("damp", 20, 0, 20, 1.0, 0.1, 0.0, 0.2)
    ends = [(0.0, 0.2), (0.01, 0.2), (-0.2, 0.0), (-0.2, -0.01)]
    found = [replace(one, low=low, high=high) for low, high in ends]
    assert [each.earns for each in found] == [False, True, False, False]
    assert [each.misleads for each in found] == [False, False, False, True]
    assert not any(replace(each, asked=19).earns or replace(each, asked=19).misleads for each in found)
