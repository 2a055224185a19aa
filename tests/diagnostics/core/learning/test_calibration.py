"""How right stated chances were: figures from outside, and a bank that is wrong is caught."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.stats import binomtest, norm, sem

from diagnostics.core.bank.bank import Bank
from diagnostics.core.judging.evidence import gather
from diagnostics.core.judging.inference import model_of
from diagnostics.core.learning.calibration import (
    Predicted,
    Seen,
    bins,
    brier,
    calibration_error,
    log_loss,
    mean_interval,
    score,
    wilson,
)
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.drawn_sheets import Drawn, draw_sheet

FIVE = [Predicted(p, bool(y)) for p, y in zip((0.9, 0.2, 0.6, 0.3, 0.5), (1, 0, 1, 1, 0), strict=True)]
Z_999 = 3.290526731491926  # 99.9 %, so that of a right bank hardly one bin in a thousand falls outside by chance
SHEETS = 1500


def test_the_scores_agree_with_scikit_learn() -> None:
    """scikit-learn 1.9.1 gives 0.19 and 0.5472899351; the calibration error is by hand."""
    assert brier(FIVE) == pytest.approx(0.19, abs=1e-12)
    assert log_loss(FIVE) == pytest.approx(0.5472899351, abs=1e-10)
    assert calibration_error(FIVE) == pytest.approx(0.22, abs=1e-12)


@pytest.mark.parametrize(("observed", "many"), [(0, 7), (3, 7), (50, 200), (9, 9)])
def test_the_interval_agrees_with_scipy(observed: int, many: int) -> None:
    reference = binomtest(observed, many).proportion_ci(method="wilson")
    assert wilson(observed, many) == pytest.approx((reference.low, reference.high), abs=1e-12)


def test_the_interval_of_a_mean_agrees_with_scipy() -> None:
    values = [0.3, -0.1, 0.25, 0.9, -0.4, 0.05]
    low, high = norm.interval(0.95, loc=np.mean(values), scale=sem(values))
    assert mean_interval(values) == pytest.approx((np.mean(values), low, high), abs=1e-12)
    assert mean_interval([0.5]) == (0.5, -np.inf, np.inf)


def test_two_values_are_enough_for_an_interval() -> None:
    """Mean 2, standard error √(2 / 2) = 1."""
    assert mean_interval([1.0, 3.0], z=2.0) == pytest.approx((2.0, 0.0, 4.0))


def test_without_cases_the_interval_of_a_share_is_everything() -> None:
    assert wilson(0, 0) == (0.0, 1.0)
    assert wilson(1, 1)[1] == 1.0
    assert wilson(0, 1)[0] == 0.0


def test_each_bin_includes_its_upper_edge_and_the_first_its_lower_edge_too() -> None:
    stated = [Predicted(chance, chance > 0.5) for chance in (0.0, 0.2, 0.21, 0.4, 0.8, 1.0)]
    found = {(one.lowest, one.highest): (one.many, one.observed) for one in bins(stated)}
    assert found == {(0.0, 0.2): (2, 0), (0.2, 0.4): (2, 0), (0.6, 0.8): (1, 1), (0.8, 1.0): (1, 1)}
    [one] = bins(stated[1:3], edges=(0.1, 0.5))
    assert (one.predicted, one.share) == pytest.approx((0.205, 0.0))
    assert (one.low, one.high) == wilson(0, 2)
    assert bins([Predicted(0.1, True)], edges=(0.2, 0.5, 1.0)) == ()


def test_a_share_is_a_surprise_only_outside_its_interval_and_with_twenty_cases():
    one = Seen(20, 5, 0.2, 0.2, 0.4)
    assert one.share == 0.25
    found = [replace(one, predicted=chance) for chance in (0.19, 0.2, 0.4, 0.41)]
    assert [each.is_more_often for each in found] == [True, False, False, False]
    assert [each.is_less_often for each in found] == [False, False, False, True]
    assert [each.is_surprise for each in found] == [True, False, False, True]
    assert not any(replace(each, many=19).is_surprise for each in found)


def test_the_calibration_error_weighs_each_bin_by_its_size() -> None:
    """Three of four off by 0.1, one off by 0.5, by hand: (3 × 0.1 + 0.5) / 4."""
    stated = [Predicted(0.9, True)] * 3 + [Predicted(0.5, False)]
    assert calibration_error(stated) == pytest.approx(0.2)
    assert calibration_error(stated, edges=(0.0, 1.0)) == pytest.approx(0.05)  # mean 0.8 against 0.75


def test_a_score_has_every_figure_of_the_predictions_and_of_their_share() -> None:
    """The base rate is 3 / 5; its log loss by the definition of entropy."""
    figures = score(FIVE)
    assert figures is not None
    assert (figures.many, figures.observed) == (5, 3)
    assert figures.brier == pytest.approx(0.19)
    assert figures.log_loss == pytest.approx(0.5472899351)
    assert figures.base_log_loss == pytest.approx(-(0.6 * np.log(0.6) + 0.4 * np.log(0.4)))
    assert figures.calibration_error == pytest.approx(0.22)
    assert [replace(figures, many=many).is_too_few for many in (19, 20)] == [True, False]


def test_a_certain_miss_costs_as_a_chance_of_one_in_a_million_million() -> None:
    assert log_loss([Predicted(1.0, False)]) == pytest.approx(np.log(1e12))
    assert log_loss([Predicted(0.0, True)]) == pytest.approx(np.log(1e12))
    assert log_loss([Predicted(1.0, True), Predicted(0.5, False)]) == pytest.approx(np.log(2) / 2)


def test_always_predicting_the_observed_share_scores_as_the_formula_says() -> None:
    """For outcomes with share q the Brier score of q is q(1 - q), by definition."""
    figures = score(FIVE)
    assert figures is not None
    assert figures.base_brier == pytest.approx(0.6 * 0.4)
    assert figures.is_too_few


def test_no_prediction_has_no_score_and_a_certain_miss_stays_finite() -> None:
    assert score([]) is None
    assert np.isfinite(log_loss([Predicted(1.0, False)]))


def test_the_banks_chances_are_observed_as_often_as_predicted() -> None:
    predictions = judged_by(the_bank())
    assert abs(unfit_z(predictions)) < Z_999
    assert not any(one.is_surprise for one in bins(predictions, z=Z_999))


def test_a_bank_whose_chances_are_squared_is_caught() -> None:
    bank = the_bank()
    squared = replace(bank, faults=tuple(replace(fault, chance=fault.chance**2) for fault in bank.faults))
    predictions = judged_by(squared)
    assert abs(unfit_z(predictions)) > Z_999
    assert any(one.is_surprise for one in bins(predictions, z=Z_999))


@cache
def sheets() -> tuple[Drawn, ...]:
    chance = np.random.default_rng(11)
    return tuple(draw_sheet(the_bank(), chance) for _ in range(SHEETS))


def unfit_z(predictions: list[Predicted]) -> float:
    """Standard normal where the chances are right.

    Source: Spiegelhalter 1986, test of the Brier score's calibration part (from memory).
    """
    off = sum((one.observed - one.chance) * (1 - 2 * one.chance) for one in predictions)
    spread = sum((1 - 2 * one.chance) ** 2 * one.chance * (1 - one.chance) for one in predictions)
    return float(off / spread**0.5)


def judged_by(bank: Bank) -> list[Predicted]:
    """Whether an ignition fault is there, on sheets drawn from the true bank."""
    model = model_of(bank)
    ignition = [fault.id for fault in bank.faults if fault.group == "ignition"]
    is_ignition = model.fault_mask(ignition)
    return [
        Predicted(float(gather(model, one.case).weight() @ is_ignition), not one.faults.isdisjoint(ignition))
        for one in sheets()
    ]
