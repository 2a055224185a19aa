"""Scores subject by subject, against figures of scikit-learn 1.9.1 and SciPy."""

from __future__ import annotations

import math
from statistics import mean

import pytest

from diagnostics.core.learning.calibration import Score
from diagnostics.core.learning.closed_visits import scored, why_not
from diagnostics.core.learning.scores import SUBJECTS, AllGroups, Scored, over_all_groups, predictions, scores
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.closed_examples import closed, judged

BANK = the_bank()
FIVE = tuple(zip((0.9, 0.2, 0.6, 0.3, 0.5), (True, False, True, True, False), strict=True))


def five(subject: str) -> list:
    """Brier 0.19 and log loss 0.5472899351, by scikit-learn 1.9.1."""
    groups = {"ignition": 0.1, "fuel-air": 0.1, "mechanical": 0.1, "nothing-wrong": 0.8}
    return [
        closed(
            *(["spark-module"] if observed else []),
            judged=judged(spoilt_chance=chance, groups=groups | {subject: chance}),
        )
        for chance, observed in FIVE
    ]


@pytest.mark.parametrize("subject", ["spoilt", "ignition"])
def test_each_subject_has_the_scores_of_its_own_chances(subject):
    found = {one.subject: one for one in scores(BANK, five(subject))}[subject]
    assert found.figures.brier == pytest.approx(0.19, abs=1e-12)
    assert found.figures.log_loss == pytest.approx(0.5472899351, abs=1e-10)
    assert found.gain == pytest.approx(found.figures.base_log_loss - found.figures.log_loss, abs=1e-12)


def test_what_came_is_read_from_the_card():
    visits = [
        closed("main-jet-rich", judged=judged()),  # spoils no set-up
        closed("main-jet-rich", booked="power-run"),
        closed("air-leak", "clutch-slip"),
        closed(),
    ]
    observed = {
        s: [p.observed for p in predictions(BANK, visits, s)]
        for s in ("spoilt", "fuel-air", "mechanical", "nothing-wrong")
    }
    assert observed == {
        "spoilt": [False, True, True, False],
        "fuel-air": [True, True, True, False],
        "mechanical": [False, False, True, False],
        "nothing-wrong": [False, False, False, True],
    }


def test_a_visit_for_the_bench_has_no_roller_time_to_spoil():
    assert predictions(BANK, [closed("air-leak", booked="bench", roller_minutes=0)], "spoilt") == []


def test_cards_without_a_cause_are_not_scored():
    visits = [closed(has_own_words=True), closed(came_back=True), closed("gone-from-the-bank"), closed(judged=None)]
    assert scored(BANK, visits) == ()
    assert scores(BANK, visits) == ()
    several = closed("air-leak", "clutch-slip")
    assert scored(BANK, [several]) == ((several, several.judged),)
    assert why_not(BANK, several) == ""


def test_guessing_the_share_is_neither_better_nor_worse_than_itself():
    share = mean(observed for _, observed in FIVE)
    visits = [
        closed(*(["spark-module"] if observed else []), judged=judged(spoilt_chance=share)) for _, observed in FIVE
    ]
    found = {one.subject: one for one in scores(BANK, visits)}["spoilt"]
    assert found.gain == pytest.approx(0.0, abs=1e-12)
    assert not found.is_worse
    assert not found.is_better


def figures_of(subject, figure):
    """Figures that differ from one another: 1, 2, 3 and 4 times the same."""
    return Scored(subject, Score(20, 5, figure, 2 * figure, 3 * figure, 4 * figure, 0.1), 0.0, -1.0, 1.0)


def test_all_groups_together_have_the_mean_of_each_figure_over_the_groups():
    every = [figures_of(subject, place * 0.1) for place, subject in enumerate(SUBJECTS)]
    found = over_all_groups(every)
    assert found == AllGroups(*(pytest.approx(times * 0.25) for times in (1, 2, 3, 4)))  # (1 + 2 + 3 + 4) / 4 tenths
    assert over_all_groups(every[:-1]) is None
    assert over_all_groups([]) is None


def test_scores_come_in_the_order_of_the_subjects_and_those_without_a_prediction_are_left_out():
    assert [one.subject for one in scores(BANK, five("spoilt"))] == list(SUBJECTS)
    bench = [closed(roller_minutes=0, booked="bench")]
    assert [one.subject for one in scores(BANK, bench)] == list(SUBJECTS[1:])


def test_a_sure_chance_that_misses_costs_much_but_not_everything():
    """One miss at 1e-12 against the base rate of one half, and one hit."""
    visits = [closed(judged=judged(spoilt_chance=1.0)), closed("air-leak", judged=judged(spoilt_chance=1.0))]
    spoilt = scores(BANK, visits)[0]
    assert spoilt.gain == pytest.approx((math.log(1e-12) - math.log(0.5) - math.log(0.5)) / 2)


def test_it_is_better_or_worse_only_with_the_whole_interval_on_one_side():
    one = figures_of("spoilt", 0.1)
    ends = [(0.0, 0.1), (0.01, 0.1), (-0.1, 0.0), (-0.1, -0.01)]
    sides = [Scored("spoilt", one.figures, 0.0, low, high) for low, high in ends]
    assert [side.is_better for side in sides] == [False, True, False, False]
    assert [side.is_worse for side in sides] == [False, False, False, True]
