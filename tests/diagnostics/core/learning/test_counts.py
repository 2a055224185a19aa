"""Base rates from closed cards: the Dirichlet's own mean, exact recounting, and the truth found again."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import minimize

from diagnostics.core.assess import assess
from diagnostics.core.bank.bank import NOTHING_WRONG
from diagnostics.core.findings import Case, MachineFacts
from diagnostics.core.learning.counts import ClosedCard, count, learned_odds, with_counts
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.drawn_sheets import draw_sheet
from tests.diagnostics.core.small_banks import case_of, small_bank

BANK = small_bank({"a": 0.2, "b": 0.1}, {"sign": ({"no": 0.9, "yes": 0.1}, {"a": {"yes": 0.8}})})


def closed(*causes: str, **more: bool) -> ClosedCard:
    return ClosedCard(case_of(BANK, {}), frozenset(causes), **more)


def test_no_card_leaves_the_bank_as_it_is() -> None:
    counts = count(BANK, [])
    assert counts.chances == pytest.approx({"a": 0.2, "b": 0.1}, abs=1e-12)
    assert counts.learned == counts.not_learned == 0


def test_counts_and_prior_add_up_as_a_dirichlet_does() -> None:
    """Mean of a Dirichlet, (alpha + count) / sum, written out by hand; any textbook."""
    cards = [closed("a")] * 6 + [closed("b")] * 1 + [closed()] * 13
    odds_a, odds_b = 0.25, 1 / 9
    alpha = 10 / (1 + odds_a + odds_b)
    counts = count(replace(BANK, equivalent_cards=10.0), cards)
    expected = (alpha * odds_a + 6) / (alpha + 13)
    assert counts.chances["a"] == pytest.approx(expected / (1 + expected), abs=1e-12)
    assert counts.times == {NOTHING_WRONG: 13, "a": 6, "b": 1}


def test_cards_with_more_than_one_cause_are_kept_and_not_learned_from() -> None:
    cards = [closed("a", "b"), closed("a", came_back=True), closed(has_own_words=True), closed("gone-from-the-bank")]
    counts = count(BANK, cards)
    assert (counts.learned, counts.not_learned) == (0, 4)
    assert counts.chances == count(BANK, []).chances


def test_the_order_of_the_cards_makes_no_difference_and_a_correction_leaves_no_trace() -> None:
    points = replace(closed("b"), case=Case("p", MachineFacts(ignition="points"), "set-up", closed().case.costs))
    cards = [closed("a"), points, closed(), closed("b")]
    assert count(BANK, cards).chances == count(BANK, cards[::-1]).chances
    corrected = [closed("b"), *cards[1:]]
    assert count(BANK, corrected).chances == count(BANK, [cards[1], cards[2], closed("b"), closed("b")]).chances


def test_with_factors_it_agrees_with_a_general_optimiser() -> None:
    """SciPy's minimiser on the same posterior, in the logarithm of the odds."""
    prior, times = np.array([0.25, 0.11, 0.02]), np.array([7.0, 2.0, 1.0])
    kinds = [(np.array([1.0, 1.0, 1.0]), 20), (np.array([0.5, 4.0, 1.0]), 9), (np.array([3.0, 0.1, 2.0]), 5)]
    share = prior / (1 + prior.sum())

    def against(log_odds: np.ndarray) -> float:
        odds = np.exp(log_odds)
        gain = (30 * share + times) @ log_odds - 30 * np.log(1 + odds.sum())
        return -float(gain - sum(cards * np.log(1 + factors @ odds) for factors, cards in kinds))

    reference = minimize(against, np.log(prior), method="BFGS", options={"gtol": 1e-9})
    assert learned_odds(prior, times, kinds, 30) == pytest.approx(np.exp(reference.x), rel=1e-5)


def test_a_garage_unlike_the_bank_is_learned() -> None:
    """Cards of machines drawn from a bank with five times as many bad units: the base rate comes near the true one."""
    bank = the_bank()
    truth = {"spark-module": 0.16, "main-jet-rich": 0.06}
    true_bank = replace(bank, faults=tuple(replace(f, chance=truth.get(f.id, f.chance)) for f in bank.faults))
    chance = np.random.default_rng(3)
    cards = [ClosedCard(one.case, one.faults) for one in (draw_sheet(true_bank, chance) for _ in range(2000))]
    counts = count(bank, cards)
    assert counts.learned + counts.not_learned == 2000
    assert counts.chances["spark-module"] == pytest.approx(0.16, abs=0.03)
    assert counts.chances["main-jet-rich"] == pytest.approx(0.06, abs=0.025)


def test_the_judgement_takes_the_learned_bank_and_keeps_its_edition() -> None:
    bank = the_bank()
    case = case_of(bank, {"rev_out": "ceiling"})
    units = [ClosedCard(case_of(bank, {}), frozenset({"spark-module"}))] * 40
    learned = with_counts(bank, count(bank, units))
    before, after = assess(bank, case), assess(learned, case)
    assert after.chances["spark-module"] > before.chances["spark-module"]
    assert after.edition == bank.edition
